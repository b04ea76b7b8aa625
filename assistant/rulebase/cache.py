"""The folder of compiled knowledge: one file for each content, found by what the folders look like, written whole.

Nothing in it is trusted blindly: the first line of each file holds version and checksum; anything amiss means "build it
again". A folder that cannot be written is no error, and several processes may write at once.
"""

from __future__ import annotations

import os
import time
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path

from assistant import __version__

FORMAT = 9
_KEPT = 4  # compiled files kept, and stamps
_SETTLED_SECONDS = 2.0  # a file changed more lately might change again without a new time stamp


def cache_folder() -> Path:
    """$XDG_CACHE_HOME/rungbook, or ~/.cache/rungbook."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(base) if os.path.isabs(base) else Path.home() / ".cache") / "rungbook"


def load(digest: str) -> bytes | None:
    """The block compiled from knowledge of this digest, or None when there is none that is whole."""
    return _read(_name("knowledge", digest.rpartition(":")[2]), digest)


def save(digest: str, block: bytes) -> None:
    """Keep a block at once or not at all."""
    _write("knowledge", _name("knowledge", digest.rpartition(":")[2]), digest, block)


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
    known = _read(name, "stamp")
    if known is not None:
        found, _, looked = known.partition(b"\n")
        if looked == look:
            return found.decode()
    found_now = _digest(roots)
    if newest < (time.time() - _SETTLED_SECONDS) * 1e9:
        _write("stamp", name, "stamp", found_now.encode() + b"\n" + look)
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


def _first_line(key: str, body: bytes) -> bytes:
    return f"rungbook {__version__} {FORMAT} {key} {zlib.crc32(body):08x}".encode()


def _read(name: str, key: str) -> bytes | None:
    try:
        with open(cache_folder() / name, "rb") as file:
            head, body = file.readline(200), file.read()
    except OSError:
        return None
    return body if head.rstrip(b"\n") == _first_line(key, body) else None


def _write(what: str, name: str, key: str, body: bytes) -> None:
    import tempfile

    try:
        folder = cache_folder()
        folder.mkdir(parents=True, exist_ok=True)
        handle, new = tempfile.mkstemp(dir=folder, prefix=".new-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(_first_line(key, body) + b"\n" + body)
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
