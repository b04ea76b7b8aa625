"""`rungbook review`: the mentor walks through what was answered, and sees what the journal as a whole says."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from assistant.commands.log import chosen, find, tell_aside, to_judge, write_out
from assistant.commands.progress import reading
from assistant.commands.subcommands import Actions
from assistant.errors import InputError
from assistant.journal import places
from assistant.journal import record as records
from assistant.journal.reading import Faults, entries, files
from assistant.journal.record import Record
from assistant.journal.search import Filter, shown
from assistant.journal.store import Store
from assistant.mentoring import report as reporting
from assistant.mentoring.verdicts import OUTCOME_ONLY, VERDICTS, Verdicts, read_verdicts, review
from assistant.mentoring.worklist import next_up, reason

WALK = 200
_LETTERS = {verdict[0]: verdict for verdict in VERDICTS}


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = (
        'examples: rungbook review; rungbook review verdict 3f2a amend --better "One pole, opposite hand, on 4 in."\n'
        "          rungbook review report --format md; rungbook review gaps; rungbook review replay --since 30"
    )
    actions = Actions(parser, required=False)
    parser.set_defaults(act=_walk)
    walk = actions.add(
        "walk", _walk, "walk through unreviewed entries, referrals and low confidence first", "rungbook review walk"
    )
    following = actions.add("next", _next, "show what should be looked at next", "rungbook review next --count 5")
    following.add_argument("--count", type=int, default=1, metavar="N", help="how many (1)")
    following.add_argument("--json", action="store_true", help="one JSON object a line")
    verdict = actions.add("verdict", _verdict, "give a verdict on one entry", "rungbook review verdict 3f2a sound")
    verdict.add_argument("id", help="the entry's id or how it begins")
    verdict.add_argument(
        "verdict", choices=(*VERDICTS, OUTCOME_ONLY), help="outcome: only tell what came of a referral"
    )
    verdict.add_argument("--comment", default="", metavar="TEXT", help="what is right or wrong with it")
    verdict.add_argument("--better", default="", metavar="TEXT", help="the better answer")
    verdict.add_argument("--outcome", default="", metavar="TEXT", help="what came of a referral")
    report = actions.add(
        "report", _report, "volume, topics, referrals, disagreements", "rungbook review report --format csv"
    )
    report.add_argument(
        "--format", choices=tuple(reporting.FORMATS), default="text", help="text, md, csv or json (text)"
    )
    report.add_argument("--out", metavar="FILE", help="write to this file instead of the screen")
    gaps = actions.add(
        "gaps",
        _gaps,
        "questions without a good answer, in groups, each with an entry to edit",
        "rungbook review gaps --top 5",
    )
    gaps.add_argument("--top", type=int, default=10, metavar="N", help="how many groups (10)")
    gaps.add_argument("--out", metavar="DIR", help="write one YAML file a group into this folder")
    gaps.add_argument("--all", action="store_true", help="questions that were out of scope too")
    replay = actions.add(
        "replay", _replay, "answer every logged question by the present knowledge and show what changed",
        "rungbook review replay --since 30",
    )  # fmt: skip
    replay.add_argument("--json", action="store_true", help="one JSON object a line")
    replay.add_argument("--full", action="store_true", help="both answers in full")
    for each in (walk, following, report, gaps, replay):
        each.add_argument("--since", metavar="DAY", help="from this day on (2026-01-31, or days ago)")
        each.add_argument("--until", metavar="DAY", help="up to this day")
        each.add_argument("--of", metavar="CODE", help="only what this coach asked")


def run(args: argparse.Namespace) -> int:
    """Exit code 0."""
    for name in ("since", "until", "status", "of"):
        if not hasattr(args, name):
            setattr(args, name, None)
    code: int = args.act(args)
    return code


def _wanted(args: argparse.Namespace) -> Filter:
    """The filter of the options; `--coach` is the mentor's own code here, so coaches are chosen with `--of`."""
    return replace(chosen(args, date.today()), coach=places.code(args.of, "coach") if args.of else "")


