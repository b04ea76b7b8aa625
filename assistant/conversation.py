"""The path of a question, and what is carried from turn to turn."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from assistant.answering.compose import MIN_SCORE, Composer
from assistant.figures.choose import figures_for
from assistant.matching.entries import EntryIndex
from assistant.matching.red_flags import flags
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Answer, Figure, FlagHit, Match, Question
from assistant.understanding.carry import carry
from assistant.understanding.question import Reader

OFF_SHARE = 0.2


@dataclass
class Turn:
    """What the last turn left behind."""

    question: Question | None = None
    figures: list[Figure] = field(default_factory=list)
    referral: list[FlagHit] = field(default_factory=list)


class Assistant:
    """Answers questions from one rulebase; `turn` holds the conversation."""

    def __init__(self, rulebase: Rulebase, reader: Reader | None = None) -> None:
        self.rulebase = rulebase
        self.reader = reader or Reader(rulebase)
        self.index = EntryIndex(rulebase)
        self.composer = Composer(rulebase, self.index)
        self.turn = Turn()

    def reset(self) -> None:
        """Forget the conversation."""
        self.turn = Turn()

    def ask(self, text: str, follow: bool = False, clock: Callable[[], float] = time.perf_counter) -> Answer:
        """Answer one question; with `follow` it leans on the turn before."""
        began = clock()
        question = self.reader.read(text)
        if not follow:
            self.reset()
        fresh = "new-client" in question.dialogue
        if fresh:
            self.reset()
        question = carry(self.turn.question, question)
        answer = self._answer(question)
        answer.elapsed_ms = (clock() - began) * 1000
        return answer

    def _answer(self, question: Question) -> Answer:
        hits = flags(question, self.rulebase)
        if hits or self.turn.referral:
            self.turn.referral = hits or self.turn.referral
            self.turn.question = question
            return self.composer.referral(question, self.turn.referral)
        if question.scope == "out":
            return self.composer.out_of_scope(question, _medicine(question, self.rulebase))
        ranked = self.index.rank(question)
        figures, refused = figures_for(question, self.rulebase, self.turn.figures)
        if not figures and not self._sure(question, ranked):
            return self._not_sure(question, ranked)
        if not question.intent:
            question.intent = "dose" if figures else "explain"
        answer = self.composer.advice(question, ranked, figures)
        if refused:
            answer.notes.append(refused)
        self.turn = Turn(question, answer.figures)
        return answer

    def _sure(self, question: Question, ranked: list[Match]) -> bool:
        if not ranked:
            return False
        return question.scope == "in" and ranked[0].score >= MIN_SCORE

    def _not_sure(self, question: Question, ranked: list[Match]) -> Answer:
        lexical = max(self.index.lexical(question).values(), default=0.0)
        if question.scope == "unclear" and lexical < OFF_SHARE:
            return self.composer.out_of_scope(question, False)
        return self.composer.unsure(question, ranked)


def _medicine(question: Question, rulebase: Rulebase) -> bool:
    return any(("off", "medicine") in rulebase.lexicon.owners[number] for number in question.hits)
