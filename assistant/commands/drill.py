"""`rungbook drill`: staff training on reviewed questions and on a shipped set."""

from __future__ import annotations

import argparse
import json
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands.common import load
from assistant.commands.log import tell_aside
from assistant.commands.progress import reading
from assistant.commands.recording import redactor
from assistant.commands.subcommands import Actions
from assistant.errors import InputError
from assistant.journal import places
from assistant.journal import record as records
from assistant.journal.reading import Faults, entries, files
from assistant.journal.search import csv_row, shown
from assistant.journal.store import JournalError, Store
from assistant.mentoring import drill
from assistant.mentoring.verdicts import read_verdicts
from assistant.understanding.question import Reader

if TYPE_CHECKING:
    from assistant.mentoring.drill import Item, Mark


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = "examples: rungbook drill --coach k7; rungbook drill report"
    _asking(parser)
    actions = Actions(parser, required=False)
    parser.set_defaults(act=_run)
    actions.add("run", _run, "answer questions (the default)", "rungbook drill run --count 5")
    actions.add("list", _list, "the questions and their boxes", "rungbook drill list --topic step-up")
    report = actions.add(
        "report", _report, "every trainee's scores and weak topics", "rungbook drill report --format csv"
    )
    report.add_argument("--format", choices=("text", "csv", "json"), default="text", help="text, csv or json (text)")


def _asking(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--count", type=int, default=6, metavar="N", help="how many questions (6)")
    parser.add_argument("--topic", default="", metavar="TOPIC", help="only this topic")
    parser.add_argument("--trainee", default="", metavar="CODE", help="who answers; the coach when left out")


def run(args: argparse.Namespace) -> int:
    """Exit code 0."""
    done: int = args.act(args)
    return done


def _trainee(args: argparse.Namespace) -> str:
    return places.code(args.trainee, "trainee") if args.trainee else places.coach_code(args.coach)


def _items(args: argparse.Namespace, reader: Reader, folder: Path, faults: Faults) -> list[Item]:
    knowledge = reader.rulebase.knowledge
    verdicts = read_verdicts(folder, faults)
    found = drill.shipped(knowledge)
    if verdicts.of_entry:
        with reading("looking for reviewed questions", files(folder)) as tell:
            found += drill.reviewed(entries(folder, faults, tell), verdicts, knowledge)
    wanted = [item for item in found if not args.topic or args.topic in (item.topic, item.id)]
    if not wanted:
        topics = ", ".join(sorted({item.topic for item in found}))
        raise InputError("no questions on that topic", args.topic[:40], f"topics: {topics}")
    return wanted


def _run(args: argparse.Namespace) -> int:
    if args.count < 1:
        raise InputError("--count must be 1 or more", str(args.count))
    folder, faults, trainee = places.journal_folder(args.journal), Faults(), _trainee(args)
    reader = Reader(load(args))
    standing = drill.standings(r for r in drill.results(folder, faults) if r["coach"] == trainee).get(trainee)
    chosen = drill.choose(_items(args, reader, folder, faults), standing or drill.Standing(), args.count, date.today())
    tell_aside(faults)
    store = None if args.no_log else Store(folder, trainee, places.machine_code(), records.DRILL)
    clean, scores = redactor(reader), list[float]()
    again: list[Item] = []
    for number, item in enumerate(chosen, 1):
        reply = _ask(item, f"{number} of {len(chosen)}")
        if reply is None:
            break
        found = drill.mark(item, reply, reader)
        _show(found)
        scores.append(found.score)
        again += [item] if found.score < drill.POOR else []
        if store is not None:
            _keep(store, item, found, clean.text(shown(reply)[:2000]))
    if len(scores) == len(chosen):
        for item in again:
            reply = _ask(item, "once more")
            if reply is None:
                break
            _show(drill.mark(item, reply, reader))
    if scores:
        print(f"\n{len(scores)} answered, mean {100 * sum(scores) / len(scores):.0f}%")
    return 0


def _keep(store: Store, item: Item, found: Mark, reply: str) -> None:
    try:
        drill.keep(store, item, found, reply)
    except JournalError as error:
        print(f"rungbook: result not kept: {error}", file=sys.stderr, flush=True)


def _ask(item: Item, head: str) -> str | None:
    """The trainee's answer on one line; None to stop."""
    print(f"\n{head}, {shown(item.topic)}: {shown(item.scene)}".rstrip(": "))
    print(shown(item.question))
    print("your answer (Enter: show it, q: stop): ", end="", flush=True)
    line = sys.stdin.readline()
    if not line or line.strip().lower() in ("q", "quit"):
        print()
        return None
    if not sys.stdin.isatty():
        print()
    return line.strip()


def _show(found: Mark) -> None:
    for point in found.covered:
        print(f"  good     {shown(point.say)}")
    for point, words in found.missing:
        lack = f" (not heard: {shown(', '.join(words))})" if words else ""
        print(f"  missing  {shown(point.say)}{lack} [{shown('; '.join(point.sources))}]")
    for danger in found.dangers:
        print(f"  UNSAFE   {shown(danger.say)} [{shown('; '.join(danger.sources))}]")
    print(f"  score    {100 * found.score:.0f}%")


def _list(args: argparse.Namespace) -> int:
    folder, faults, trainee = places.journal_folder(args.journal), Faults(), _trainee(args)
    reader = Reader(load(args))
    standing = drill.standings(drill.results(folder, faults)).get(trainee, drill.Standing())
    for item in _items(args, reader, folder, faults):
        print(
            f"{shown(item.id)}  {shown(item.topic)}  box {standing.boxes.get(item.id, 0)}  {shown(item.question, 70)}"
        )
    tell_aside(faults)
    return 0


def _report(args: argparse.Namespace) -> int:
    faults = Faults()
    found = drill.standings(drill.results(places.journal_folder(args.journal), faults))
    rows = drill.table(found)
    if args.format == "json":
        print(json.dumps([dict(zip(rows[0], row, strict=True)) for row in rows[1:]], ensure_ascii=False))
    elif args.format == "csv":
        sys.stdout.writelines(csv_row(row) for row in rows)
    elif len(rows) == 1:
        print("nobody has answered yet: rungbook drill --coach k7")
    else:
        widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
        for row in rows:
            print("  ".join(shown(cell).ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    tell_aside(faults)
    return 0
