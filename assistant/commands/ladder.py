"""`rungbook ladder`: a movement's ladder drawn, the criteria to climb it, and the way from one state to another."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from assistant.commands import naming, rungs
from assistant.commands.common import load
from assistant.commands.display import screen, write
from assistant.journal import places
from assistant.rendering import drawing
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Knowledge, Ladder, Source
from assistant.shapes import Profile
from assistant.understanding.question import Reader

if TYPE_CHECKING:
    from assistant.rendering.terminal import Screen

Lines = list[tuple[str, str]]


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = (
        "examples:\n  rungbook ladder step-up --condition hip-replacement\n"
        "  rungbook ladder step-up --from support=two-poles height=4 --to support=none height=8\n"
        "  rungbook ladder step-up --to floor-transfer support=none"
    )
    parser.add_argument("movement", nargs="+", help="the movement: its id or any name of it")
    parser.add_argument(
        "--from", dest="start", nargs="+", action="extend", default=[], metavar="AXIS=LEVEL", help="the present state"
    )
    parser.add_argument(
        "--to", dest="goal", nargs="+", action="extend", default=[], metavar="AXIS=LEVEL",
        help="the state to reach (a movement may stand in front): prints the shortest safe route",
    )  # fmt: skip
    parser.add_argument(
        "--condition", action="append", default=[], metavar="ID", help="close the rungs its cautions rule out"
    )
    parser.add_argument("--without", action="append", default=[], metavar="KIT", help="kit that is not there")
    parser.add_argument("--plain", action="store_true", help="sentences in place of the drawing")


@dataclass(frozen=True)
class Asked:
    """The arguments with ids in place of what was typed."""

    movement: str
    bounds: rungs.Limits
    here: dict[str, str]
    target: str
    goal: dict[str, str]
    routed: bool


def run(args: argparse.Namespace) -> int:
    """Draw the ladder and, with --to, tell the route; exit code 0."""
    rulebase = load(args)
    asked = understood(args, rulebase)
    knowledge = rulebase.knowledge
    goal = asked.goal if asked.target == asked.movement else {}
    view = rungs.view(knowledge, asked.movement, asked.bounds, asked.here, goal)
    lines = notes(knowledge, asked)
    way = route_lines(knowledge, asked) if asked.routed else []
    write(rendered(view, lines, way, screen(args, keep_layout=True)))
    return 0


def understood(args: argparse.Namespace, rulebase: Rulebase) -> Asked:
    """Resolve every name; raises InputError with the nearest one."""
    reader = Reader(rulebase)
    knowledge = rulebase.knowledge
    movement = naming.subject(" ".join(args.movement), "movement", rulebase, reader)
    conditions = [naming.subject(each, "condition", rulebase, reader) for each in args.condition]
    missing = [naming.subject(each, "equipment", rulebase, reader) for each in args.without]
    card = _card(args.client)
    if card:
        conditions += [condition for condition, _, _ in card.conditions if condition in knowledge.subjects]
    ladder = rungs.ladder_of(knowledge, movement)
    here = naming.state(args.start, ladder, movement) or _rungs_of(card, movement, ladder)
    words = [each for each in args.goal if "=" not in each]
    pairs = [each for each in args.goal if "=" in each]
    target = naming.subject(" ".join(words), "movement", rulebase, reader) if words else movement
    goal = naming.state(pairs, rungs.ladder_of(knowledge, target), target)
    return Asked(movement, rungs.limits(knowledge, conditions, missing), here, target, goal, bool(args.goal))


def _card(client: str | None) -> Profile | None:
    """The card of the client named; raises InputError when there is none."""
    if not client:
        return None
    from assistant.commands.recording import cards
    from assistant.journal.clients import profile

    return profile(cards().must(places.code(client, "client")), date.today())


def _rungs_of(card: Profile | None, movement: str, ladder: Ladder) -> dict[str, str]:
    """The present rungs on the card: those of the movement, else those of its one noted side."""
    if card is None:
        return {}
    sides = [levels for name, levels in card.rungs.items() if name.startswith(f"{movement}/")]
    noted = card.rungs.get(movement) or (sides[0] if len(sides) == 1 else {})
    return {axis.id: noted[axis.id] for axis in ladder.axes if axis.index(noted.get(axis.id, "")) >= 0}


# -- what is told beside the drawing -------------------------------------------------------------------------------------


def notes(knowledge: Knowledge, asked: Asked) -> Lines:
    """Criteria up and down, what comes first, why rungs are closed, and the sources, as (label, text)."""
    ladder = rungs.ladder_of(knowledge, asked.movement)
    lines: Lines = [("UP WHEN", ladder.up), ("BACK", ladder.down)]
    for each in ladder.needs_first:
        lines.append(("FIRST", f"{knowledge.subjects[each.movement].name}: {each.text}"))
    reasons: dict[str, list[str]] = {}
    for axis in ladder.axes:
        for level in axis.levels:
            for reason in rungs.why_closed(knowledge, asked.movement, axis, level, asked.bounds):
                reasons.setdefault(reason, []).append(level.name)
    lines += [("CLOSED", f"{', '.join(names)} ({reason.rstrip('.')})") for reason, names in reasons.items()]
    used = [*ladder.sources, *(s for each in asked.bounds.entries if _touches(each.id, asked) for s in each.sources)]
    return [*lines, ("FROM", _short(knowledge, used))]


def _touches(entry: str, asked: Asked) -> bool:
    found = next(each for each in asked.bounds.entries if each.id == entry)
    return any(not forbid.movements or asked.movement in forbid.movements for forbid in found.forbids)


def _short(knowledge: Knowledge, ids: Sequence[str]) -> str:
    def named(source: Source) -> str:
        return source.short() if source.kind == "common-practice" else f"{source.short()}, {source.kind}"

    return "; ".join(named(knowledge.sources[each]) for each in dict.fromkeys(ids) if each in knowledge.sources)


# -- the route ---------------------------------------------------------------------------------------------------------


def route_lines(knowledge: Knowledge, asked: Asked) -> Lines:
    """The shortest safe route rung by rung with its criteria, or an honest no that names what blocks it."""
    if asked.target == asked.movement:
        return _route_inside(knowledge, asked.movement, asked.here, asked.goal, asked.bounds)
    doors = rungs.doors(knowledge, asked.movement, asked.target, asked.bounds)
    names = [knowledge.subjects[each].name for each in (asked.movement, asked.target)]
    if doors is None:
        text = f"no safe route from {names[0]} to {names[1]}: every way between them is closed"
        return [("NO ROUTE", text), *_closed_doors(knowledge, asked)]
    lines: Lines = [("ROUTE", f"{names[0]} to {names[1]}: {_counted(len(doors), 'change')} of movement")]
    for movement, text in doors:
        lines += _door_lines(knowledge, movement, text)
    return lines + _route_inside(knowledge, asked.target, {}, asked.goal, asked.bounds)


def _door_lines(knowledge: Knowledge, movement: str, text: str) -> Lines:
    ladder = rungs.ladder_of(knowledge, movement)
    lines: Lines = [("CROSS TO", f"{knowledge.subjects[movement].name}: {text}")]
    for each in ladder.needs_first:
        lines.append(("NEEDS", f"{knowledge.subjects[each.movement].name}: {each.text}"))
    return lines


def _closed_doors(knowledge: Knowledge, asked: Asked) -> Lines:
    ladder = rungs.ladder_of(knowledge, asked.target)
    state = rungs.full_state(ladder, {})
    levels = [(axis, axis.levels[axis.index(state[axis.id])]) for axis in ladder.axes]
    return [
        ("BLOCKED", f"{level.name} ({reason.rstrip('.')})")
        for axis, level in levels
        for reason in rungs.why_closed(knowledge, asked.target, axis, level, asked.bounds)
    ]


def _route_inside(
    knowledge: Knowledge, movement: str, here: dict[str, str], goal: dict[str, str], bounds: rungs.Limits
) -> Lines:
    ladder = rungs.ladder_of(knowledge, movement)
    start = rungs.full_state(ladder, here)
    end = {**start, **goal}
    way = rungs.way(knowledge, movement, start, end, bounds)
    head = f"{knowledge.subjects[movement].name}, from {told(knowledge, movement, start)} to {told(knowledge, movement, end, goal)}"
    if way.rungs is None:
        return _no_route(knowledge, way, head, bounds)
    if not way.rungs:
        name = knowledge.subjects[movement].name
        there = (
            f"{name} begins with {told(knowledge, movement, start)}"
            if not here and not goal
            else f"{head}: already there"
        )
        return [("ROUTE", there)]
    lines: Lines = [("ROUTE", f"{head}: {_counted(len(way.rungs), 'rung')}, one change at a time")]
    for number, (axis, level) in enumerate(way.rungs, 1):
        lines.append((f"RUNG {number}", f"{axis.id.replace('-', ' ')}: {level.do}"))
    return [*lines, ("EACH UP", ladder.up), ("EACH BACK", ladder.down)]


def _no_route(knowledge: Knowledge, way: rungs.Way, head: str, bounds: rungs.Limits) -> Lines:
    lines: Lines = [("NO ROUTE", f"no safe route for {head}")]
    for axis, level, reason in way.blocked:
        lines.append(("BLOCKED", f"{axis.id.replace('-', ' ')}: {level.name} ({reason.rstrip('.')})"))
    reached = rungs.furthest(knowledge, way.movement, way.start, way.goal, bounds)
    moved = {axis: level for axis, level in reached.items() if level != way.start[axis]}
    as_far = f"as far as {told(knowledge, way.movement, reached, moved)}" if moved else "no rung of the way"
    lines.append(("OPEN", f"{as_far} is open"))
    equipped = rungs.way(knowledge, way.movement, way.start, way.goal, rungs.Limits(bounds.entries))
    if equipped.rungs and bounds.missing:
        kit = ", ".join(knowledge.subjects[each].name for each in bounds.missing)
        lines.append(("WITH KIT", f"with {kit} it is {_counted(len(equipped.rungs), 'rung')}"))
    return lines


def told(knowledge: Knowledge, movement: str, state: dict[str, str], only: dict[str, str] | None = None) -> str:
    """A state in words, all axes or those in `only`."""
    axes = [each for each in rungs.ladder_of(knowledge, movement).axes if not only or each.id in only]
    return ", ".join(axis.levels[axis.index(state[axis.id])].name for axis in axes)


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


# -- showing -----------------------------------------------------------------------------------------------------------


def rendered(view: drawing.LadderView, lines: Lines, way: Lines, where: Screen | None) -> str:
    """Drawing and labelled lines for a screen, or sentences where there is none."""
    if where is None:
        told_lines = [f"{label.capitalize()}: {text}" for label, text in [*lines, *way]]
        return "\n".join([*drawing.ladder_words(view), *told_lines]) + "\n"
    from rich.text import Text

    from assistant.rendering.terminal import Row, ink, laid_out, words

    drawn = [Text(line) for line in drawing.ladder(view, where.usable, where.unicode)]
    for line in drawn:
        line.highlight_regex(r"\b(HERE|START|GOAL|CLOSED|NO KIT|ON TO|BACK TO)\b", "bold")
    rows = [Row(label, words(text)) for label, text in lines]
    parts = [Text(view.title, "bold"), Text(""), *drawn, Text(""), *laid_out(rows, where)]
    if way:
        parts += [Text(""), *laid_out([Row(label, words(text)) for label, text in way], where)]
    return ink(parts, where)
