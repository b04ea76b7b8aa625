"""The folder of compiled knowledge: one file for each content, found by what the folders look like, written whole.

Nothing in it is trusted blindly. The first line of a file holds version, content hash and a checksum; a block of knowledge
has a checksum for each page, and only the pages that are looked at are read. Anything amiss means "build it again". A folder
that cannot be written is no error, and several processes may write at once.
"""

from __future__ import annotations

import os
import time
import zlib
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from assistant import __version__

FORMAT = 17
PAGE = 4096
_PAGES_HELD = 512  # what is looked at again is held parsed, not here
_LINE = 128  # bytes of the first line
_KEPT = 4  # compiled files kept, and stamps
_SETTLED_SECONDS = 2.0  # a file changed more lately might change again without a new time stamp


def cache_folder() -> Path:
    """$XDG_CACHE_HOME/rungbook, or ~/.cache/rungbook."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if os.path.isabs(base) else Path.home() / ".cache") / "rungbook"


class Pages:
    """A kept block, read page by page; a damaged page makes it be built again by `rebuild`."""

    def __init__(self, handle: int, start: int, sums: bytes, rebuild: Callable[[], bytes]) -> None:
        self._handle, self._start, self._sums, self._rebuild = handle, start, sums, rebuild
        self._pages: dict[int, bytes] = {}
        self._whole = b""

    def __del__(self) -> None:
        os.close(self._handle)

    def read(self, start: int, end: int) -> bytes:
        """The bytes from one place to another."""
        first, last = start // PAGE, (end - 1) // PAGE
        pages = self._pages
        page = pages[first] if first in pages else self._page(first)
        if first != last:
            page += b"".join(pages[n] if n in pages else self._page(n) for n in range(first + 1, last + 1))
        return page[start - first * PAGE : end - first * PAGE]

    def _page(self, number: int) -> bytes:
        if not self._whole:
            try:
                page = _read_at(self._handle, PAGE, self._start + number * PAGE)
            except OSError:
                page = b""
            if _sum(page) == self._sums[4 * number : 4 * number + 4]:
                if len(self._pages) >= _PAGES_HELD:
                    self._pages.clear()
                self._pages[number] = page
                return page
            self._whole = self._rebuild()
        page = self._pages[number] = self._whole[number * PAGE : (number + 1) * PAGE]
        return page


def _read_at(handle: int, size: int, at: int) -> bytes:
    """Bytes from a place in a file, whatever other threads read from it."""
    if hasattr(os, "pread"):
        return os.pread(handle, size, at)
    with open(os.dup(handle), "rb") as file:  # pragma: no cover - a system without pread
        file.seek(at)
        return file.read(size)


def load(digest: str, rebuild: Callable[[], bytes]) -> Callable[[int, int], bytes] | None:
    """What reads the block compiled from knowledge of this digest, or None when there is none that is whole."""
    path = cache_folder() / _name("knowledge", digest.rpartition(":")[2])
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    except OSError:
        return None
    try:
        size = os.fstat(handle).st_size - _LINE
        sums = 4 * -(-max(0, size) // (PAGE + 4))
        head = _read_at(handle, _LINE + sums, 0)
    except OSError:
        head, size, sums = b"", 0, 0
    if head[:_LINE] != _first_line(digest, head[_LINE:], size):
        os.close(handle)
        return None
    return Pages(handle, len(head), head[_LINE:], rebuild).read


def save(digest: str, block: bytes) -> None:
    """Keep a block at once or not at all."""
    sums = b"".join(_sum(block[at : at + PAGE]) for at in range(0, len(block), PAGE))
    body = sums + block
    line = _first_line(digest, sums, len(body))
    _write("knowledge", _name("knowledge", digest.rpartition(":")[2]), line + body)


def _sum(page: bytes) -> bytes:
    return zlib.crc32(page).to_bytes(4, "little")


def _first_line(key: str, body: bytes, size: int) -> bytes:
    return f"rungbook {__version__} {FORMAT} {key} {size} {zlib.crc32(body):08x}".ljust(_LINE - 1).encode() + b"\n"


def yaml_files(root: Path) -> Iterator[Path]:
    """Every .yaml file below root in a stable order; links are not followed out of the folder."""
    for path, _ in _found(str(root)):
        yield Path(path)


def _found(folder: str) -> Iterator[tuple[str, os.DirEntry[str]]]:
    """Path and entry of every .yaml file below a folder: its own first, then those of its folders."""
    try:
        with os.scandir(folder) as entries:
            inside = sorted(entries, key=lambda entry: entry.name)
    except OSError:
        return
    folders = []
    for entry in inside:
        if entry.is_dir(follow_symlinks=False):
            folders.append(entry.path)
        elif entry.name.endswith((".yaml", ".yml")) and entry.name[0] != ".":
            yield entry.path, entry
    for path in folders:
        yield from _found(path)


def digest(roots: Sequence[Path]) -> str:
    """Content hash over names and bytes of all knowledge files; unread files that look as they did are not read again."""
    look, newest = _look(roots)
    name = _name("stamp", f"{zlib.crc32(os.fsencode(os.pathsep.join(map(str, roots)))):08x}")
    known = _stamp(name)
    if known is not None:
        found, _, looked = known.partition(b"\n")
        if looked == look:
            return found.decode()
    found_now = _digest(roots)
    if newest < (time.time() - _SETTLED_SECONDS) * 1e9:
        body = found_now.encode() + b"\n" + look
        _write("stamp", name, _first_line("stamp", body, len(body)) + body)
    return found_now


def _look(roots: Sequence[Path]) -> tuple[bytes, int]:
    """Names, sizes and times of all knowledge files, and the latest time (ns)."""
    lines, newest = [], 0
    for root in roots:
        lines.append(os.path.abspath(root))
        for path, entry in _found(str(root)):
            try:
                at = entry.stat()
            except OSError:
                lines.append(f"{path} unreadable")
                continue
            newest = max(newest, at.st_mtime_ns, at.st_ctime_ns)
            lines.append(f"{path} {at.st_size} {at.st_mtime_ns} {at.st_ctime_ns} {at.st_ino}")
    return os.fsencode("\n".join(lines)), newest


def _digest(roots: Sequence[Path]) -> str:
    import hashlib

    total = hashlib.sha256()
    for root in roots:
        for path in yaml_files(root):
            total.update(path.relative_to(root).as_posix().encode("utf-8", "surrogateescape"))
            total.update(b"\0")
            try:
                total.update(path.read_bytes())
            except OSError:
                total.update(b"unreadable")
            total.update(b"\0")
    return "sha256:" + total.hexdigest()[:32]


# -- files -----------------------------------------------------------------------------------------------------------


def _name(what: str, which: str) -> str:
    return f"{what}-{FORMAT}-{which}.bin"


def _stamp(name: str) -> bytes | None:
    try:
        with open(cache_folder() / name, "rb") as file:
            line, body = file.read(_LINE), file.read()
    except OSError:
        return None
    return body if line == _first_line("stamp", body, len(body)) else None


def _write(what: str, name: str, content: bytes) -> None:
    import tempfile

    try:
        folder = cache_folder()
        folder.mkdir(parents=True, exist_ok=True)
        handle, new = tempfile.mkstemp(dir=folder, prefix=".new-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            os.replace(new, folder / name)
        except OSError:
            os.unlink(new)
        _forget_others(folder, what)
    except OSError:
        return


def _forget_others(folder: Path, what: str) -> None:
    """Keep the newest files of a kind."""
    files = sorted(folder.glob(f"{what}-*"), key=lambda path: path.stat().st_mtime, reverse=True)
    for old in files[_KEPT:]:
        old.unlink(missing_ok=True)