def _worklist(args: argparse.Namespace, most: int) -> tuple[list[Record], Verdicts]:
    folder, faults, wanted = places.journal_folder(args.journal), Faults(), _wanted(args)
    verdicts = read_verdicts(folder, faults)
    with reading("looking for open entries", files(folder)) as tell:
        found = next_up(wanted.of(entries(folder, faults, tell)), verdicts, most)
    tell_aside(faults)
    return found, verdicts


def _next(args: argparse.Namespace) -> int:
    if args.count < 1:
        raise InputError("--count must be 1 or more", str(args.count))
    found, _ = _worklist(args, args.count)
    for record in found:
        if args.json:
            print(json.dumps({**record, "why": reason(record)}, ensure_ascii=False, sort_keys=True))
        else:
            print(f"why        {reason(record)}\n" + "\n".join(to_judge(record)) + "\n")
    if not found and not args.json:
        print("nothing is left to review")
    return 0


def _store(args: argparse.Namespace) -> Store:
    return Store(
        places.journal_folder(args.journal), places.coach_code(args.coach), places.machine_code(), records.REVIEW
    )


def _cleaner(args: argparse.Namespace) -> Callable[[str], str]:
    """What takes names out of a mentor's texts; the knowledge is loaded only when there is a text."""
    rules: list[Callable[[str], str]] = []

    def clean(text: str) -> str:
        text = shown(text)[:2000]
        if not text:
            return ""
        if not rules:
            from assistant.commands.common import load
            from assistant.commands.recording import redactor
            from assistant.understanding.question import Reader

            rules.append(redactor(Reader(load(args))).text)
        return rules[0](text)

    return clean


def _verdict(args: argparse.Namespace) -> int:
    if args.verdict == OUTCOME_ONLY and not args.outcome.strip():
        raise InputError("what came of it?", fix='--outcome "seen by the GP, cleared"')
    record = find(places.journal_folder(args.journal), args.id)
    clean, store = _cleaner(args), _store(args)
    made = review(store, record["id"], args.verdict, clean(args.comment), clean(args.better), clean(args.outcome))
    store.close()
    print(f"{made['verdict']}: {shown(record['question'], 70)}")
    return 0


def _walk(args: argparse.Namespace) -> int:
    found, _ = _worklist(args, WALK)
    if not found:
        print("nothing is left to review")
        return 0
    clean, store, done = _cleaner(args), _store(args), 0
    for number, record in enumerate(found, 1):
        print(f"\n{number} of {len(found)}{'+' if len(found) == WALK else ''}: {reason(record)}")
        print("\n".join(to_judge(record)))
        verdict = _choice()
        if verdict is None:
            break
        if verdict:
            comment = _ask("comment (may stay empty): ")
            better = "" if verdict == "sound" else _ask("better answer (may stay empty): ")
            outcome = _ask("what came of the referral (may stay empty): ") if record["status"] == "refer" else ""
            review(store, record["id"], verdict, clean(comment), clean(better), clean(outcome))
            done += 1
    store.close()
    print(f"\n{done} reviewed")
    return 0


def _choice() -> str | None:
    """A verdict, an empty text to skip, None to stop."""
    while True:
        typed = _ask("verdict: s sound, a amend, w wrong, u unsafe, Enter skip, q quit: ").lower()
        if typed in ("q", "quit", "\x04"):
            return None
        if typed == "":
            return ""
        verdict = _LETTERS.get(typed, typed)
        if verdict in VERDICTS:
            return verdict
        print(f"{shown(typed, 20)!r} is no verdict")


def _ask(prompt: str) -> str:
    """A line from the mentor; the end of the input counts as quit."""
    print(prompt, end="", flush=True)
    line = sys.stdin.readline()
    if not line:
        print()
        return "\x04"
    return line.strip()


def _report(args: argparse.Namespace) -> int:
    folder, faults, wanted = places.journal_folder(args.journal), Faults(), _wanted(args)
    verdicts = read_verdicts(folder, faults)
    with reading("counting", files(folder)) as tell:
        found = reporting.report(wanted.of(entries(folder, faults, tell)), verdicts)
    write_out([reporting.FORMATS[args.format](found)], args.out)
    tell_aside(faults)
    return 0


