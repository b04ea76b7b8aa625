"""`rungbook log`: look at the journal, take it out, check it, and remove from it."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections import deque
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from assistant.commands.progress import reading
from assistant.commands.subcommands import Actions
from assistant.errors import InputError
from assistant.journal import places, upkeep
from assistant.journal import record as records
from assistant.journal.reading import Faults, beginning, entries, files, lines, stream, verify
from assistant.journal.record import Record
from assistant.journal.search import FORMATS, Filter, day, figures, shown
from assistant.journal.store import explain

_STATUS = ("answered", "refer", "unsure", "out_of_scope")
_TYPED = ("question", "comment", "better", "outcome", "reply")
REMOVED = "[removed]"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = "examples: rungbook log list --since 7; rungbook log verify; rungbook log forget --client a12"
    actions = Actions(parser)
    listed = actions.add("list", _list, "the latest entries, one a line", "rungbook log list --since 7 --status refer")
    _choosing(listed)
    listed.add_argument("--limit", type=int, default=50, metavar="N", help="how many at most (50)")
    shows = actions.add("show", _show, "one entry, whole, with its reviews", "rungbook log show 3f2a")
    shows.add_argument("id", help="the entry's id or how it begins")
    search = actions.add("search", _list, "entries that hold all the words", "rungbook log search hip replacement")
    search.add_argument("words", nargs="+", help="words of the question, the answer or the rules")
    _choosing(search)
    search.add_argument("--limit", type=int, default=50, metavar="N", help="how many at most (50)")
    export = actions.add(
        "export", _export, "entries for other programs", "rungbook log export --format csv --out log.csv"
    )
    export.add_argument("--format", choices=tuple(FORMATS), default="jsonl", help="jsonl, csv or md (jsonl)")
    export.add_argument("--out", metavar="FILE", help="write to this file, closed to others, instead of the screen")
    _choosing(export)
    redact = actions.add(
        "redact", _redact, "take words out of all that was typed, and apply the present rules to all of it",
        "rungbook log redact Bellwether",
    )  # fmt: skip
    redact.add_argument("texts", nargs="*", help="words to take out, each in quotes if it holds blanks")
    forget = actions.add(
        "forget", _forget, "remove all that is kept of a client, and prove it", "rungbook log forget --client a12"
    )
    expire = actions.add("expire", _expire, "remove days older than N days", "rungbook log expire --days 365")
    expire.add_argument("--days", type=int, required=True, metavar="N", help="how many days are kept")
    for each in (forget, expire):
        each.add_argument("--dry-run", action="store_true", help="only say what would be removed")
    actions.add("verify", _verify, "check every line; exit code 1 when something is wrong", "rungbook log verify")


def _choosing(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--since", metavar="DAY", help="from this day on (2026-01-31, or days ago)")
    parser.add_argument("--until", metavar="DAY", help="up to this day")
    parser.add_argument("--status", choices=_STATUS, help="only answers of this kind")


def run(args: argparse.Namespace) -> int:
    """Exit code 0; verify and forget give 1 when something is wrong or left."""
    code: int = args.act(args)
    return code


def chosen(args: argparse.Namespace, today: date) -> Filter:
    """The filter that the options ask for. Raises InputError."""
    return Filter(
        since=day(args.since, today) if args.since else "", until=day(args.until, today) if args.until else "",
        coach=places.code(args.coach, "coach") if args.coach else "",
        client=places.code(args.client, "client") if args.client else "", status=args.status or "",
        words=tuple(word.casefold() for word in getattr(args, "words", ())),
    )  # fmt: skip


@contextmanager
def _reading(args: argparse.Namespace) -> Iterator[Iterable[Record]]:
    """The wanted entries; afterwards one line on standard error when lines had to be set aside."""
    folder, faults = places.journal_folder(args.journal), Faults()
    wanted = chosen(args, date.today())
    with reading("reading the journal", files(folder)) as tell:
        yield wanted.of(entries(folder, faults, tell))
    tell_aside(faults)


def tell_aside(faults: Faults) -> None:
    """Say that lines were set aside."""
    if faults.count:
        lines_were = "1 line was" if faults.count == 1 else f"{faults.count} lines were"
        print(f"rungbook: {lines_were} set aside as torn or altered: rungbook log verify", file=sys.stderr)


def entry_line(record: Record, wide: int = 78) -> str:
    """An entry on one line."""
    status = record.get("urgency") or record["status"]
    head = f"{shown(record['id'])[:8]}  {shown(record['time'])[:16]}  {shown(record['coach'])}"
    client = f" for {shown(record['client'])}" if record["client"] else ""
    return f"{head}{client}  {shown(status)}  {shown(record['question'], wide)}"


def _list(args: argparse.Namespace) -> int:
    if args.limit < 1:
        raise InputError("--limit must be 1 or more", str(args.limit))
    with _reading(args) as found:
        last = deque(found, maxlen=args.limit)
    for record in last:
        print(entry_line(record))
    if not last:
        print("nothing found")
    return 0


def find(folder: Path, start: str) -> Record:
    """The one entry whose id begins so; raises InputError when there is none or more than one."""
    wanted = start.strip().lower()
    if not re.fullmatch(r"[0-9a-f]{4,16}", wanted):
        raise InputError("not an entry's id", start[:20], "give at least its first 4 letters: rungbook log list")
    found: dict[str, Record] = {}
    for record in beginning(folder, wanted):
        found.setdefault(record["id"], record)
        if len(found) > 1:
            raise InputError("more than one entry begins so", wanted, "give more of the id")
    if not found:
        raise InputError("no entry begins so", wanted, "rungbook log list")
    return next(iter(found.values()))


def entry_lines(record: Record) -> list[str]:
    """An entry, whole."""
    understood = record["understood"]
    facts = understood.get("facts") or {}
    return [
        f"entry      {shown(record['id'])}, {shown(record['time'])}, rungbook {shown(record['version'])}",
        f"coach      {shown(record['coach'])}" + (f", client {shown(record['client'])}" if record["client"] else ""),
        f"talk       {shown(record['conversation'])}, turn {shown(record.get('turn', 0))}",
        f"question   {shown(record['question'])}",
        f"understood {shown(understood.get('intent') or 'no intent')}: "
        f"{shown(', '.join([*understood['movements'], *understood['conditions']]) or 'no subject')}",
        f"facts      {shown('; '.join(f'{k} {v}' for k, v in facts.items()) or 'none')}",
        f"status     {shown(record['status'])}" + (f", {shown(record['urgency'])}" if record.get("urgency") else ""),
        f"rules      {shown(', '.join(record['rules']) or 'none')}",
        f"figures    {'; '.join(figures(record)) or 'none'}",
        f"knowledge  {shown(record['knowledge'])}",
        *(f"answer     {shown(line)}" for line in record["answer"].splitlines()),
    ]


def to_judge(record: Record) -> list[str]:
    """What a mentor needs of an entry, the question first: the rest is in `log show`."""
    understood = record["understood"]
    subjects = ", ".join([*understood["movements"], *understood["conditions"]]) or "no subject"
    client = f", client {shown(record['client'])}" if record["client"] else ""
    return [
        f"question   {shown(record['question'])}",
        f"asked by   {shown(record['coach'])}{client}, {shown(record['time'])[:16]}, entry {shown(record['id'])[:8]}",
        f"understood {shown(understood.get('intent') or 'no intent')}: {shown(subjects)}",
        *(f"answer     {shown(line)}" for line in record["answer"].splitlines()),
        f"rules      {shown(', '.join(record['rules']) or 'none')}",
    ]


def _show(args: argparse.Namespace) -> int:
    folder = places.journal_folder(args.journal)
    record = find(folder, args.id)
    print("\n".join(entry_lines(record)))
    for review in stream(files(folder, records.REVIEW), kind=records.REVIEW):
        if review["entry"] == record["id"]:
            texts = [shown(review[name]) for name in ("comment", "better", "outcome") if review[name]]
            print(
                f"review     {shown(review['verdict'])} by {shown(review['coach'])}: {'; '.join(texts) or 'no comment'}"
            )
    return 0


def write_out(parts: Iterable[str], out: str | None) -> None:
    """Write to a file closed to others, or to the screen. Raises InputError."""
    if out is None:
        sys.stdout.writelines(parts)
        return
    try:
        handle = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.writelines(parts)
    except OSError as error:
        raise InputError(f"cannot be written: {error.strerror}", out, "name another file with --out") from None


def _export(args: argparse.Namespace) -> int:
    with _reading(args) as found:
        write_out(FORMATS[args.format](found), args.out)
    return 0


def _verify(args: argparse.Namespace) -> int:
    folder = places.journal_folder(args.journal)
    with reading("checking the journal", files(folder, "*", copies=True)) as tell:
        good, faults = verify(folder, tell)
    for fault in faults.kept:
        print(shown(fault))
    if faults.count > len(faults.kept):
        print(f"... and {faults.count - len(faults.kept)} more")
    count = len(files(folder, "*", copies=True))
    print(f"{good} good lines in {count} files of {folder}: {faults.count} faults")
    return 1 if faults.count else 0


# -- removing --------------------------------------------------------------------------------------------------------


def _forget(args: argparse.Namespace) -> int:
    from assistant.commands.recording import cards

    if not args.client:
        raise InputError("which client?", fix="rungbook log forget --client a12")
    client = places.code(args.client, "client")
    folder = places.journal_folder(args.journal)
    if args.dry_run:
        count = sum(1 for record in entries(folder) if record["client"] == client)
        print(f"would remove {count} entries of {client}" + (" and the card" if cards().path(client).exists() else ""))
        return 0
    done, gone = upkeep.forget(folder, client)
    card_files = cards().remove(client)
    history = _clear_history(re.compile(_word(client), re.IGNORECASE))
    print(
        f"removed {len(gone)} entries of {client} with {done.removed - len(gone)} reviews and drill results of them, "
        f"{done.dropped} unreadable lines, {card_files} card files and {history} lines of the chat's history"
    )
    seen, left = upkeep.still_holding(folder, upkeep.client_mark(client))
    left += [path for path in (cards().path(client), cards().before(client)) if path.exists()]
    print(f"checked: {len(left)} of {seen} files still hold {client}")
    for path in left:
        print(f"still there: {shown(path)}")
    _tell_mentions(folder, client)
    print("copies made elsewhere and blocks that the disk has not yet used again are out of reach")
    return 1 if left else 0


def _word(text: str) -> str:
    return rf"(?<![\w-]){re.escape(text)}(?![\w-])"


def _clear_history(wanted: re.Pattern[str]) -> int:
    """Take lines that hold it out of the conversation's history file; returns how many. Raises JournalError."""
    from assistant.commands.prompting import HISTORY

    path = places.state_home() / HISTORY
    try:
        old = path.read_text("utf-8", "replace").splitlines(keepends=True)
        kept = [line for line in old if not (line.startswith("+") and wanted.search(line))]
        if kept != old:
            new = path.with_name(f".{HISTORY}.new")
            with os.fdopen(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as file:
                file.writelines(kept)
            new.replace(path)
    except FileNotFoundError:
        return 0
    except OSError as error:
        raise explain(error, path) from None
    return len(old) - len(kept)


def _tell_mentions(folder: Path, client: str) -> None:
    """Entries of others may name the code in their text: shown, since a code can be an ordinary word too."""
    word = re.compile(_word(client))
    ids = [record["id"] for record in entries(folder) if word.search(record["question"].lower())]
    if ids:
        print(f"{len(ids)} other questions hold the word {client}: {', '.join(each[:8] for each in ids[:10])}")
        print(f"if the client is meant: rungbook log redact {client}")


def _redact(args: argparse.Namespace) -> int:
    from assistant.commands.common import load
    from assistant.commands.recording import cards, redactor
    from assistant.understanding.question import Reader

    folder = places.journal_folder(args.journal)
    texts = [" ".join(text.split()) for text in args.texts if text.strip()]
    wanted = re.compile("|".join(_word(text) for text in texts), re.IGNORECASE) if texts else None
    rules = redactor(Reader(load(args)))

    def clean(text: str) -> str:
        return rules.text(wanted.sub(REMOVED, text) if wanted else text)

    def drop(raw: bytes) -> bool:
        return wanted is not None and wanted.search(raw.decode("utf-8", "replace")) is not None

    done = upkeep.replace_text(folder, clean, drop)
    notes = cards().clean_notes(clean)
    print(
        f"changed {done.changed} lines in {done.files} files and {notes} cards, dropped {done.dropped} unreadable lines"
    )
    if wanted is None:
        return 0
    _clear_history(wanted)
    left = [shown(path) for path in files(folder, "*", copies=True) if _typed_in(path, wanted)]
    print(f"checked: {len(left)} of {len(files(folder, '*'))} files still hold it in what was typed")
    print("\n".join(f"still there: {path}" for path in left), end="\n" if left else "")
    return 1 if left else 0


def _typed_in(path: Path, wanted: re.Pattern[str]) -> bool:
    for line in lines(path):
        texts = (
            [str(line.record.get(name, "")) for name in _TYPED]
            if line.record
            else [line.raw.decode("utf-8", "replace")]
        )
        if any(wanted.search(text) for text in texts):
            return True
    return False


def _expire(args: argparse.Namespace) -> int:
    if args.days < 1:
        raise InputError("--days must be 1 or more", str(args.days))
    count, gone = upkeep.expire(places.journal_folder(args.journal), args.days, date.today(), args.dry_run)
    print(
        f"{'would remove' if args.dry_run else 'removed'} {gone} records in {count} files older than {args.days} days"
    )
    return 0
