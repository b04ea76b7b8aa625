"""Ways over the ladders for one client: which rungs are closed and why, routes inside a movement, doors between them."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterable
from dataclasses import dataclass, field

from assistant.matching.ladder import State, route
from assistant.matching.limits import Limits, full_state, ladder_of, why_closed
from assistant.rulebase.model import Axis, Knowledge, Ladder, Level

MOST_DOORS = 9


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

    A movement is entered from one met before that names it as harder or that it asks for first, and only when every
    movement it asks for first is met: the origin, what the origin itself asks for, and those entered on the way. A
    movement whose usual start is closed is not entered.
    """
    if target != origin and target in _needed(knowledge, origin):
        ladder = ladder_of(knowledge, origin)
        told = next((each.text for each in ladder.easier_movements if each.movement == target), "")
        return [(target, told or "It comes before: go back to it.")]
    for downward in (False, True):
        found = _search(knowledge, origin, target, bounds, downward)
        if found is not None:
            return found
    return None


def _search(
    knowledge: Knowledge, origin: str, target: str, bounds: Limits, downward: bool
) -> list[tuple[str, str]] | None:
    """A* over the sets of movements met; what the target still asks for first is the least that is left to enter."""
    begun = frozenset(_needed(knowledge, origin) | {origin})
    wanted = _needed(knowledge, target) | {target}
    order = itertools.count()
    queue: list[tuple[int, int, int, frozenset[str], tuple[tuple[str, str], ...]]] = [
        (len(wanted - begun), 0, next(order), begun, ())
    ]
    seen = {begun}
    leading = _leading_to(knowledge, target, downward)
    while queue:
        _, entered, _, met, path = heapq.heappop(queue)
        if target in met:
            return list(path)
        for movement, text in _open_doors(knowledge, met, downward) if entered < MOST_DOORS else ():
            now = met | {movement}
            if (
                now in seen
                or movement not in leading
                or not (movement == target or enterable(knowledge, movement, bounds))
            ):
                continue
            seen.add(now)
            left = entered + 1 + len(wanted - now)
            heapq.heappush(queue, (left, entered + 1, next(order), now, (*path, (movement, text))))
    return None


def _asked_first(knowledge: Knowledge, movement: str) -> list[str]:
    ladder = knowledge.subjects[movement].ladder
    return [each.movement for each in ladder.needs_first] if ladder else []


def _needed(knowledge: Knowledge, movement: str) -> set[str]:
    """All movements that this one asks for first, and those that they ask for."""
    found: set[str] = set()
    left = _asked_first(knowledge, movement)
    while left:
        each = left.pop()
        if each not in found:
            found.add(each)
            left += _asked_first(knowledge, each)
    return found


def _open_doors(knowledge: Knowledge, met: frozenset[str], downward: bool) -> Iterable[tuple[str, str]]:
    """Movements that may be entered next, each with how."""
    told: dict[str, str] = {}
    for movement in sorted(met):
        ladder = knowledge.subjects[movement].ladder
        if ladder is not None:
            for each in (*ladder.harder_movements, *(ladder.easier_movements if downward else ())):
                told.setdefault(each.movement, each.text)
    for subject in knowledge.subjects.values():
        if met & set(_asked_first(knowledge, subject.id)):
            told.setdefault(subject.id, "Go on when what it asks for first is in place.")
    for movement, text in told.items():
        if movement not in met and set(_asked_first(knowledge, movement)) <= met:
            yield movement, text


def _leading_to(knowledge: Knowledge, target: str, downward: bool) -> set[str]:
    """Movements that can lead to the target or are asked for on the way, the target included."""
    before: dict[str, set[str]] = {}
    for subject in knowledge.subjects.values():
        if subject.ladder is None:
            continue
        for each in (*subject.ladder.harder_movements, *(subject.ladder.easier_movements if downward else ())):
            before.setdefault(each.movement, set()).add(subject.id)
        before.setdefault(subject.id, set()).update(_asked_first(knowledge, subject.id))
    found, left = {target}, [target]
    while left:
        new = before.get(left.pop(), set()) - found
        found |= new
        left += new
    return found


def enterable(knowledge: Knowledge, movement: str, bounds: Limits) -> bool:
    """Whether the usual start of a movement is open."""
    ladder = knowledge.subjects[movement].ladder
    if ladder is None:
        return False
    start = full_state(ladder, {})
    return not any(
        why_closed(knowledge, movement, axis, axis.levels[axis.index(start[axis.id])], bounds) for axis in ladder.axes
    )
