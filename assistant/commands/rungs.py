"""One movement's ladder for one client: which rungs are closed and why, the way between two states, what to draw."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from assistant.errors import InputError
from assistant.matching.ladder import State, forbidden, route
from assistant.rendering import drawing
from assistant.rulebase.model import Axis, Entry, Forbid, Knowledge, Ladder, Level, Neighbour


@dataclass(frozen=True)
class Limits:
    """What rules rungs out: the cautions of the client's conditions (entries with forbids) and kit that is missing."""

    entries: tuple[Entry, ...] = ()
    missing: tuple[str, ...] = ()

    @property
    def forbids(self) -> tuple[Forbid, ...]:
        """The forbids of all entries."""
        return tuple(forbid for entry in self.entries for forbid in entry.forbids)

    def open(self, axis: Axis, level: Level) -> bool:
        """Whether the kit of a rung is there."""
        return not any(kit in self.missing for kit in level.needs)


def limits(knowledge: Knowledge, conditions: Sequence[str], missing: Sequence[str] = ()) -> Limits:
    """The limits that conditions, missing kit and a studio's own rules for everyone set; rules for a special case only
    (`only_about`) close nothing."""
    entries = [
        entry
        for entry in knowledge.entries.values()
        if entry.forbids and (entry.conditions or entry.house) and not entry.only_about and _holds(entry, conditions)
    ]
    return Limits(tuple(entries), tuple(missing))


def _holds(entry: Entry, conditions: Sequence[str]) -> bool:
    every = all if entry.all_conditions else any
    return not entry.conditions or every(condition in conditions for condition in entry.conditions)


def ladder_of(knowledge: Knowledge, movement: str) -> Ladder:
    """The ladder of a movement; raises InputError when it has none."""
    ladder = knowledge.subjects[movement].ladder
    if ladder is None:
        raise InputError("this movement has no ladder", movement, "see `rungbook knowledge list`")
    return ladder


def full_state(ladder: Ladder, given: Mapping[str, str]) -> State:
    """A state on every axis: given levels first, then the ladder's start, then the easiest."""
    return {axis.id: given.get(axis.id) or ladder.start.get(axis.id) or axis.levels[0].id for axis in ladder.axes}


def why_closed(knowledge: Knowledge, movement: str, axis: Axis, level: Level, bounds: Limits) -> list[str]:
    """Reasons why a rung is out of bounds, each in a sentence; empty when it is open."""
    reasons = []
    for entry in bounds.entries:
        if forbidden(entry.forbids, movement, axis, level.id):
            names = " with ".join(knowledge.subjects[condition].name for condition in entry.conditions)
            reasons.append(f"{names or 'house rule'}: {entry.say}")
    for kit in level.needs:
        if kit in bounds.missing:
            reasons.append(f"needs {knowledge.subjects[kit].name}, which is not there")
    return reasons


def view(
    knowledge: Knowledge, movement: str, bounds: Limits, here: Mapping[str, str], goal: Mapping[str, str]
) -> drawing.LadderView:
    """The ladder to draw; `here` marks the present rungs, without it the usual start is marked."""
    subject, ladder = knowledge.subjects[movement], ladder_of(knowledge, movement)
    rails = tuple(
        drawing.Rail(axis.id.replace("-", " "), tuple(
            drawing.Rung(level.name, _marks(movement, axis, level, ladder, bounds, here, goal)) for level in axis.levels
        ))
        for axis in ladder.axes
    )  # fmt: skip
    return drawing.LadderView(
        f"Ladder of {subject.name}", rails,
        tuple(_door(knowledge, door, bounds) for door in ladder.harder_movements),
        tuple(_door(knowledge, door, bounds) for door in ladder.easier_movements),
    )  # fmt: skip


def _door(knowledge: Knowledge, door: Neighbour, bounds: Limits) -> str:
    closed = "" if _enterable(knowledge, door.movement, bounds) else " (closed at its usual start)"
    return f"{knowledge.subjects[door.movement].name}{closed}: {door.text}"


