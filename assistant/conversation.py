"""The path of a question, and what is carried from turn to turn."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from assistant.answering.compose import MIN_SCORE, Composer
from assistant.answering.ways import Trip
from assistant.errors import InputError
from assistant.figures.choose import asked, figures_for
from assistant.matching.entries import EntryIndex
from assistant.matching.limits import limits
from assistant.matching.red_flags import drills, flags, most_urgent
from assistant.matching.way_asked import asked_way, missing_kit
from assistant.rulebase.loading import Rulebase
from assistant.shapes import Answer, Figure, FlagHit, Match, Profile, Question
from assistant.understanding import intent as intents
from assistant.understanding.card import add_card
from assistant.understanding.carry import carry
from assistant.understanding.question import Reader

OFF_SHARE = 0.2  # below this share of known words a question without a subject is not of this field
KNOWN_SHARE = 0.35  # above this share it is, even without one
FIGURE_WEIGHT = 1.5  # what a figure asked for adds to its intent
KIND_WEIGHT = 0.8  # what a point of entry strength adds to an intent


@dataclass
class Turn:
    """What the last turn left behind."""

    question: Question | None = None
    figures: list[Figure] = field(default_factory=list)
    referral: list[FlagHit] = field(default_factory=list)
    moves: list[list[str]] = field(default_factory=list)  # [movement, axis, level] of the rungs advised
    stranger: bool = False  # another client than the card's was announced


class Assistant:
    """Answers questions from one rulebase; `turn` holds the conversation."""

    def __init__(self, rulebase: Rulebase, reader: Reader | None = None) -> None:
        self.rulebase = rulebase
        self.reader = reader or Reader(rulebase)
        self.index = EntryIndex(rulebase)
        self._alone = Reader(rulebase.shipped, self.reader.today) if rulebase.shipped else None
        self.composer = Composer(rulebase, self.index)
        self.turn = Turn()

    def reset(self) -> None:
        """Forget the conversation."""
        self.turn = Turn()

    def flags(self, question: Question) -> list[FlagHit]:
        """Red flags of a question, the most urgent first. Under house rules the shipped rules look at its text alone too:
        a name, a pattern or a word of a studio cannot hide what they find."""
        hits = flags(question, self.rulebase)
        if self._alone is None:
            return hits
        found = {hit.flag: hit for hit in [*flags(self._alone.read(question.text), self._alone.rulebase), *hits]}
        return most_urgent(found.values(), self.rulebase)

    def ask(
        self,
        text: str,
        follow: bool = False,
        clock: Callable[[], float] = time.perf_counter,
        card: Profile | None = None,
    ) -> Answer:
        """Answer one question; with `follow` it leans on the turn before, with `card` on what is known of the client."""
        began = clock()
        question = self.reader.read(text)
        if not follow:
            self.reset()
        fresh = "new-client" in question.dialogue
        if fresh:
            self.turn = Turn(_only_movement(self.turn.question, question), stranger=True)
        unused = add_card(card, question) if self.turn.question is None and not self.turn.stranger else ""
        question = carry(self.turn.question, question, self.turn.moves)
        answer = self._answer(question, None if unused or self.turn.stranger else card)
        answer.notes += [unused] if unused else []
        answer.elapsed_ms = (clock() - began) * 1000
        return answer

    def _answer(self, question: Question, card: Profile | None = None) -> Answer:
        hits = self.flags(question)
        if hits or self.turn.referral:
            self.turn.referral = hits or self.turn.referral
            self.turn.question = question
            return self.composer.referral(question, self.turn.referral)
        if question.scope == "out":
            return self.composer.out_of_scope(question, _medicine(question, self.rulebase))
        if self._wants_session(question, card is not None):
            return self._session(question, card)
        ask = asked(question, self.rulebase, self.turn.figures)
        figures, meant, refused = figures_for(ask)
        before = question.intent
        self._settle_intent(question, meant)
        if question.intent != before:
            figures, _, refused = figures_for(ask)
        ranked = self.index.rank(question)
        trip = self._trip(question) if ask.now("route") else None
        if not figures and trip is None and not self._sure(question, ranked):
            return self._not_sure(question, ranked)
        if not question.intent:
            question.intent = "dose" if figures else "explain"
        answer = self.composer.advice(question, ranked, figures, drills(question, self.rulebase), trip)
        answer.score = ranked[0].score if ranked else 0.0
        if refused:
            answer.notes.append(refused)
        moves = [point.rule.split("/")[1:] for point in answer.points if point.rule.count("/") == 3]
        self.turn = Turn(question, answer.figures, moves=moves)
        return answer

    def _trip(self, question: Question) -> Trip | None:
        """The route asked for, when the question says where to."""
        way = asked_way(question, self.rulebase)
        if way is None:
            return None
        bounds = limits(self.rulebase.knowledge, question.conditions, missing_kit(question, self.rulebase))
        return Trip(*way, bounds)

    def _wants_session(self, question: Question, has_card: bool) -> bool:
        if not self.rulebase.lexicon.owned(question.hits, "session"):
            return False
        from assistant.planning.wanted import wanted  # most questions need none of it

        return wanted(question, self.rulebase, has_card)

    def _session(self, question: Question, card: Profile | None) -> Answer:
        """A session built for the client told of in the question and on the card."""
        from assistant.planning.building import session
        from assistant.planning.person import of_card, of_question, told_minutes

        knowledge = self.rulebase.knowledge
        person = of_question(question, self.rulebase, of_card(card, knowledge) if card else None)
        question.intent = "plan"
        try:
            found = session(knowledge, person, told_minutes(question, self.rulebase))
        except InputError as error:
            found = session(knowledge, person)
            answer = self.composer.session(question, found)
            answer.notes.append(f"{error.what[0].upper()}{error.what[1:]}; {error.fix}.")
        else:
            answer = self.composer.session(question, found)
        moves = [
            [rung.movement, rung.axis, rung.level]
            for line in found.lines
            if line.movement == found.toward
            for rung in line.next[:1]
        ]
        self.turn = Turn(question, answer.figures, moves=moves)
        return answer

    def _settle_intent(self, question: Question, meant: str) -> None:
        """Words alone often leave the intent open; the figure asked for (`meant`) and what the entries are for decide too."""
        if question.intent_carried:
            return
        if meant:
            question.intent_scores[meant] = question.intent_scores.get(meant, 0.0) + FIGURE_WEIGHT
        question.intent_scores = intents.with_kinds(question.intent_scores, self.index.kinds(question), KIND_WEIGHT)
        question.intent = intents.best(question.intent_scores) or question.intent

    def _sure(self, question: Question, ranked: list[Match]) -> bool:
        if not ranked:
            return False
        clear = question.scope == "in" or max(self.index.lexical(question).values(), default=0.0) >= KNOWN_SHARE
        return clear and ranked[0].score >= MIN_SCORE

    def _not_sure(self, question: Question, ranked: list[Match]) -> Answer:
        lexical = max(self.index.lexical(question).values(), default=0.0)
        if question.scope == "unclear" and lexical < OFF_SHARE:
            return self.composer.out_of_scope(question, False)
        return self.composer.unsure(question, ranked)


def _only_movement(before: Question | None, now: Question) -> Question | None:
    """What another client keeps of the turn before: nothing, or only the movement when the coach says it is the same."""
    if before is None or "same-movement" not in now.dialogue:
        return None
    return Question(before.text, movements=list(before.movements), intent=before.intent)


def _medicine(question: Question, rulebase: Rulebase) -> bool:
    return "medicine" in rulebase.lexicon.owned(question.hits, "off")
