"""One movement's ladder for one client as a drawing shows it: rungs with their marks, doors up and down."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.matching.ladder import forbidden
from assistant.matching.limits import Limits, ladder_of
from assistant.matching.routes import enterable
from assistant.rendering import drawing
from assistant.rulebase.model import Axis, Knowledge, Ladder, Level, Neighbour


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
    closed = "" if enterable(knowledge, door.movement, bounds) else " (closed at its usual start)"
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
    if not bounds.kit(level):
        marks.append(drawing.NO_KIT)
    return tuple(marks)
