"""Dataclasses of the rules by which a session is built (knowledge/sessions/). Each names the entry it rests on and its
sources; minutes are whole, seconds as written, pairs of numbers run from the smaller to the larger."""

from __future__ import annotations

import typing
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, TypeVar

from assistant.rulebase.model import Forbid

T = TypeVar("T")
Span = tuple[int, int]
UNITS = ("reps", "holds", "lifts", "steps", "rises", "returns", "trips")
AIMS = ("learn", "strength", "power")
WATCH = ("hands", "reach", "near", "eyes")


@dataclass(frozen=True)
class Check:
    """One question about a client: a screen's result, or a rung that is trained already."""

    screen: str = ""
    line: str = ""  # a table of the screen, read by age and sex
    met: bool = True
    least: float | None = None
    under: float | None = None
    trained: str = ""
    at: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Case:
    """A starting state: where every check of `every` holds, or one of `some`."""

    every: tuple[Check, ...]
    some: tuple[Check, ...]
    to: tuple[tuple[str, str], ...]
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Start:
    """Where a client starts on one movement's ladder."""

    movement: str
    unit: str
    sides: int
    ask: tuple[str, ...]
    ready: tuple[Check, ...]
    unknown_is_safe: bool
    cases: tuple[Case, ...]
    safe: tuple[tuple[str, str], ...]
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Slot:
    """A place in a part: one of its movements stands there."""

    id: str
    name: str
    works: str
    movements: tuple[str, ...]
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Fixed:
    """A line that is the same for everybody."""

    id: str
    name: str
    do: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Rehearsal:
    """The first movement of another part, one rung easier."""

    part: str
    minutes: int
    name: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """One part of a session; `aim` limits it to sessions of that aim, `drop` 1 goes first when time is short."""

    id: str
    name: str
    aim: str
    least: int
    share: int
    most: int
    drop: int
    slots: tuple[Slot, ...]
    fixed: tuple[Fixed, ...]
    rehearse: Rehearsal | None
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Dose:
    """Sets, counts, reserve, seconds a count and rest in seconds."""

    id: str
    aim: str
    unit: str
    sets: Span
    count: Span
    reserve: int
    seconds: int
    rest: int
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Adjust:
    """What an age or a condition makes of a dose: the smaller numbers and the longer rest count."""

    id: str
    conditions: tuple[str, ...]
    age_from: float | None
    movements: tuple[str, ...]
    units: tuple[str, ...]
    sets: Span | None
    count: Span | None
    reserve: int | None
    rest: int | None
    minutes: int | None
    effort: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Goal:
    """What the client wants: the movement and rung that lead there, the slots that matter most."""

    id: str
    name: str
    movement: str
    at: tuple[tuple[str, str], ...]
    via: tuple[str, ...]
    favours: tuple[str, ...]
    early: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Hold:
    """What comes before training: parts refused and rungs closed until somebody named has cleared it; axes of `back`
    stand one rung easier than noted, cleared or not."""

    id: str
    conditions: tuple[str, ...]
    within_weeks: float | None
    unless_trained: bool
    refuse: tuple[str, ...]
    keep_held: bool
    back: tuple[str, ...]
    forbids: tuple[Forbid, ...]
    say: str
    cleared: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Wait:
    """Movements or parts that wait with a condition."""

    id: str
    conditions: tuple[str, ...]
    movements: tuple[str, ...]
    parts: tuple[str, ...]
    say: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Watch:
    """How close the coach must be, and how many such workers one coach can watch at once."""

    id: str
    level: str
    limit: int
    conditions: tuple[str, ...]
    movements: tuple[str, ...]
    works: tuple[str, ...]
    axis: str
    least: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Apart:
    """Two clients who both have one of these conditions do not make a pair."""

    id: str
    conditions: tuple[str, ...]
    say: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Minutes:
    """The shortest, the usual and the longest session."""

    least: int = 15
    usual: int = 45
    most: int = 90
    rule: str = ""
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Stations:
    """How a class goes round: fewest and most stations, minutes at each at least, people at one."""

    least: int = 3
    most: int = 6
    minutes: int = 4
    pair: int = 2
    rule: str = ""
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class SessionRules:
    """All rules of sessions."""

    minutes: Minutes = Minutes()
    stations: Stations = Stations()
    parts: tuple[Part, ...] = ()
    doses: tuple[Dose, ...] = ()
    adjust: tuple[Adjust, ...] = ()
    starts: tuple[Start, ...] = ()
    goals: tuple[Goal, ...] = ()
    holds: tuple[Hold, ...] = ()
    waits: tuple[Wait, ...] = ()
    watching: tuple[Watch, ...] = ()
    apart: tuple[Apart, ...] = ()

    def start(self, movement: str) -> Start | None:
        """The start rule of a movement."""
        return next((each for each in self.starts if each.movement == movement), None)

    def goal(self, name: str) -> Goal | None:
        """The goal with this id."""
        return next((each for each in self.goals if each.id == name), None)


def thawed(kind: type[T], data: Mapping[str, Any]) -> T:
    """A dataclass from the JSON data of `dataclasses.asdict`; lists become tuples by the types declared."""
    hints = typing.get_type_hints(kind)
    return kind(**{each.name: _value(hints[each.name], data[each.name]) for each in fields(kind)})  # type: ignore[arg-type]


def _value(hint: Any, value: Any) -> Any:
    if value is None:
        return None
    parts = typing.get_args(hint)
    if typing.get_origin(hint) is tuple:
        inner = parts[:1] * len(value) if len(parts) == 2 and parts[1] is Ellipsis else parts
        return tuple(_value(one, each) for one, each in zip(inner, value, strict=True))
    for option in parts or (hint,):
        if is_dataclass(option):
            return thawed(option, value)  # type: ignore[arg-type]
        if typing.get_origin(option) is tuple:
            return _value(option, value)
    return value
