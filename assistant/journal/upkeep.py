"""Changing what was written, only on request: a client forgotten, words taken out, old days removed. Each file is
written anew beside the old one and put in its place in one step, so that a crash leaves one or the other whole."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from assistant.journal import record as records
from assistant.journal.places import sync_folder
from assistant.journal.reading import day_of, files, lines, stream
from assistant.journal.record import Record
from assistant.journal.store import explain, local_now, lock, same_file, unlock

Change = Callable[[Record], Record | None]


@dataclass
class Changed:
    """What was done: records removed, records changed, bad lines dropped, files touched, files looked at."""

    removed: int = 0
    changed: int = 0
    dropped: int = 0
    files: int = 0
    seen: int = 0


def rewrite(path: Path, change: Change, drop: Callable[[bytes], bool], why: str, total: Changed) -> None:
    """Write a file anew with each record as `change` returns it (None removes it) and without the bad lines that `drop`
    names; nothing is touched when nothing changes. Raises JournalError."""
    total.seen += 1
    again = True
    while again:
        try:
            handle = os.open(path, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0))
        except FileNotFoundError:
            return
        except OSError as error:
            raise explain(error, path) from None
        try:
            lock(handle, path)
            again = not same_file(handle, path)
            if not again:
                _rewrite_locked(path, change, drop, why, total)
        except OSError as error:
            raise explain(error, path) from None
        finally:
            unlock(handle)
            os.close(handle)


def _rewrite_locked(path: Path, change: Change, drop: Callable[[bytes], bool], why: str, total: Changed) -> None:
    done = Changed()
    new = path.with_name(path.name + ".tmp")
    parent, kept, bad = "", 0, 0
    out = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_NOFOLLOW", 0), 0o600)
    try:
        with os.fdopen(out, "wb") as file:
            for line in lines(path):
                if line.record is None:
                    if drop(line.raw) or not line.raw:
                        done.dropped += 1
                    else:
                        file.write(line.raw.rstrip(b"\r\n") + b"\n")
                        bad += 1
                    continue
                after = change(line.record)
                if after is None:
                    done.removed += 1
                    continue
                done.changed += after is not line.record
                data, parent = records.encode({**after, "parent": parent})
                file.write(data)
                kept += 1
            touched = done.removed or done.changed or done.dropped
            if touched and (kept or bad):
                file.write(records.encode({**_removal(why, done), "parent": parent})[0])
            file.flush()
            os.fsync(file.fileno())
        if touched:
            _put(new, path, keep=bool(kept or bad))
            total.files += 1
    finally:
        new.unlink(missing_ok=True)
    total.removed += done.removed
    total.changed += done.changed
    total.dropped += done.dropped


def _put(new: Path, path: Path, keep: bool) -> None:
    if keep:
        new.replace(path)
    else:
        path.unlink()
    sync_folder(path.parent)


def _removal(why: str, done: Changed) -> Record:
    """A line that tells of the change and of nothing that was removed."""
    return {
        **records.head(records.REMOVAL, local_now(), ""), "why": why, "removed": done.removed, "changed": done.changed,
    }  # fmt: skip


def sweep(folder: Path) -> int:
    """Remove half-written copies that a crash left behind: they hold what the file held."""
    count = 0
    for left in sorted(folder.rglob("*.jsonl.tmp")):
        left.unlink(missing_ok=True)
        count += 1
    return count


def forget(folder: Path, client: str) -> tuple[Changed, set[str]]:
    """Remove a client's entries, the reviews and drill results of them, and unreadable lines of the same files."""
    sweep(folder)
    total, gone = Changed(), set[str]()
    needle = client_mark(client)

    def client_entry(record: Record) -> Record | None:
        if record.get("client") != client:
            return record
        gone.add(str(record["id"]))
        return None

    for path in files(folder, copies=True):
        if _holds(path, needle):
            rewrite(path, client_entry, lambda raw: True, "forget", total)

    def about_gone(record: Record) -> Record | None:
        about = str(record.get("entry") or record.get("item", "")).rpartition("/")[2]
        return None if about in gone else record

    if gone:
        for path in [*files(folder, records.REVIEW, copies=True), *files(folder, records.DRILL, copies=True)]:
            rewrite(path, about_gone, lambda raw: any(each.encode() in raw for each in gone), "forget", total)
    return total, gone


def client_mark(client: str) -> re.Pattern[bytes]:
    """What a line of this client's holds, however it was spaced."""
    return re.compile(rb'"client"\s*:\s*"%s"' % re.escape(client).encode())


def _holds(path: Path, needle: re.Pattern[bytes]) -> bool:
    """Whether the raw bytes of any line hold what is sought."""
    try:
        with path.open("rb") as file:
            return any(needle.search(line) for line in file)
    except OSError as error:
        raise explain(error, path) from None


def still_holding(folder: Path, needle: re.Pattern[bytes]) -> tuple[int, list[Path]]:
    """Files read and those whose bytes still hold what is sought, whatever their names: the proof after a removal."""
    every = [path for path in sorted(folder.rglob("*")) if path.is_file() and not path.is_symlink()]
    return len(every), [path for path in every if _holds(path, needle)]


def replace_text(folder: Path, clean: Callable[[str], str], drop: Callable[[bytes], bool]) -> Changed:
    """Run every text that a person typed through `clean`, in all entries, reviews and drill results."""
    sweep(folder)
    total = Changed()

    def cleaned(record: Record) -> Record:
        texts = ("question", "comment", "better", "outcome", "reply")
        new = {name: clean(record[name]) for name in texts if isinstance(record.get(name), str)}
        return {**record, **new} if any(record[name] != text for name, text in new.items()) else record

    for path in files(folder, "*", copies=True):
        rewrite(path, cleaned, drop, "redact", total)
    return total


def expire(folder: Path, days: int, today: date, dry: bool = False) -> tuple[int, int]:
    """Remove the files of days more than `days` ago; returns files and records removed."""
    last = (today - timedelta(days=days)).isoformat()
    old = [path for path in files(folder, "*", copies=True) if day_of(path) < last]
    count = 0
    for path in old:
        count += sum(1 for kind in (records.ENTRY, records.REVIEW, records.DRILL) for _ in stream([path], kind=kind))
        if not dry:
            try:
                path.unlink()
            except OSError as error:
                raise explain(error, path) from None
    if old and not dry:
        sweep(folder)
        for parent in {path.parent for path in old}:
            sync_folder(parent)
    return len(old), count
