"""`rungbook knowledge`: check, look at, measure, compare and start entries."""

from __future__ import annotations

import argparse
import difflib
import json
import sys

from assistant.commands.common import knowledge_roots, load
from assistant.commands.progress import counting
from assistant.commands.subcommands import Actions
from assistant.conversation import Assistant
from assistant.errors import InputError
from assistant.mentoring import comparing
from assistant.mentoring import coverage as measured
from assistant.mentoring.proving import examples, prove
from assistant.mentoring.skeleton import condition, skeleton
from assistant.rulebase.loading import Rulebase, load_with_faults
from assistant.rulebase.model import Entry, Flag
from assistant.understanding.question import Reader


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = (
        "examples: rungbook knowledge check --only step-up; rungbook knowledge show step-up-hip-hikes;\n"
        "          rungbook knowledge diff --knowledge our-rules"
    )
    actions = Actions(parser)
    check = actions.add(
        "check", _check, "validate everything and ask every example question; exit code 1 when something is wrong",
        "rungbook knowledge check --knowledge our-rules --only our-rules",
    )  # fmt: skip
    check.add_argument("--only", metavar="TEXT", default="", help="only files whose name contains TEXT, in seconds")
    listed = actions.add("list", _list, "every entry, one a line", "rungbook knowledge list step-up")
    listed.add_argument("words", nargs="*", help="words that the line must hold, or an id of a movement or condition")
    show = actions.add("show", _show, "one entry or red flag, whole", "rungbook knowledge show step-up-hip-hikes")
    show.add_argument("id", help="the id of an entry or a red flag")
    export = actions.add("export", _export, "every entry for other programs, one JSON object a line",
                         "rungbook knowledge export --json")  # fmt: skip
    coverage = actions.add(
        "coverage", _coverage, "how much is known of what is promised", "rungbook knowledge coverage"
    )
    actions.add(
        "diff", _diff, "what house rules add and close, and which example questions now land elsewhere",
        "rungbook knowledge diff --knowledge our-rules",
    )  # fmt: skip
    new = actions.add("new", _new, "start an entry, or a file for a condition that is not known yet, from a question",
                      'rungbook knowledge new "how high is our new step?" > our-rules/step.yaml')  # fmt: skip
    new.add_argument("words", nargs="+", metavar="question", help="the question that found no good answer")
    new.add_argument("--condition", metavar="NAME", help="a file for this condition, with a caution to fill in")
    for each in (check, export, coverage):
        each.add_argument("--json", action="store_true", help="machine-readable")


def run(args: argparse.Namespace) -> int:
    """Exit code 0, or 1 when check, coverage or diff finds something."""
    code: int = args.act(args)
    return code


def _check(args: argparse.Namespace) -> int:
    rulebase, faults = load_with_faults(knowledge_roots(args))
    if not faults or args.only:
        with counting("asking the example questions", examples(rulebase.knowledge, args.only)) as tell:
            faults += list(prove(Assistant(rulebase), args.only, tell))
    faults = [fault for fault in faults if args.only in fault.file]
    known = rulebase.knowledge
    memory = measured.unverified(known)
    if args.json:
        print(json.dumps({
            "faults": [vars(f) for f in faults], "entries": len(known.entries), "flags": len(known.flags),
            "sources": len(known.sources), "memory": list(memory),
        }))  # fmt: skip
        return 1 if faults else 0
    for fault in faults:
        print(fault)
    print(
        f"{len(known.entries)} entries ({len(memory)} with a figure from memory), {len(known.flags)} flags, "
        f"{len(known.sources)} sources: {len(faults)} faults"
    )
    return 1 if faults else 0


def _list(args: argparse.Namespace) -> int:
    for entry in load(args).knowledge.entries.values():
        line = f"{entry.id}  {entry.kind}  {entry.say}"
        if all(word.lower() in line.lower() or word in (*entry.movements, *entry.conditions) for word in args.words):
            print(line)
    return 0


def _show(args: argparse.Namespace) -> int:
    known = load(args).knowledge
    wanted = args.id
    item = known.entries.get(wanted) or known.flags.get(wanted)
    if item is None:
        near = difflib.get_close_matches(wanted, [*known.entries, *known.flags], 3)
        raise InputError(
            f"no entry '{wanted}'", fix=f"did you mean {', '.join(near)}?" if near else "rungbook knowledge list"
        )
    print("\n".join(_entry_lines(item) if isinstance(item, Entry) else _flag_lines(item)))
    for source in item.sources:
        found = known.sources[source]
        print(f"source    {source}: {found.full()} [{found.kind}, {found.verified}]")
    print(f"stands in {item.file}:{item.line}")
    return 0


