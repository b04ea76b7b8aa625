"""The plain shapes of a planned session, for one client or a class. Minutes are in half-minutes at the finest."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Rung:
    """A next rung: one axis changed by one level, what to do and what must hold before it."""

    movement: str
    axis: str
    level: str
    name: str
    do: str
    criterion: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Reason:
    """Something said of the whole session or of a movement left out, with the rule it rests on."""

    what: str
    text: str
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Line:
    """One line of a session: a movement at its starting rung with its dose, or a fixed instruction (`movement` empty)."""

    slot: str
    movement: str
    name: str
    do: str
    dose: str
    minutes: float
    rule: str
    dose_rule: str
    sources: tuple[str, ...]
    state: dict[str, str] = field(default_factory=dict)
    short: str = ""  # the rung in a few words, the support left out
    basis: str = ""
    check: str = ""  # where no screen decides: the movement's own check before going on
    next: tuple[Rung, ...] = ()
    closed: tuple[Reason, ...] = ()  # why the ladder ends after `next`
    back: str = ""
    cautions: tuple[Reason, ...] = ()
    watch: str = "eyes"
    limit: int = 10  # how many such workers one coach can watch at once
    watch_rule: str = ""


@dataclass(frozen=True)
class Block:
    """One part of a session; without lines `absent` says why."""

    part: str
    name: str
    minutes: float
    lines: tuple[Line, ...]
    absent: tuple[Reason, ...]
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Session:
    """A session for one client."""

    client: str
    heading: str
    minutes: int
    goal: str
    goal_name: str
    first: tuple[Reason, ...]
    blocks: tuple[Block, ...]
    left_out: tuple[Reason, ...]
    open: tuple[str, ...]  # movements in reach that this session has no time for
    ask: str
    toward: str = ""  # the movement whose next rungs lead to the goal
    sources: dict[str, str] = field(default_factory=dict)
    knowledge: str = ""

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines in order."""
        return tuple(line for block in self.blocks for line in block.lines)


@dataclass(frozen=True)
class Station:
    """A place of the round: what each client does there, or why somebody rests."""

    slot: str
    name: str
    versions: dict[str, Line]
    rests: dict[str, Reason]
    shared: bool  # whether all who work there do so at the same rung
    kit: tuple[str, ...] = ()


@dataclass(frozen=True)
class Turn:
    """One round: which pair is at which station, and in each half who works."""

    number: int
    places: tuple[tuple[int, tuple[str, ...]], ...]  # station from 0, the pair in the order they work
    warning: str = ""


@dataclass(frozen=True)
class Shared:
    """A part that all do at the same time: lines for everybody, and each client's own."""

    part: str
    name: str
    minutes: float
    common: tuple[Line, ...]
    own: dict[str, tuple[Line, ...]]
    absent: dict[str, tuple[Reason, ...]]
    rule: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class ClassPlan:
    """A session for a class: what all do together, the stations, the rounds and what one coach cannot watch."""

    clients: tuple[Session, ...]
    minutes: int
    together: tuple[Shared, ...]
    pairs: tuple[tuple[str, ...], ...]
    stations: tuple[Station, ...]
    turns: tuple[Turn, ...]
    each: float  # minutes at a station
    warnings: tuple[Reason, ...]
    rules: tuple[Reason, ...]
    sources: dict[str, str] = field(default_factory=dict)
    knowledge: str = ""

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every line of every client."""
        shared = [
            line for part in self.together for line in (*part.common, *(x for own in part.own.values() for x in own))
        ]
        return (*shared, *(line for station in self.stations for line in station.versions.values()))
