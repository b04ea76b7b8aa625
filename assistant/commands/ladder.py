"""`rungbook ladder`: a movement's ladder drawn, the criteria to climb it, and the way from one state to another."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from assistant.answering.ways import Lines, Trip, trip_lines
from assistant.commands import naming, rungs
from assistant.commands.common import load
from assistant.commands.display import screen, write
from assistant.journal import places
from assistant.matching.limits import Limits, ladder_of, limits, why_closed
from assistant.rendering import drawing
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Knowledge, Ladder, Source
from assistant.shapes import Profile
from assistant.understanding.question import Reader

if TYPE_CHECKING:
    from assistant.rendering.terminal import Screen


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
    bounds: Limits
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
    trip = Trip(asked.movement, asked.here, asked.target, asked.goal, asked.bounds)
    way = trip_lines(knowledge, trip) if asked.routed else []
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
    ladder = ladder_of(knowledge, movement)
    here = naming.state(args.start, ladder, movement) or _rungs_of(card, movement, ladder)
    words = [each for each in args.goal if "=" not in each]
    pairs = [each for each in args.goal if "=" in each]
    target = naming.subject(" ".join(words), "movement", rulebase, reader) if words else movement
    goal = naming.state(pairs, ladder_of(knowledge, target), target)
    return Asked(movement, limits(knowledge, conditions, missing), here, target, goal, bool(args.goal))


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
    ladder = ladder_of(knowledge, asked.movement)
    lines: Lines = [("UP WHEN", ladder.up), ("BACK", ladder.down)]
    for each in ladder.needs_first:
        lines.append(("FIRST", f"{knowledge.subjects[each.movement].name}: {each.text}"))
    reasons: dict[str, list[str]] = {}
    for axis in ladder.axes:
        for level in axis.levels:
            for reason in why_closed(knowledge, asked.movement, axis, level, asked.bounds):
                reasons.setdefault(reason, []).append(level.name)
    lines += [("CLOSED", f"{', '.join(names)} ({reason.rstrip('.')})") for reason, names in reasons.items()]
    for axis in ladder.axes:
        for level in axis.levels:
            if not asked.bounds.kit(level) and asked.bounds.open(axis, level):
                lines.append(("INSTEAD", f"{level.name}: {level.stand_in}"))
    used = [*ladder.sources, *(s for each in asked.bounds.entries if _touches(each.id, asked) for s in each.sources)]
    return [*lines, ("FROM", _short(knowledge, used))]


def _touches(entry: str, asked: Asked) -> bool:
    found = next(each for each in asked.bounds.entries if each.id == entry)
    return any(not forbid.movements or asked.movement in forbid.movements for forbid in found.forbids)


def _short(knowledge: Knowledge, ids: Sequence[str]) -> str:
    def named(source: Source) -> str:
        return source.short() if source.kind == "common-practice" else f"{source.short()}, {source.kind}"

    return "; ".join(named(knowledge.sources[each]) for each in dict.fromkeys(ids) if each in knowledge.sources)


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
