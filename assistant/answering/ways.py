"""A way over the ladders in labelled lines: rung by rung with its criteria, or an honest no that names what blocks it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.matching import routes
from assistant.matching.limits import Limits, full_state, ladder_of, why_closed
from assistant.rulebase.model import Knowledge

Lines = list[tuple[str, str]]


@dataclass(frozen=True)
class Trip:
    """Where from, where to (axis to level, missing axes as usual), and what closes rungs on the way."""

    movement: str
    here: dict[str, str]
    target: str
    goal: dict[str, str]
    bounds: Limits


def trip_lines(knowledge: Knowledge, trip: Trip) -> Lines:
    """The shortest safe route as (label, text)."""
    if trip.target == trip.movement:
        return _inside(knowledge, trip.movement, trip.here, trip.goal, trip.bounds)
    doors = routes.doors(knowledge, trip.movement, trip.target, trip.bounds)
    names = [knowledge.subjects[each].name for each in (trip.movement, trip.target)]
    if doors is None:
        text = f"no safe route from {names[0]} to {names[1]}: every way between them is closed"
        return [("NO ROUTE", text), *_closed_doors(knowledge, trip)]
    lines: Lines = [("ROUTE", f"{names[0]} to {names[1]}: {counted(len(doors), 'change')} of movement")]
    for movement, text in doors:
        lines += _door_lines(knowledge, movement, text)
    return lines + _inside(knowledge, trip.target, {}, trip.goal, trip.bounds)


def _door_lines(knowledge: Knowledge, movement: str, text: str) -> Lines:
    ladder = ladder_of(knowledge, movement)
    lines: Lines = [("CROSS TO", f"{knowledge.subjects[movement].name}: {text}")]
    for each in ladder.needs_first:
        lines.append(("NEEDS", f"{knowledge.subjects[each.movement].name}: {each.text}"))
    return lines


def _closed_doors(knowledge: Knowledge, trip: Trip) -> Lines:
    ladder = ladder_of(knowledge, trip.target)
    state = full_state(ladder, {})
    levels = [(axis, axis.levels[axis.index(state[axis.id])]) for axis in ladder.axes]
    return [
        ("BLOCKED", f"{level.name} ({reason.rstrip('.')})")
        for axis, level in levels
        for reason in why_closed(knowledge, trip.target, axis, level, trip.bounds)
    ]


def _inside(knowledge: Knowledge, movement: str, here: dict[str, str], goal: dict[str, str], bounds: Limits) -> Lines:
    ladder = ladder_of(knowledge, movement)
    start = full_state(ladder, here)
    end = {**start, **goal}
    way = routes.way(knowledge, movement, start, end, bounds)
    head = f"{knowledge.subjects[movement].name}, from {told(knowledge, movement, start)} to {told(knowledge, movement, end, goal)}"
    if way.rungs is None:
        return _no_route(knowledge, way, head, bounds)
    if not way.rungs:
        begins = f"{knowledge.subjects[movement].name} begins with {told(knowledge, movement, start)}"
        return [("ROUTE", f"{head}: already there" if here or goal else begins)]
    lines: Lines = [("ROUTE", f"{head}: {counted(len(way.rungs), 'rung')}, one change at a time")]
    for number, (axis, level) in enumerate(way.rungs, 1):
        lines.append((f"RUNG {number}", f"{axis.id.replace('-', ' ')}: {bounds.doing(level)}"))
    return [*lines, ("EACH UP", ladder.up), ("EACH BACK", ladder.down)]


def _no_route(knowledge: Knowledge, way: routes.Way, head: str, bounds: Limits) -> Lines:
    lines: Lines = [("NO ROUTE", f"no safe route for {head}")]
    for axis, level, reason in way.blocked:
        lines.append(("BLOCKED", f"{axis.id.replace('-', ' ')}: {level.name} ({reason.rstrip('.')})"))
    reached = routes.furthest(knowledge, way.movement, way.start, way.goal, bounds)
    moved = {axis: level for axis, level in reached.items() if level != way.start[axis]}
    as_far = f"as far as {told(knowledge, way.movement, reached, moved)}" if moved else "no rung of the way"
    lines.append(("OPEN", f"{as_far} is open"))
    equipped = routes.way(knowledge, way.movement, way.start, way.goal, Limits(bounds.entries))
    if equipped.rungs and bounds.missing:
        kit = ", ".join(knowledge.subjects[each].name for each in bounds.missing)
        lines.append(("WITH KIT", f"with {kit} it is {counted(len(equipped.rungs), 'rung')}"))
    return lines


def told(knowledge: Knowledge, movement: str, state: dict[str, str], only: dict[str, str] | None = None) -> str:
    """A state in words, all axes or those in `only`."""
    axes = [each for each in ladder_of(knowledge, movement).axes if not only or each.id in only]
    return ", ".join(axis.levels[axis.index(state[axis.id])].name for axis in axes)


def counted(number: int, noun: str) -> str:
    """'1 rung', '3 rungs'."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def trip_text(knowledge: Knowledge, trip: Trip) -> str:
    """The route in one short paragraph for an answer: rung names in order, or what blocks it and what is open."""
    lines = trip_lines(knowledge, trip)
    if any(label == "NO ROUTE" for label, _ in lines):
        shown = [f"{label.capitalize()}: {text}" for label, text in lines if label in ("OPEN", "WITH KIT")]
        blocked = [text for label, text in lines if label == "BLOCKED"]
        head = next(text for label, text in lines if label == "NO ROUTE")
        return ". ".join([head[0].upper() + head[1:], *[f"Blocked by {text}" for text in blocked[:2]], *shown]) + "."
    heads = [text for label, text in lines if label == "ROUTE"]
    doors = [text for label, text in lines if label == "CROSS TO"]
    needs = [text for label, text in lines if label == "NEEDS"]
    way = _names(knowledge, trip)
    parts = [f"Route: {heads[0]}"]
    parts += [f"Change {number}: {text.rstrip('.')}" for number, text in enumerate(doors, 1)]
    parts += [f"First {text}" for text in dict.fromkeys(needs[-2:]) if text not in parts]
    parts += ["; ".join(f"{number} {name}" for number, name in enumerate(way, 1))] if way else []
    return ". ".join(parts) + "."


def _names(knowledge: Knowledge, trip: Trip) -> list[str]:
    ladder = ladder_of(knowledge, trip.target)
    start = full_state(ladder, trip.here if trip.target == trip.movement else {})
    way = routes.way(knowledge, trip.target, start, {**start, **trip.goal}, trip.bounds)
    return [
        level.name if trip.bounds.kit(level) else trip.bounds.doing(level).rstrip(".") for _, level in way.rungs or ()
    ]
