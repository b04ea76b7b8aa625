"""Reading the journal as a stream: every file, every line, bad lines set aside with file and line, never a stop."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO, NamedTuple

from assistant.journal import record as records
from assistant.journal.record import BadLine, Record

NAME = re.compile(r"(\d{4}-\d\d-\d\d)\.([a-z0-9-]{1,24})\.([a-z0-9-]{1,24})(?:\.(review|drill))?\.jsonl")
Progress = Callable[[int], None]
_STEP = 512
_MANY = 200


@dataclass(frozen=True, order=True)
class Aside:
    """A line set aside; prints as file:line: what."""

    file: str
    line: int
    what: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.what}"


@dataclass
class Faults:
    """Lines set aside while reading: all counted, the first `_MANY` kept so that memory stays flat."""

    count: int = 0
    kept: list[Aside] = field(default_factory=list)

    def add(self, aside: Aside) -> None:
        """Note one."""
        self.count += 1
        if len(self.kept) < _MANY:
            self.kept.append(aside)


class Line(NamedTuple):
    """A line of a file: its number, its bytes, and the record or why there is none."""

    number: int
    raw: bytes
    record: Record | None
    fault: str = ""


def files(folder: Path, kind: str = records.ENTRY, copies: bool = False) -> list[Path]:
    """The journal's files of a kind (`*` for all) below a folder, oldest day first.

    A name tells day, coach and machine, so two files of one name are copies: the longest is read, with `copies` all."""
    found: dict[str, list[Path]] = {}
    for path in _walk(folder):
        match = NAME.fullmatch(path.name)
        if match and kind in ("*", match[4] or records.ENTRY):
            found.setdefault(path.name, []).append(path)
    if copies:
        return [path for name in sorted(found) for path in sorted(found[name])]
    return [max(sorted(found[name]), key=_bytes) if len(found[name]) > 1 else found[name][0] for name in sorted(found)]


def _bytes(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return -1


def strangers(folder: Path) -> list[Path]:
    """Files that look like journal files and bear no journal file's name: nobody reads them."""
    return [path for path in _walk(folder) if path.suffix == ".jsonl" and not NAME.fullmatch(path.name)]


def _walk(folder: Path) -> Iterator[Path]:
    for base, names, members in os.walk(folder, followlinks=False):
        names.sort()
        for name in sorted(members):
            path = Path(base) / name
            if not path.is_symlink():
                yield path


def day_of(path: Path) -> str:
    """The day in a journal file's name."""
    return path.name[:10]


def size(paths: list[Path]) -> int:
    """Bytes of all files, for a progress bar."""
    return sum(max(0, _bytes(path)) for path in paths)


def _raw(path: Path, progress: Progress | None) -> Iterator[tuple[int, bytes]]:
    """Every line that is not blank with its number; one longer than any record comes as empty bytes."""
    with path.open("rb") as file:
        done = number = 0
        while raw := file.readline(records.LONGEST):
            number += 1
            done += len(raw)
            if len(raw) == records.LONGEST and raw[-1:] != b"\n":
                done += _skip(file)
                raw = b""
            if progress is not None and number % _STEP == 0:
                progress(done)
                done = 0
            if not raw.isspace():
                yield number, raw
        if progress is not None:
            progress(done)


def _skip(file: BinaryIO) -> int:
    done = 0
    while more := file.readline(records.LONGEST):
        done += len(more)
        if more.endswith(b"\n"):
            break
    return done


def lines(path: Path, progress: Progress | None = None) -> Iterator[Line]:
    """Every line of a file; raises OSError when it cannot be opened."""
    for number, raw in _raw(path, progress):
        try:
            yield Line(number, raw, records.decode(raw) if raw else _overlong())
        except BadLine as bad:
            yield Line(number, raw, None, str(bad))


def _overlong() -> Record:
    raise BadLine("longer than any record")


def stream(
    paths: list[Path], faults: Faults | None = None, progress: Progress | None = None, kind: str = records.ENTRY
) -> Iterator[Record]:
    """The records of a kind in all files, in order; lines and files that cannot be read go to `faults`."""
    aside = faults if faults is not None else Faults()
    decode = records.decode
    for path in paths:
        try:
            for number, raw in _raw(path, progress):
                try:
                    record = decode(raw) if raw else _overlong()
                except BadLine as bad:
                    aside.add(Aside(str(path), number, str(bad)))
                    continue
                if record["kind"] == kind:
                    yield record
        except OSError as error:
            aside.add(Aside(str(path), 0, f"cannot be read: {error.strerror}"))


def entries(folder: Path, faults: Faults | None = None, progress: Progress | None = None) -> Iterator[Record]:
    """All entries of a journal."""
    return stream(files(folder), faults, progress)


def beginning(folder: Path, start: str) -> Iterator[Record]:
    """Entries whose id begins so; only lines that hold these letters are decoded."""
    wanted = start.encode()
    for path in files(folder):
        try:
            for _, raw in _raw(path, None):
                if wanted in raw:
                    yield from _begins(raw, start)
        except OSError:
            continue


def _begins(raw: bytes, start: str) -> Iterator[Record]:
    try:
        record = records.decode(raw)
    except BadLine:
        return
    if record["kind"] == records.ENTRY and record["id"].startswith(start):
        yield record


def verify(folder: Path, progress: Progress | None = None) -> tuple[int, Faults]:
    """Good lines, and every fault: torn and altered lines, gaps between lines, files that nobody reads."""
    faults = Faults()
    good = 0
    for path in files(folder, "*", copies=True):
        try:
            good += _verify_file(path, faults, progress)
        except OSError as error:
            faults.add(Aside(str(path), 0, f"cannot be read: {error.strerror}"))
    for path in strangers(folder):
        faults.add(
            Aside(str(path), 0, "not a journal file's name, so nobody reads it: name it DAY.COACH.MACHINE.jsonl")
        )
    return good, faults


def _verify_file(path: Path, faults: Faults, progress: Progress | None) -> int:
    good, before, doubt = 0, "", False
    for line in lines(path, progress):
        if line.record is None:
            faults.add(Aside(str(path), line.number, line.fault))
            doubt = True
            continue
        if line.record.get("parent", "") != before and not doubt:
            faults.add(Aside(str(path), line.number, "a line before this one is missing or was moved"))
        before, doubt = line.record["checksum"], False
        good += 1
    return good
