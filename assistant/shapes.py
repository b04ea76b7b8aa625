"""The plain shapes handed from step to step, in the order they are made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

Span = tuple[int, int]


@dataclass(frozen=True)
class Word:
    """One word of the cleaned question: its text, the word as typed, its sentence and clause (from 0), its place in the text."""

    text: str
    typed: str
    sentence: int
    clause: int
    forms: tuple[str, ...]
    at: int = 0


@dataclass(frozen=True)
class Mention:
    """A concept found in the words: kind (movement, condition, ...), id, where, how, and in which sense it is meant."""

    kind: str
    id: str
    span: Span
    phrase: str
    sense: str = "said"  # said | denied | past | supposed | other


@dataclass
class Facts:
    """What the question states in numbers and sides; lengths in cm, masses in kg, times in the unit named."""

    values: dict[str, float] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    marks: dict[str, Span] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        return {**{k: round(v, 2) for k, v in self.values.items()}, **self.words}


@dataclass
class Question:
    """A question understood: what it asks, of which movements, conditions and kit, with which facts."""

    text: str
    words: tuple[Word, ...] = ()
    intent: str = ""
    intent_scores: dict[str, float] = field(default_factory=dict)
    intent_carried: bool = False
    movements: list[str] = field(default_factory=list)
    conditions: list[str] = field(default_factory=list)
    equipment: list[str] = field(default_factory=list)
    screens: list[str] = field(default_factory=list)
    denied: list[str] = field(default_factory=list)
    missing_kit: list[str] = field(default_factory=list)
    reports: list[str] = field(default_factory=list)
    levels: dict[str, str] = field(default_factory=dict)
    facts: Facts = field(default_factory=Facts)
    mentions: list[Mention] = field(default_factory=list)
    hits: dict[int, list[Span]] = field(default_factory=dict)
    hits_before: dict[int, list[Span]] = field(default_factory=dict)
    carried: list[str] = field(default_factory=list)
    scope: str = "in"  # in | out | unclear
    target: dict[str, str] = field(default_factory=dict)
    lexical: frozenset[str] = frozenset()
    lexical_before: frozenset[str] = frozenset()
    implied: list[str] = field(default_factory=list)
    dialogue: set[str] = field(default_factory=set)
    variants: list[str] = field(default_factory=list)
    senses: Callable[[Span], str] = field(default=lambda span: "said", repr=False)
    found: Any = field(default=None, repr=False)


@dataclass(frozen=True)
class FlagHit:
    """A red flag seen in the question and the words that raised it."""

    flag: str
    tier: str
    phrase: str


@dataclass(frozen=True)
class Match:
    """An entry that fits the question, its score and the reasons in words."""

    entry: str
    score: float
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Figure:
    """A computed or published number: quantity, value in `unit`, range, inputs, sources, and the sentence that gives it."""

    quantity: str
    value: float
    unit: str
    sources: tuple[str, ...]
    sentence: str = ""
    range: tuple[float, float] | None = None
    inputs: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Move:
    """One step on a movement's ladder: the axis, the level it leads to and how to say it."""

    movement: str
    axis: str
    level: str
    say: str
    sources: tuple[str, ...]
    why: str = ""


@dataclass(frozen=True)
class Point:
    """One piece of advice in an answer."""

    rule: str
    kind: str
    text: str
    why: str
    sources: tuple[str, ...]
    evidence: str


@dataclass
class Answer:
    """The answer, ready for any rendering."""

    question: str
    status: str
    intent: str
    urgency: str | None = None
    movements: list[str] = field(default_factory=list)
    conditions: list[str] = field(default_factory=list)
    equipment: list[str] = field(default_factory=list)
    carried: list[str] = field(default_factory=list)
    facts: dict[str, Any] = field(default_factory=dict)
    heading: str = ""
    lead: list[str] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)
    figures: list[Figure] = field(default_factory=list)
    watch: str = ""
    criteria: str = ""
    notes: list[str] = field(default_factory=list)
    ask_back: str = ""
    nearest: list[str] = field(default_factory=list)
    sources: dict[str, str] = field(default_factory=dict)
    knowledge: str = ""
    score: float = 0.0
    elapsed_ms: float = 0.0


@dataclass(frozen=True)
class Profile:
    """What a client card adds to a question: age as the middle of its band, conditions as (id, side, weeks since), rungs
    by `movement` or `movement/side`, results as (screen, side, value, unit)."""

    code: str
    ages: tuple[int, int] | None = None
    sex: str = ""
    stature_cm: float | None = None
    conditions: tuple[tuple[str, str, float | None], ...] = ()
    kit: tuple[str, ...] = ()
    rungs: dict[str, dict[str, str]] = field(default_factory=dict)
    results: tuple[tuple[str, str, float, str], ...] = ()  # the latest of each screen and side, with its unit
    dated: tuple[str, ...] = ()  # conditions of which it is known whether they are recent

    def as_dict(self) -> dict[str, Any]:
        """As JSON data without the code, for the journal."""
        return {
            "ages": list(self.ages) if self.ages else None, "sex": self.sex, "stature_cm": self.stature_cm,
            "conditions": [list(each) for each in self.conditions], "kit": list(self.kit), "rungs": self.rungs,
            "results": [list(each) for each in self.results], "dated": list(self.dated),
        }  # fmt: skip
