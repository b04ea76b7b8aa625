"""Joins the steps of understanding: from a typed question to a Question."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from assistant.clean import question_text
from assistant.rulebase.index import WORD_LIST
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.patterns import Found, Parts
from assistant.shapes import Mention, Question, Span, Word
from assistant.understanding import intent as intents
from assistant.understanding.facts import FactFinder
from assistant.understanding.scope import Scope
from assistant.understanding.spelling import RealWords, Speller
from assistant.words import tidy, words_of

RECENT_WEEKS = 13.0
TECHNIQUE_FLOOR = 2.0
SURGICAL = ("hip-replacement", "knee-replacement", "spinal-fusion", "pacemaker")
_REPORT_FLOOR = {"balance": 1.5, "fatigue": 1.5, "fear": 1.5, "pain": 1.2, "range": 1.2}


class Reader:
    """Understands questions against one rulebase. `today` is only used to turn a year into weeks."""

    def __init__(self, rulebase: Rulebase, today: Callable[[], datetime.date] = datetime.date.today) -> None:
        self.rulebase = rulebase
        self.today = today
        self.spelled: Mapping[str, str] = {k: str(v) for k, v in rulebase.knowledge.language.get("spelled", {}).items()}
        self.readings: Mapping[str, Any] = rulebase.knowledge.language.get("readings", {})
        self.speller = Speller(rulebase.index, RealWords(rulebase.root / WORD_LIST))

    def read(self, raw: str) -> Question:
        """Understand one question on its own."""
        text = question_text(raw)
        words = words_of(text, self.speller.mend, self.spelled)
        facts = FactFinder(tidy(text), words, self.readings, self.today().year).find()
        question = Question(text=text, words=words, facts=facts)
        if not words:
            question.scope = "unclear"
            return question
        found = self.rulebase.lexicon.search(words, facts.marks)
        patterns = found.patterns()
        self._understand(question, found, patterns)
        return question

    # -- parts -------------------------------------------------------------------------------------------------

    def _owned(self, patterns: Mapping[int, list[Parts]], kind: str) -> Iterable[tuple[str, int, list[Parts]]]:
        owners = self.rulebase.lexicon.owners
        for number, parts in patterns.items():
            for owner_kind, owner in owners[number]:
                if owner_kind == kind:
                    yield owner, number, parts

    def _understand(self, question: Question, found: Found, patterns: dict[int, list[Parts]]) -> None:
        cues: dict[str, list[Span]] = {}
        for name, _, parts in self._owned(patterns, "scope"):
            cues.setdefault(name, []).extend(_whole(p) for p in parts)
        scope = Scope(question.words, cues)
        question.senses = scope.sense
        question.hits = {number: [_whole(p) for p in parts] for number, parts in patterns.items()}
        question.found = found
        self._mentions(question, patterns, scope)
        for owner, _, parts in self._owned(patterns, "report"):
            if owner not in question.reports and any(scope.sense(_whole(p)) not in ("denied", "other") for p in parts):
                question.reports.append(owner)
        for owner, _, _ in self._owned(patterns, "level"):
            movement, axis, level = owner.split("/")
            question.levels.setdefault(f"{movement}/{axis}", level)
        self._recent_surgery(question)
        self._intent(question, patterns)
        self._scope(question, patterns)
        question.dialogue = {owner for owner, _, _ in self._owned(patterns, "dialogue")}
        question.variants = [owner for owner, _, _ in self._owned(patterns, "variant")]
        question.lexical = frozenset(
            form for word in question.words for form in (word.forms[-1],) if len(form) > 1 and not form[0].isdigit()
        )

    def _mentions(self, question: Question, patterns: dict[int, list[Parts]], scope: Scope) -> None:
        blocked = [(owner, _whole(p)) for owner, _, parts in self._owned(patterns, "not") for p in parts]
        movements = self._open(patterns, "movement", blocked) or self._open(patterns, "movement-hint", blocked)
        taken = [mention.span for mention in movements]
        for kind, store in (
            ("movement", question.movements), ("condition", question.conditions),
            ("equipment", question.equipment), ("screen", question.screens),
        ):  # fmt: skip
            mentions = movements if kind == "movement" else self._open(patterns, kind, blocked)
            for mention in mentions:
                if kind == "equipment" and any(_overlap(span, mention.span) for span in taken):
                    continue
                sense = scope.sense(mention.span)
                mention = replace(mention, sense=sense, phrase=_typed(question.words, mention.span))
                question.mentions.append(mention)
                if self._counts(kind, mention):
                    if mention.id not in store:
                        store.append(mention.id)
                elif kind == "condition" and sense == "denied":
                    question.denied.append(mention.id)
                elif kind == "equipment" and sense == "denied":
                    question.missing_kit.append(mention.id)
        question.denied = [c for c in question.denied if c not in question.conditions]
        for screen in question.screens:
            for movement in self.rulebase.knowledge.subjects[screen].movements:
                if movement not in question.movements:
                    question.movements.append(movement)
                    question.implied.append(movement)

    def _open(self, patterns: dict[int, list[Parts]], kind: str, blocked: list[tuple[str, Span]]) -> list[Mention]:
        """The longest mentions of a kind that none of its subject's `not_terms` takes away."""
        return [
            mention
            for mention in self._longest(patterns, kind)
            if not any(owner == mention.id and _overlap(span, mention.span) for owner, span in blocked)
        ]

    def _counts(self, kind: str, mention: Mention) -> bool:
        if kind == "equipment":
            return mention.sense not in ("denied", "idiom")
        if kind != "condition":
            return mention.sense != "idiom"
        if mention.sense in ("denied", "other", "idiom"):
            return False
        return not (self.rulebase.knowledge.subjects[mention.id].current_only and mention.sense == "past")

    def _longest(self, patterns: dict[int, list[Parts]], kind: str) -> list[Mention]:
        """Mentions of a kind in text order; a longer phrase takes the words from a shorter one."""
        candidates: dict[tuple[Span, str], Mention] = {}
        for owner, number, parts in self._owned(patterns, kind):
            for part in parts:
                span = _whole(part)
                candidates.setdefault((span, owner), Mention(kind, owner, span, self.rulebase.lexicon.texts[number]))
        chosen: list[Mention] = []
        for mention in sorted(candidates.values(), key=lambda m: (m.span[0] - m.span[1], m.span[0], m.id)):
            if not any(_overlap(mention.span, other.span) and other.span != mention.span for other in chosen):
                chosen.append(mention)
        return sorted(chosen, key=lambda m: (m.span[0], m.id))

    def _recent_surgery(self, question: Question) -> None:
        weeks = question.facts.values.get("weeks_since")
        operated = [c for c in question.conditions if c in SURGICAL]
        known = "recent-surgery" in self.rulebase.knowledge.subjects
        if (
            known
            and weeks is not None
            and operated
            and "recent-surgery" not in question.conditions
            and weeks <= RECENT_WEEKS
        ):
            question.conditions.append("recent-surgery")
        if weeks is not None and weeks > RECENT_WEEKS and "recent-surgery" in question.conditions and operated:
            question.conditions.remove("recent-surgery")
        if "bp-raised" in question.facts.marks and "hypertension" not in question.conditions:
            question.conditions.append("hypertension")

    def _intent(self, question: Question, patterns: dict[int, list[Parts]]) -> None:
        marked = _marked(question)
        asked = _asked(question, marked)
        found = [
            (owner, any(_sentence(question, p) in asked for p in parts))
            for owner, _, parts in self._owned(patterns, "intent")
        ]
        found += [
            (owner, True)
            for owner, _, parts in self._owned(patterns, "closing")
            if any(_closes(question, p, marked) for p in parts)
        ]
        topics = {owner for owner, _, _ in self._owned(patterns, "topic")}
        floors: dict[str, float] = {}
        if question.reports:
            floors["regress"] = max(_REPORT_FLOOR.get(report, 0.9) for report in question.reports)
        if "technique" in topics:
            floors["cue"] = 1.2 if question.conditions else TECHNIQUE_FLOOR
        if question.conditions:
            floors["caution"] = 1.3
        extra: dict[str, float] = {"caution": 0.6} if question.conditions else {}
        if question.screens:
            numbers = any(word.text[0].isdigit() for word in question.words)
            extra["screen"] = 3.0 if numbers else 1.0
        question.intent_scores = intents.scores(found, floors, extra)
        question.intent = intents.best(question.intent_scores)

    def _scope(self, question: Question, patterns: dict[int, list[Parts]]) -> None:
        off = {owner for owner, _, _ in self._owned(patterns, "off")}
        subject = question.movements or question.conditions or question.screens
        if off and ("medicine" in off or not question.movements):
            question.scope = "out"
        elif not (subject or question.equipment or question.reports):
            about = any(True for _ in self._owned(patterns, "about"))
            question.scope = "in" if about else "unclear"


