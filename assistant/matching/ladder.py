"""Ladders as graphs: a client's present state is a point on a movement's axes; easier and harder are one-axis moves."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from assistant.rulebase.model import Axis, Forbid, Knowledge, Ladder, Level
from assistant.shapes import Move, Question
from assistant.units import CM_PER_IN

State = dict[str, str]
_FACT_OF_AXIS = {"height": "step_cm", "pad": "pad_cm", "ramp": "ramp_cm", "seat": "seat_cm"}
_LANDING = "contralateral"


@dataclass(frozen=True)
class Position:
    """Where the client stands: levels by axis, and which of them the coach stated."""

    levels: State
    stated: frozenset[str]


def position(question: Question, movement: str, ladder: Ladder) -> Position:
    """The state that the question tells, filled up with the ladder's start."""
    levels, stated = dict(ladder.start), set()
    for axis in ladder.axes:
        told = question.levels.get(f"{movement}/{axis.id}")
        fact = question.facts.values.get(_FACT_OF_AXIS.get(axis.id, ""))
        if fact is not None and any(level.value is not None for level in axis.levels):
            told = _nearest(axis, fact).id
        if told and axis.index(told) >= 0:
            levels[axis.id] = told
            stated.add(axis.id)
        else:
            levels.setdefault(axis.id, axis.levels[0].id)
    return Position(levels, frozenset(stated))


def _nearest(axis: Axis, cm: float) -> Level:
    scale = CM_PER_IN if axis.unit == "in" else 1.0
    valued = [level for level in axis.levels if level.value is not None]
    return min(valued, key=lambda level: (abs((level.value or 0.0) * scale - cm), axis.index(level.id)))


def forbidden(forbids: Iterable[Forbid], movement: str, axis: Axis, level: str) -> bool:
    """Whether a caution rules this rung out."""
    place = axis.index(level)
    for forbid in forbids:
        if forbid.axis != axis.id or (forbid.movements and movement not in forbid.movements):
            continue
        if forbid.level == level:
            return True
        if forbid.above and 0 <= axis.index(forbid.above) < place:
            return True
        if forbid.below and axis.index(forbid.below) > place:
            return True
    return False


def neighbours(ladder: Ladder, state: State) -> list[tuple[str, int, str]]:
    """All one-rung moves from a state as (axis, -1 easier or +1 harder, level reached)."""
    result = []
    for axis in ladder.axes:
        place = axis.index(state[axis.id])
        for step in (-1, 1):
            if 0 <= place + step < len(axis.levels):
                result.append((axis.id, step, axis.levels[place + step].id))
    return result


class Climber:
    """Computes moves on one movement's ladder for one question."""

    def __init__(
        self, knowledge: Knowledge, movement: str, question: Question, forbids: Iterable[Forbid], hand: str = ""
    ) -> None:
        ladder = knowledge.subjects[movement].ladder
        if ladder is None:
            raise ValueError(f"{movement} has no ladder")
        self.ladder, self.movement, self.question = ladder, movement, question
        self.forbids = tuple(forbids)
        self.hand = hand
        self.position = position(question, movement, ladder)

    def _allowed(self, axis: Axis, level: Level) -> bool:
        kit_there = not any(kit in self.question.missing_kit for kit in level.needs)
        return kit_there and not forbidden(self.forbids, self.movement, axis, level.id)

    def _order(self, harder: bool) -> list[str]:
        if harder:
            order = list(self.ladder.harder)
        else:
            wanted = [*self.question.reports, "default"]
            order = list(dict.fromkeys(a for report in wanted for a in self.ladder.first.get(report, ())))
        stated = [axis for axis in order if axis in self.position.stated]
        return [*stated, *[axis for axis in order if axis not in stated]] if harder else order

    def easier(self, most: int = 2) -> list[Move]:
        """Up to `most` easier rungs, the best answer to what the coach reports first."""
        moves: list[Move] = []
        for name in self._order(False):
            axis = self.ladder.axis(name)
            level = self._easier_level(axis) if axis else None
            if axis and level and all(move.axis != name for move in moves):
                moves.append(self._move(axis, level))
        return moves[:most]

    def _easier_level(self, axis: Axis) -> Level | None:
        place = axis.index(self.position.levels[axis.id])
        if axis.id == "support":
            return self._easier_support(axis, place)
        for level in reversed(axis.levels[:place]):
            if self._allowed(axis, level):
                return level
        return None

    def _easier_support(self, axis: Axis, place: int) -> Level | None:
        """More support. With less than the opposite-hand pole, or nothing said, the opposite-hand pole comes first: a
        same-side pole leaves the other side uncovered."""
        landing = axis.index(_LANDING)
        if landing >= 0 and ("support" not in self.position.stated or place > landing):
            place = landing + 1
        for level in reversed(axis.levels[:place]):
            if self._allowed(axis, level):
                return level
        return next((level for level in axis.levels[: place + 1] if self._allowed(axis, level)), None)

    def harder(self, most: int = 2) -> list[Move]:
        """Up to `most` harder rungs, one axis each, stated axes first; a rung the coach asks about comes before all."""
        moves = self._targets()
        for name in self._order(True):
            axis = self.ladder.axis(name)
            if (
                axis is None
                or any(move.axis == name for move in moves)
                or (axis.id == "support" and "support" not in self.position.stated and moves)
            ):
                continue
            place = axis.index(self.position.levels[axis.id])
            level = next((lv for lv in axis.levels[place + 1 : place + 2] if self._allowed(axis, lv)), None)
            if level is None:
                continue
            moves.append(self._move(axis, level))
        return moves[:most]

    def _targets(self) -> list[Move]:
        found = []
        for axis in self.ladder.axes:
            level_id = self.question.target.get(f"{self.movement}/{axis.id}")
            place = axis.index(level_id) if level_id else -1
            if place >= 0 and self._allowed(axis, axis.levels[place]):
                found.append(self._move(axis, axis.levels[place]))
        return found

    def _move(self, axis: Axis, level: Level) -> Move:
        say = level.do
        if axis.id == "support" and level.id == _LANDING and self.hand:
            say = f"{say.rstrip('.')}: {self.hand}."
        return Move(self.movement, axis.id, level.id, say, level.sources)


def route(
    ladder: Ladder,
    movement: str,
    start: State,
    goal: State,
    forbids: Iterable[Forbid] = (),
    allowed: Callable[[Axis, Level], bool] = lambda axis, level: True,
) -> list[tuple[str, str]] | None:
    """Shortest list of one-rung moves (axis, level) from start to goal over allowed rungs; None when there is none."""
    names = [axis.id for axis in ladder.axes]
    rules = tuple(forbids)
    origin, target = tuple(start[n] for n in names), tuple(goal[n] for n in names)
    came: dict[tuple[str, ...], tuple[tuple[str, ...], tuple[str, str]] | None] = {origin: None}
    queue = deque([origin])
    while queue:
        here = queue.popleft()
        if here == target:
            break
        for name, _, level_id in neighbours(ladder, dict(zip(names, here, strict=True))):
            axis = ladder.axis(name)
            if axis is None or forbidden(rules, movement, axis, level_id):
                continue
            if not allowed(axis, axis.levels[axis.index(level_id)]):
                continue
            there = tuple(level_id if n == name else lv for n, lv in zip(names, here, strict=True))
            if there not in came:
                came[there] = (here, (name, level_id))
                queue.append(there)
    if target not in came:
        return None
    steps: list[tuple[str, str]] = []
    node = target
    while (link := came[node]) is not None:
        node, step = link
        steps.append(step)
    return steps[::-1]
