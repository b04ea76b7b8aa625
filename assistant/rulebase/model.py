"""Dataclasses of everything the knowledge files hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from assistant.rulebase.session_model import SessionRules

KINDS = ("regression", "progression", "caution", "setup", "dose", "cue", "screen", "reason", "plan")
INTENT_KIND = {
    "regress": "regression", "progress": "progression", "caution": "caution", "setup": "setup", "dose": "dose",
    "cue": "cue", "screen": "screen", "explain": "reason", "plan": "plan",
}  # fmt: skip
KIND_INTENT = {kind: intent for intent, kind in INTENT_KIND.items()}
EVIDENCE = (
    "guideline", "standard", "position-stand", "review", "trial", "cohort", "cross-sectional", "handbook",
    "common-practice",
)  # fmt: skip
TIERS = ("emergency", "same-day", "soon")
REPORTS = ("balance", "pain", "fear", "shift", "fatigue", "control", "range")
SUPPORT_ORDER = ("fixed-support", "two-poles", "contralateral", "ipsilateral", "touch-down", "none")


@dataclass(frozen=True)
class Source:
    """A published source, or the mark `common-practice`."""

    id: str
    authors: str
    year: str
    title: str
    where: str
    locator: str
    kind: str
    verified: str

    def full(self) -> str:
        """The reference as `sources` of an answer gives it: Author (year). Title. Where. Locator."""
        if self.id == "common-practice":
            return "Common practice among coaches of older adults (no published source)."
        year = f" ({self.year})" if self.year else ""
        parts = [f"{self.authors}{year}", self.title, self.where, self.locator]
        return ". ".join(part.rstrip(". ") for part in parts if part) + "."

    def short(self) -> str:
        """First author and year, for a source line."""
        if self.id == "common-practice":
            return "common practice"
        head = self.authors.split(",")[0].split(";")[0].split(" (")[0].strip()
        words = head.split()
        if len(words) > 1 and words[-1].isupper() and len(words[-1]) <= 4:
            head = " ".join(words[:-1])
        return f"{head} {self.year}".strip()


@dataclass(frozen=True)
class StaticFigure:
    """A number an entry states, with its unit, range and source."""

    quantity: str
    value: float
    unit: str
    low: float | None
    high: float | None
    source: str


@dataclass(frozen=True)
class Forbid:
    """Rungs a caution rules out: on `axis` of the movements, levels harder than `above`, easier than `below`, or `level`."""

    movements: tuple[str, ...]
    axis: str
    level: str
    above: str
    below: str


@dataclass(frozen=True)
class Entry:
    """One piece of advice; `house` when it comes from a studio's own folder.

    `decides` names a decision (language/decisions.yaml) in which this entry overrules the general rule.
    """

    id: str
    kind: str
    subject: str
    movements: tuple[str, ...]
    conditions: tuple[str, ...]
    all_conditions: bool
    equipment: tuple[str, ...]
    about: tuple[int, ...]
    only_about: bool
    report: str
    say: str
    why: str
    watch: str
    sources: tuple[str, ...]
    evidence: str
    verified: str
    figures: tuple[StaticFigure, ...]
    forbids: tuple[Forbid, ...]
    asks: tuple[str, ...]
    asks_not: tuple[str, ...]
    file: str
    line: int
    house: bool = False
    decides: str = ""


@dataclass(frozen=True)
class Level:
    """A rung on one axis; `stand_in` says how to do it with other kit (`stand_in_needs`) when its own is missing."""

    id: str
    name: str
    do: str
    value: float | None
    needs: tuple[str, ...]
    sources: tuple[str, ...]
    stand_in: str = ""
    stand_in_needs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Axis:
    """An ordered axis of a ladder, easiest level first."""

    id: str
    unit: str
    levels: tuple[Level, ...]

    def index(self, level: str) -> int:
        """Place of a level id on the axis, or -1."""
        return next((i for i, each in enumerate(self.levels) if each.id == level), -1)


@dataclass(frozen=True)
class Neighbour:
    """Another movement next to this one on the ladder, and how or when to go there."""

    movement: str
    text: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Ladder:
    """The axes of a movement, where a client starts, and what to ease or load first."""

    axes: tuple[Axis, ...]
    start: dict[str, str]
    first: dict[str, tuple[str, ...]]
    harder: tuple[str, ...]
    up: str
    down: str
    sources: tuple[str, ...]
    easier_movements: tuple[Neighbour, ...]
    harder_movements: tuple[Neighbour, ...]
    needs_first: tuple[Neighbour, ...]

    def axis(self, name: str) -> Axis | None:
        """The axis with this id, if the movement has it."""
        return next((axis for axis in self.axes if axis.id == name), None)


@dataclass(frozen=True)
class Subject:
    """A movement, condition, piece of equipment, screen or topic."""

    id: str
    kind: str
    name: str
    file: str
    ladder: Ladder | None = None
    current_only: bool = False
    movements: tuple[str, ...] = ()


@dataclass(frozen=True)
class Row:
    """One row of a screen's table."""

    sex: str
    age_min: float | None
    age_max: float | None
    condition: str
    value: float | None
    low: float | None
    high: float | None
    label: str
    extra: dict[str, str]


@dataclass(frozen=True)
class Table:
    """A published table of one screen: cut-offs, norms or bands."""

    id: str
    screen: str
    quantity: str
    unit: str
    better: str
    meaning: str
    rows: tuple[Row, ...]
    change: float | None
    change_unit: str
    source: str
    change_source: str
    verified: str
    change_condition: str = ""


@dataclass(frozen=True)
class Flag:
    """A red flag; with `anyone` its signs count whoever they are said of; `house` when a studio added it."""

    id: str
    tier: str
    sees: str
    do: tuple[str, ...]
    tell: str
    worse: str
    anyone: bool
    sources: tuple[str, ...]
    evidence: str
    asks: tuple[str, ...]
    asks_not: tuple[str, ...]
    file: str
    line: int
    house: bool = False


@dataclass
class Knowledge:
    """All knowledge, checked; `language` holds the plain tables of language/*.yaml."""

    sources: Mapping[str, Source] = field(default_factory=dict)
    subjects: Mapping[str, Subject] = field(default_factory=dict)
    entries: Mapping[str, Entry] = field(default_factory=dict)
    flags: Mapping[str, Flag] = field(default_factory=dict)
    tables: Mapping[str, Table] = field(default_factory=dict)
    language: dict[str, dict[str, Any]] = field(default_factory=dict)
    digest: str = ""
    sessions: Mapping[str, SessionRules] = field(default_factory=dict)

    @property
    def session(self) -> SessionRules:
        """The rules of sessions; raises KeyError in a knowledge that has none."""
        return self.sessions["all"]