_ASKING = frozenset(
    [
        "what",
        "how",
        "which",
        "where",
        "when",
        "why",
        "who",
        "any",
        "anything",
        "should",
        "can",
        "could",
        "do",
        "does",
        "is",
        "are",
        "whats",
        "hows",
        "wheres",
        "shall",
    ]
)


def _marked(question: Question) -> set[int]:
    """The sentences that end in a question mark."""
    text, words = tidy(question.text), question.words
    places = [at for at, char in enumerate(text) if char == "?" and words[0].at < at]
    return {max(w.sentence for w in words if w.at < at) for at in places}


def _asked(question: Question, marked: set[int]) -> set[int]:
    """The sentences that ask: those with a question mark, else those with a word that asks, else the last."""
    words = question.words
    return marked or {w.sentence for w in words if w.text in _ASKING} or {words[-1].sentence}


def _sentence(question: Question, parts: Parts) -> int:
    return question.words[parts[-1][0]].sentence


def _closes(question: Question, parts: Parts, marked: set[int]) -> bool:
    """Whether a match ends its sentence as an ask: "... dead easy. Add?", "... on a 4, easy - next"."""
    words, (start, end) = question.words, _whole(parts)
    if end < len(words) and words[end].sentence == words[end - 1].sentence:
        return False
    if any(m.kind == "movement" and _overlap(m.span, (start, end)) for m in question.mentions):
        return False
    alone = start == 0 or words[start - 1].clause != words[start].clause
    return alone or words[start].sentence in marked


def _whole(parts: Parts) -> Span:
    return min(p[0] for p in parts), max(p[1] for p in parts)


def _overlap(one: Span, other: Span) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def _typed(words: tuple[Word, ...], span: Span) -> str:
    return " ".join(dict.fromkeys(word.typed for word in words[span[0] : span[1]]))