def _entry_lines(entry: Entry) -> list[str]:
    verified = f", verified: {entry.verified}" if entry.verified else ""
    return [
        f"{entry.id}: {entry.kind} for {', '.join([*entry.movements, *entry.conditions]) or entry.subject}",
        f"say       {entry.say}", f"why       {entry.why or '-'}", f"watch     {entry.watch or '-'}",
        f"evidence  {entry.evidence}{verified}",
        *(f"figure    {f.quantity} {f.value:g} {f.unit} ({f.source})" for f in entry.figures),
        *(f"forbids   {f.axis} of {', '.join(f.movements)}: {f.level or 'above ' + f.above or 'below ' + f.below}" for f in entry.forbids),
        *(f"asked as  {ask}" for ask in entry.asks),
    ]  # fmt: skip


def _flag_lines(flag: Flag) -> list[str]:
    return [
        f"{flag.id}: {flag.tier}", f"sees      {flag.sees}", f"do        {' '.join(flag.do)}", f"tell      {flag.tell or '-'}",
        f"worse     {flag.worse or '-'}", f"evidence  {flag.evidence}", *(f"asked as  {ask}" for ask in flag.asks),
    ]  # fmt: skip


def _export(args: argparse.Namespace) -> int:
    known = load(args).knowledge
    for entry in known.entries.values():
        text = " ".join(part for part in (entry.say, entry.why, entry.watch) if part)
        print(
            json.dumps(
                {"id": entry.id, "kind": entry.kind, "text": text, "sources": list(entry.sources)}, ensure_ascii=False
            )
        )
    for flag in known.flags.values():
        text = f"{flag.sees}. {' '.join(flag.do)}"
        print(
            json.dumps(
                {"id": flag.id, "kind": "referral", "text": text, "sources": list(flag.sources)}, ensure_ascii=False
            )
        )
    return 0


def _coverage(args: argparse.Namespace) -> int:
    known = load(args).knowledge
    found = [measured.coverage(known, kind) for kind in measured.PROMISED]
    holes = [hole for each in found for hole in each.holes]
    if args.json:
        print(json.dumps({each.kind: {s: list(c) for s, c in each.rows} for each in found} | {"holes": holes}))
        return 1 if holes else 0
    for each in found:
        print("\n".join(measured.table(each)) + "\n")
    print(f"{len(known.entries)} entries, {len(known.flags)} flags, {len(known.sources)} sources, {len(holes)} holes")
    return 1 if holes else 0


def _diff(args: argparse.Namespace) -> int:
    roots = knowledge_roots(args)
    if len(roots) == 1:
        raise InputError("nothing to compare with", fix="name your folder: rungbook knowledge diff --knowledge DIR")
    house = load(args)
    alone = house.shipped or house
    for what, where in comparing.additions(house.knowledge, alone.knowledge):
        print(f"{what.ljust(8)} {where}")
    asked, milder = comparing.examples(alone.knowledge), 0
    count = 0
    with counting("asking the example questions", len(asked)) as tell:
        for each in comparing.moved(Assistant(alone), Assistant(house), tell):
            count, milder = count + 1, milder + each.milder
            print(f'{"MILDER" if each.milder else "moved":8} "{each.ask}": {each.before} -> {each.after}')
    print(
        f"{count} of the {len(asked)} shipped example questions now land elsewhere; {milder} referrals are lost or milder"
    )
    return 1 if milder else 0


def _new(args: argparse.Namespace) -> int:
    text = " ".join(args.words).strip()
    if not text:
        raise InputError("the question is empty", fix='rungbook knowledge new "how high is our new step?"')
    rulebase: Rulebase = load(args)
    question = Reader(rulebase).read(text)
    if not args.condition:
        sys.stdout.write(skeleton(question, [text]))
        return 0
    named = Reader(rulebase).read(args.condition).conditions
    if named:
        file = rulebase.knowledge.subjects[named[0]].file
        raise InputError(
            f"{args.condition[:40]!r} is known as {named[0]} ({file})",
            fix="start an entry for it without --condition",
        )
    if not any(char.isalnum() for char in args.condition):
        raise InputError("--condition takes a name", fix='--condition "Raynaud\'s"')
    sys.stdout.write(condition(args.condition.strip(), question, [text]))
    return 0
