"""Appending to the journal: one file per coach, machine and day, and what was told as saved is on disk.

An append takes the file's lock, writes the line in one call and syncs it. A tail torn by a crash stays where it is and
the new line starts on a line of its own. A short write, as on a full disk, is cut off again under the same lock.
"""

from __future__ import annotations

import errno
import os
import stat
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from assistant.errors import InputError
from assistant.journal import record as records
from assistant.journal.places import make_private, sync_folder
from assistant.journal.record import BadLine, Record

try:
    import fcntl
except ImportError:  # pragma: no cover - a system without these locks: one process at a time there
    fcntl = None  # type: ignore[assignment]

PARTS = {records.REVIEW: ".review", records.DRILL: ".drill"}
LOCK_SECONDS = 3.0
_PAUSE = 0.002
_TAIL_BYTES = 1 << 13
_REASONS = {
    errno.ENOSPC: ("the disk is full", "free some space"),
    errno.EDQUOT: ("the disk quota is used up", "free some space"),
    errno.EFBIG: ("the file may not grow any further", "free some space or raise the limit"),
    errno.EROFS: ("the folder is read-only", "name another with --journal DIR"),
    errno.EACCES: ("no permission to write there", "name another with --journal DIR"),
    errno.EPERM: ("no permission to write there", "name another with --journal DIR"),
    errno.ENOTDIR: ("that is not a folder", "name another with --journal DIR"),
    errno.EEXIST: ("that is not a folder", "name another with --journal DIR"),
    errno.EISDIR: ("a folder stands where the file should be", "move it away"),
    errno.ELOOP: ("a link stands where the file should be", "move it away"),
}


class JournalError(InputError):
    """The record could not be written or changed; the text says why and what to do, on one line."""


def explain(error: OSError, where: Path) -> JournalError:
    """A JournalError in plain words for what the system said."""
    what, fix = _REASONS.get(error.errno or 0, (error.strerror or str(error), "name another folder with --journal DIR"))
    return JournalError(f"{what} ({where}): {fix}")


def local_now() -> datetime:
    """The present time with the machine's zone."""
    return datetime.now().astimezone()


class Store:
    """Appends records of one coach on one machine. The file stays open from one append to the next."""

    def __init__(
        self, folder: Path, coach: str, machine: str, kind: str = records.ENTRY, now: Callable[[], datetime] = local_now
    ) -> None:
        self.folder, self.coach, self.machine, self.now = folder, coach, machine, now
        self.part = PARTS.get(kind, "")
        self._handle = -1
        self._path = Path()
        self._end = -1
        self._parent = ""

    def append(self, record: Record) -> str:
        """Write one record and sync it; returns its id. Raises JournalError, and then nothing of it is left behind."""
        path = self.folder / f"{record['time'][:10]}.{self.coach}.{self.machine}{self.part}.jsonl"
        try:
            with self._locked(path):
                self._write(record)
        except OSError as error:
            self.close()
            raise explain(error, path if error.errno in (errno.EISDIR, errno.ELOOP) else self.folder) from None
        except (ValueError, TypeError, RecursionError) as error:
            raise JournalError(f"the record cannot be written ({error}): tell the makers") from None
        return str(record["id"])

    def close(self) -> None:
        """Close the file."""
        if self._handle >= 0:
            os.close(self._handle)
        self._handle, self._end = -1, -1

    @contextmanager
    def _locked(self, path: Path) -> Iterator[None]:
        """The file open and locked; opened again when the day has changed or upkeep has put a new file in its place."""
        while True:
            if self._handle < 0 or path != self._path:
                self.close()
                self._handle, self._path = _open(path), path
            lock(self._handle, path)
            if same_file(self._handle, path):
                break
            self.close()
        try:
            yield
        finally:
            if self._handle >= 0:
                unlock(self._handle)

    def _write(self, record: Record) -> None:
        end = os.fstat(self._handle).st_size
        torn = False
        if end != self._end:
            self._parent, torn = last_checksum(self._handle, end)
        line, total = records.encode({**record, "parent": self._parent})
        data = b"\n" + line if torn else line
        try:
            written = os.write(self._handle, data)
            if written != len(data):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            os.fsync(self._handle)
        except OSError:
            os.ftruncate(self._handle, end)
            raise
        self._end, self._parent = end + len(data), total


def _open(path: Path) -> int:
    fresh = not path.exists()
    if fresh:
        make_private(path.parent)
    _tighten(path.parent)
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0)
    handle = os.open(path, flags, 0o600)
    state = os.fstat(handle)
    if not stat.S_ISREG(state.st_mode):
        os.close(handle)
        raise OSError(errno.EISDIR, os.strerror(errno.EISDIR))
    if state.st_mode & 0o077 and state.st_uid == os.geteuid():
        os.fchmod(handle, 0o600)
    if fresh:
        sync_folder(path.parent)
    return handle


def _tighten(folder: Path) -> None:
    """A journal folder of ours that is open to others is closed to them; a folder that holds other things is left be."""
    state = folder.stat()
    if not state.st_mode & 0o077 or state.st_mode & stat.S_ISVTX or state.st_uid != os.geteuid():
        return
    if all(is_ours(name) for name in os.listdir(folder)):
        folder.chmod(0o700)


def is_ours(name: str) -> bool:
    """Whether a file name is one that the journal makes."""
    return name.endswith((".jsonl", ".jsonl.tmp")) or (name.startswith("rules-") and name.endswith(".json"))


def lock(handle: int, path: Path, seconds: float = LOCK_SECONDS) -> None:
    """Take the file's lock; raises JournalError when another process keeps it too long."""
    if fcntl is None:  # pragma: no cover
        return
    ends = time.monotonic() + seconds
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            if time.monotonic() > ends:
                raise JournalError(f"another process keeps the journal locked ({path}): end it") from None
            time.sleep(_PAUSE)


def unlock(handle: int) -> None:
    """Give the file's lock back."""
    if fcntl is not None:
        fcntl.flock(handle, fcntl.LOCK_UN)


def same_file(handle: int, path: Path) -> bool:
    """Whether the open file is still the one that bears this name."""
    try:
        there = os.stat(path, follow_symlinks=False)
    except FileNotFoundError:
        return False
    here = os.fstat(handle)
    return (here.st_ino, here.st_dev) == (there.st_ino, there.st_dev)


def last_checksum(handle: int, end: int) -> tuple[str, bool]:
    """Checksum of the last whole record of an open file, and whether its tail is torn (no newline at the end)."""
    reach = _TAIL_BYTES
    torn = end > 0 and os.pread(handle, 1, end - 1) != b"\n"
    while True:
        start = max(0, end - reach)
        whole = os.pread(handle, end - start, start).split(b"\n")[1 if start else 0 :]
        for line in reversed([each for each in whole if each.strip()]):
            try:
                return str(records.decode(line)["checksum"]), torn
            except BadLine:
                continue
        if start == 0 or reach > records.LONGEST:
            return "", torn
        reach *= 16