def _marks(
    movement: str, axis: Axis, level: Level, ladder: Ladder, bounds: Limits,
    here: Mapping[str, str], goal: Mapping[str, str],
) -> tuple[str, ...]:  # fmt: skip
    marks = []
    if here.get(axis.id) == level.id:
        marks.append(drawing.HERE)
    elif not here and ladder.start.get(axis.id) == level.id:
        marks.append(drawing.START)
    if goal.get(axis.id) == level.id and here.get(axis.id) != level.id:
        marks.append(drawing.GOAL)
    if forbidden(bounds.forbids, movement, axis, level.id):
        marks.append(drawing.CLOSED)
    if not bounds.open(axis, level):
        marks.append(drawing.NO_KIT)
    return tuple(marks)


# -- ways --------------------------------------------------------------------------------------------------------------


@dataclass
class Way:
    """A route inside one movement: its rungs as (axis, level), or why there is none."""

    movement: str
    start: State
    goal: State
    rungs: list[tuple[Axis, Level]] | None
    blocked: list[tuple[Axis, Level, str]] = field(default_factory=list)


def way(knowledge: Knowledge, movement: str, start: State, goal: State, bounds: Limits) -> Way:
    """The shortest open route from state to state, one axis at a time; without one, every rung that blocks it."""
    ladder = ladder_of(knowledge, movement)
    found = route(ladder, movement, start, goal, bounds.forbids, bounds.open)
    if found is None:
        return Way(movement, start, goal, None, _blocked(knowledge, movement, ladder, start, goal, bounds))
    rungs = [(axis, axis.levels[axis.index(level)]) for name, level in found for axis in [ladder.axis(name)] if axis]
    return Way(movement, start, goal, rungs)


def _between(axis: Axis, start: str, goal: str) -> list[Level]:
    """The rungs from start (left out) to goal (included), in the order they are met."""
    here, there = axis.index(start), axis.index(goal)
    step = 1 if there >= here else -1
    return [axis.levels[place] for place in range(here + step, there + step, step)] if here != there else []


def _blocked(
    knowledge: Knowledge, movement: str, ladder: Ladder, start: State, goal: State, bounds: Limits
) -> list[tuple[Axis, Level, str]]:
    return [
        (axis, level, reason)
        for axis in ladder.axes
        for level in _between(axis, start[axis.id], goal[axis.id])
        for reason in why_closed(knowledge, movement, axis, level, bounds)
    ]


def furthest(knowledge: Knowledge, movement: str, start: State, goal: State, bounds: Limits) -> State:
    """The state nearest to the goal that stays clear of every closed rung."""
    reached = dict(start)
    for axis in ladder_of(knowledge, movement).axes:
        for level in _between(axis, start[axis.id], goal[axis.id]):
            if why_closed(knowledge, movement, axis, level, bounds):
                break
            reached[axis.id] = level.id
    return reached


def doors(knowledge: Knowledge, origin: str, target: str, bounds: Limits) -> list[tuple[str, str]] | None:
    """The fewest doors from movement to movement as (movement entered, how); doors up first, then doors down too.

    A movement whose usual start is closed is not entered.
    """
    for downward in (False, True):
        came: dict[str, tuple[str, str]] = {origin: ("", "")}
        queue = deque([origin])
        while queue:
            here = queue.popleft()
            for movement, text in _doors_of(knowledge, here, downward):
                if movement not in came and (movement == target or _enterable(knowledge, movement, bounds)):
                    came[movement] = (here, text)
                    queue.append(movement)
        if target in came:
            return _traced(came, target)
    return None


def _doors_of(knowledge: Knowledge, movement: str, downward: bool) -> Iterable[tuple[str, str]]:
    ladder = knowledge.subjects[movement].ladder
    if ladder is None:
        return []
    neighbours = [*ladder.harder_movements, *(ladder.easier_movements if downward else ())]
    return [(each.movement, each.text) for each in neighbours]


def _enterable(knowledge: Knowledge, movement: str, bounds: Limits) -> bool:
    ladder = knowledge.subjects[movement].ladder
    if ladder is None:
        return False
    start = full_state(ladder, {})
    return not any(
        why_closed(knowledge, movement, axis, axis.levels[axis.index(start[axis.id])], bounds) for axis in ladder.axes
    )


def _traced(came: Mapping[str, tuple[str, str]], target: str) -> list[tuple[str, str]]:
    steps: list[tuple[str, str]] = []
    here = target
    while came[here][0]:
        before, text = came[here]
        steps.append((here, text))
        here = before
    return steps[::-1]
