"""`rungbook session`: a balanced session for one client or a class, built from the ladders by rule."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from assistant.commands import naming
from assistant.commands.common import load
from assistant.commands.display import screen, write
from assistant.conversation import Assistant
from assistant.errors import InputError
from assistant.journal import clients as cards_of
from assistant.journal import places
from assistant.matching.red_flags import flags
from assistant.planning import grouping
from assistant.planning.building import checked_minutes, session
from assistant.planning.person import Person, first_table, goal_of, of_card, of_question, told_minutes
from assistant.rendering import as_json
from assistant.rendering.plain import plain
from assistant.rendering.session_rows import Rows, class_rows, plain_session, round_grid, session_json, session_rows
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.session_model import AIMS
from assistant.session_shapes import ClassPlan, Session
from assistant.shapes import Answer
from assistant.understanding.question import Reader

if TYPE_CHECKING:
    from assistant.rendering.terminal import Screen

_RESULT = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*[a-z/%]*\s*", re.IGNORECASE)
_SEXES = {"f": "female", "m": "male", "female": "female", "male": "male"}


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = (
        "examples:\n  rungbook session --client a12 --goal stairs --minutes 45\n"
        "  rungbook session --client a12 --client b7 --client c3 --minutes 60\n"
        '  rungbook session "72 year old, left TKR in 2021, 9 chair stands in 30 s, wants the stairs"'
    )
    parser.add_argument("text", nargs="*", help="the client in free words, beside a card or without one")
    parser.add_argument("--goal", default="", metavar="GOAL", help="what the client wants, in words such as stairs")
    parser.add_argument("--minutes", type=int, metavar="N", help="length of the session; 45 when left out")
    parser.add_argument("--aim", choices=AIMS, default="", help="strength when left out; power adds fast rises")
    parser.add_argument("--age", type=float, metavar="YEARS", help="the client's age")
    parser.add_argument("--sex", metavar="SEX", help="f or m")
    parser.add_argument("--condition", action="append", default=[], metavar="ID[:SIDE][:DATE]", help="repeatable")
    parser.add_argument("--screen", action="append", default=[], metavar="SCREEN=VALUE", help="a result; repeatable")
    parser.add_argument(
        "--rung", nargs="+", action="append", default=[], metavar="WORD", help="MOVEMENT AXIS=LEVEL ..."
    )
    parser.add_argument("--kit", action="append", default=[], metavar="KIT", help="only this kit is there; repeatable")
    parser.add_argument(
        "--without", action="append", default=[], metavar="KIT", help="kit that is not there; repeatable"
    )
    parser.add_argument(
        "--cleared", action="append", default=[], metavar="ID", help="a condition that its clinician has cleared"
    )
    parser.add_argument("--today", default="", metavar="WORDS", help="how the client is today, read for warning signs")
    parser.add_argument("--plain", action="store_true", help="plain sentences in place of the layout")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(args: argparse.Namespace) -> int:
    """Build and show the session; a warning sign is answered before anything is planned. Exit code 0."""
    rulebase = load(args)
    reader = Reader(rulebase)
    referral = _referral(rulebase, reader, args)
    if referral:
        _show_answer(referral, rulebase, args)
        return 0
    people = _people(args, rulebase, reader)
    minutes = args.minutes or (told_minutes(reader.read(" ".join(args.text)), rulebase) if args.text else None)
    total = checked_minutes(rulebase.knowledge.session, minutes)
    found: Session | ClassPlan
    if len(people) > 1:
        found = grouping.plan(rulebase.knowledge, people, total, args.aim)
    else:
        found = session(rulebase.knowledge, people[0], total, args.aim)
    _show(found, rulebase, args)
    return 0


def _referral(rulebase: Rulebase, reader: Reader, args: argparse.Namespace) -> Answer | None:
    """The answer to the first words that raise a red flag."""
    for words in (args.today, " ".join(args.text), args.goal):
        if words.strip() and flags(reader.read(words), rulebase):
            return Assistant(rulebase, reader).ask(words)
    return None


# -- who it is for -------------------------------------------------------------------------------------------------------


def _people(args: argparse.Namespace, rulebase: Rulebase, reader: Reader) -> list[Person]:
    codes = [places.code(code, "client") for code in args.client or []]
    own = (args.text, args.age, args.sex, args.condition, args.screen, args.rung, args.cleared)
    if len(codes) > 1 and any(own):
        raise InputError(
            "a class takes what it knows from the cards", fix="note it on the cards: rungbook client --help"
        )
    if not codes and not any(own):
        raise InputError(
            "nobody to plan for", fix="give --client CODE, or the client in words: see `rungbook session --help`"
        )
    people = [_carded(code, rulebase) for code in codes] or [Person()]
    if len(people) == 1:
        people = [_described(people[0], args, rulebase, reader)]
    goal = _goal(args.goal, rulebase, reader) if args.goal else ""
    missing = _missing(args, rulebase, reader)
    return [
        replace(each, goal=goal or each.goal, missing=tuple(dict.fromkeys([*each.missing, *missing])))
        for each in people
    ]


def _carded(code: str, rulebase: Rulebase) -> Person:
    from assistant.commands.recording import cards

    return of_card(cards_of.profile(cards().must(code), date.today()), rulebase.knowledge)


def _described(person: Person, args: argparse.Namespace, rulebase: Rulebase, reader: Reader) -> Person:
    """The person with what the command line says of the client."""
    if args.text:
        person = of_question(reader.read(" ".join(args.text)), rulebase, person)
    conditions = [_condition(each, rulebase, reader) for each in args.condition]
    results = dict(_result(each, rulebase, reader) for each in args.screen)
    rungs = dict(_rung(each, rulebase, reader) for each in args.rung)
    sex = person.sex
    if args.sex:
        sex = _SEXES.get(args.sex.strip().lower(), "")
        if not sex:
            raise InputError("not a sex", args.sex[:20], "f or m")
    if args.age is not None and not cards_of.YOUNGEST <= args.age <= cards_of.OLDEST:
        raise InputError("not an age", f"{args.age:g}", f"give {cards_of.YOUNGEST} to {cards_of.OLDEST}")
    known = {name: (name, side, weeks) for name, side, weeks in [*person.conditions, *conditions]}
    return replace(
        person, age=person.age if args.age is None else args.age, sex=sex, conditions=tuple(known.values()),
        results={**person.results, **results}, rungs={**person.rungs, **rungs},
        cleared=(*person.cleared, *(naming.subject(each, "condition", rulebase, reader) for each in args.cleared)),
    )  # fmt: skip


def _condition(typed: str, rulebase: Rulebase, reader: Reader) -> tuple[str, str, float | None]:
    """ID[:SIDE][:DATE] as (id, side, weeks since)."""
    name, *rest = typed.split(":")
    side, weeks = "", None
    for part in filter(None, rest):
        if part[0].isdigit():
            since = cards_of.day(part, date.today())
            weeks = (date.today() - cards_of.first_day(since)).days / 7
        else:
            side = cards_of.side(part)
    return naming.subject(name, "condition", rulebase, reader), side, weeks


def _result(typed: str, rulebase: Rulebase, reader: Reader) -> tuple[str, float]:
    name, mark, value = typed.rpartition("=")
    number = _RESULT.fullmatch(value)
    if not mark or not number:
        raise InputError(f"{typed[:40]!r} is not a result", fix="write for example --screen tug=13.8")
    found = naming.subject(name, "screen", rulebase, reader)
    if first_table(rulebase.knowledge, found) is None:
        raise InputError(f"{found} has no published line", fix="leave it out")
    return found, float(number[1])


def _rung(words: Sequence[str], rulebase: Rulebase, reader: Reader) -> tuple[str, dict[str, str]]:
    pairs = [word for word in words if "=" in word]
    movement = naming.subject(" ".join(word for word in words if "=" not in word), "movement", rulebase, reader)
    ladder = rulebase.knowledge.subjects[movement].ladder
    if ladder is None or not pairs:
        raise InputError("a rung needs AXIS=LEVEL", movement, "write for example --rung step-up height=4")
    return movement, naming.state(pairs, ladder, movement)


def _goal(words: str, rulebase: Rulebase, reader: Reader) -> str:
    goals = rulebase.knowledge.session.goals
    known = next((goal.id for goal in goals if goal.id == words.strip().lower()), "")
    found = known or goal_of(reader.read(words), rulebase)
    if not found:
        raise InputError(f"no goal {words[:40]!r}", fix=f"use one of {', '.join(goal.id for goal in goals)}")
    return found


def _missing(args: argparse.Namespace, rulebase: Rulebase, reader: Reader) -> list[str]:
    """Kit that is not there: what --without names, and with --kit everything that it does not name."""

    def named(typed: Sequence[str]) -> list[str]:
        words = (word for each in typed for word in each.split(","))
        return [naming.subject(word, "equipment", rulebase, reader) for word in words if word.strip()]

    there = named(args.kit)
    all_kit = [each.id for each in rulebase.knowledge.subjects.values() if each.kind == "equipment"]
    return [*named(args.without), *([kit for kit in all_kit if kit not in there] if args.kit else [])]


# -- showing ---------------------------------------------------------------------------------------------------------------


def _show(found: Session | ClassPlan, rulebase: Rulebase, args: argparse.Namespace) -> None:
    sources = rulebase.knowledge.sources
    text = plain_session(class_rows(found, sources) if isinstance(found, ClassPlan) else session_rows(found, sources))
    where = None if args.json else screen(args, keep_layout=True)
    if where is None:
        write((session_json(found, text) if args.json else text) + "\n")
        return
    write(_laid_out(found, rulebase, where))


def _laid_out(found: Session | ClassPlan, rulebase: Rulebase, where: Screen) -> str:
    from assistant.rendering.terminal import LABEL, READABLE, Row, ink, laid_out, words

    sources = rulebase.knowledge.sources
    room = min(where.usable, READABLE) - LABEL
    rows: Rows
    if isinstance(found, ClassPlan):
        rows = class_rows(found, sources, round_grid(found.turns, len(found.stations), room))
    else:
        rows = session_rows(found, sources)
    made = [Row(_label(label, LABEL - 1), words(_told(label, text, LABEL - 1))) for label, text in rows]
    return ink(laid_out(made, where), where)


def _label(label: str, width: int) -> str:
    """A label for the narrow column: capitals; a client's code as it is, several codes stand in the text."""
    if label[:1].islower() or label[:1].isdigit():
        return label if len(label) <= width else ""
    return label.upper() if len(label) <= width else label.upper().split("-")[0].split(" ")[0][:width]


def _told(label: str, text: str, width: int) -> str:
    """The text of a row; what the narrow column cut off of its label is said in front."""
    cut = len(label) > width
    return f"{label}: {text}" if cut else text


def _show_answer(answer: Answer, rulebase: Rulebase, args: argparse.Namespace) -> None:
    sources = rulebase.knowledge.sources
    text = plain(answer, sources)
    where = None if args.json else screen(args)
    if where is None:
        write((as_json.line(answer, text) if args.json else text) + "\n")
        return
    from assistant.rendering.terminal import printed

    write(printed(answer, sources, where))