def _gaps(args: argparse.Namespace) -> int:
    from assistant.mentoring import gaps

    if args.top < 1:
        raise InputError("--top must be 1 or more", str(args.top))
    folder, faults, wanted = places.journal_folder(args.journal), Faults(), _wanted(args)
    verdicts = read_verdicts(folder, faults)
    with reading("gathering", files(folder)) as tell:
        asked = gaps.gather(wanted.of(entries(folder, faults, tell)), verdicts, args.all)
    found = gaps.clusters(asked)
    tell_aside(faults)
    if not found:
        print("no gaps: every question was answered, and no answer was amended")
        return 0
    from assistant.commands.common import load
    from assistant.understanding.question import Reader

    read = Reader(load(args)).read
    texts = [gaps.text_of(cluster, number, read) for number, cluster in enumerate(found[: args.top], 1)]
    print(
        f"# asked without a good answer: {sum(c.times for c in found)}, in groups: {len(found)}; edit, save as YAML, then: rungbook knowledge check"
    )
    if args.out is None:
        print("---\n".join(texts), end="")
        return 0
    _write_files(Path(args.out), texts)
    return 0


def _write_files(folder: Path, texts: list[str]) -> None:
    taken: set[str] = set()
    for number, text in enumerate(texts, 1):
        match = re.search(r"^id: (\S+)$", text, re.MULTILINE)
        name = match[1] if match and match[1] not in taken else f"gap-{number}"
        taken.add(name)
        path = folder / f"{name}.yaml"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8") as file:
                file.write(text)
        except FileExistsError:
            print(f"kept as it is: {path}")
            continue
        except OSError as error:
            raise InputError(
                f"cannot be written: {error.strerror}", str(path), "name another folder with --out"
            ) from None
        print(path)


def _replay(args: argparse.Namespace) -> int:
    from assistant.commands.common import load
    from assistant.conversation import Assistant
    from assistant.mentoring import manifest
    from assistant.mentoring.replay import Replay
    from assistant.rendering.plain import plain

    folder, faults, wanted = places.journal_folder(args.journal), Faults(), _wanted(args)
    assistant = Assistant(load(args))
    sources = assistant.rulebase.knowledge.sources
    again = Replay(assistant, lambda answer: plain(answer, sources), lambda digest: manifest.read(folder, digest))
    count = 0
    with reading("answering again", files(folder)) as tell:
        for moved in again.changed(wanted.of(entries(folder, faults, tell))):
            count += 1
            if args.json:
                print(json.dumps(_moved(moved), ensure_ascii=False, sort_keys=True))
                continue
            old = moved.record
            print(f"{old['id'][:8]}  {old['time'][:10]}  {shown(old['question'], 90)}")
            print(f"  was {_brief(old['status'], old.get('urgency'), old['rules'])}")
            print(f"  now {_brief(moved.status, moved.urgency, moved.rules)}")
            print("\n".join(f"  why {shown(why)}" for why in moved.reasons))
            if args.full:
                print("\n".join(f"  -   {shown(line)}" for line in old["answer"].splitlines()))
                print("\n".join(f"  +   {shown(line)}" for line in moved.text.splitlines()))
    tell_aside(faults)
    if not args.json:
        print(f"{count} of {again.seen} answers changed")
    return 0


def _moved(moved: object) -> dict[str, object]:
    from assistant.mentoring.replay import Moved

    assert isinstance(moved, Moved)
    old = moved.record
    return {
        "id": old["id"], "time": old["time"], "question": old["question"], "reasons": list(moved.reasons),
        "was": {"status": old["status"], "urgency": old.get("urgency"), "rules": old["rules"], "answer": old["answer"]},
        "now": {"status": moved.status, "urgency": moved.urgency, "rules": list(moved.rules), "answer": moved.text},
    }  # fmt: skip


def _brief(status: str, urgency: str | None, rules: object) -> str:
    names = [shown(rule) for rule in rules] if isinstance(rules, (list, tuple)) else []
    return f"{shown(status)}{f' {shown(urgency)}' if urgency else ''}: {', '.join(names) or 'no rule'}"
