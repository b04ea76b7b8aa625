"""Where the record and the cards lie: flags, then environment, then the XDG folders; and codes that cannot leave them."""

from __future__ import annotations

import os
import re
from pathlib import Path

from assistant.errors import InputError

CODE = re.compile(r"[a-z0-9-]{1,24}")
DEFAULT_COACH = "coach"
MACHINE_FILE = "machine"
_PRIVATE = 0o700


def code(raw: str, what: str) -> str:
    """A coach's, client's or trainee's code in lower case; raises InputError for anything that is not a code."""
    found = raw.strip().lower()
    if not CODE.fullmatch(found):
        raise InputError(
            "not a code", f"{what} {raw[:40]!r}", "use 1 to 24 of a-z, 0-9 and -, such as a12; never a name"
        )
    return found


def coach_code(given: str | None) -> str:
    """The coach's code from --coach, RUNGBOOK_COACH or the default."""
    return code(given or os.environ.get("RUNGBOOK_COACH") or DEFAULT_COACH, "coach")


def state_home() -> Path:
    """$XDG_STATE_HOME/rungbook; a relative path in the variable is ignored, as the specification says."""
    return _xdg("XDG_STATE_HOME", ".local/state") / "rungbook"


def data_home() -> Path:
    """$XDG_DATA_HOME/rungbook."""
    return _xdg("XDG_DATA_HOME", ".local/share") / "rungbook"


def _xdg(variable: str, default: str) -> Path:
    given = os.environ.get(variable, "")
    return Path(given) if os.path.isabs(given) else _home() / default


def _home() -> Path:
    """The home folder; where there is none, a place that cannot be written, which is then told like any other."""
    try:
        return Path.home()
    except RuntimeError:
        return Path(os.devnull)


def journal_folder(given: str | None) -> Path:
    """The journal's folder from --journal, RUNGBOOK_JOURNAL or the XDG state folder."""
    named = given or os.environ.get("RUNGBOOK_JOURNAL")
    return Path(named) if named else state_home() / "journal"


def machine_code() -> str:
    """A code for this machine, made by chance and kept: a host name may hold a person's name or be the same elsewhere.

    Where it cannot be kept, this run gets one of its own: files of two machines never share a name.
    """
    path = state_home() / MACHINE_FILE
    try:
        kept = path.read_text("ascii", "replace").strip()
        if CODE.fullmatch(kept):
            return kept
    except OSError:
        pass
    return _new_machine(path)


def _new_machine(path: Path) -> str:
    made = "m" + os.urandom(4).hex()
    try:
        make_private(path.parent)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(made + "\n")
    except OSError:
        return made
    return made


def make_private(folder: Path) -> None:
    """Create a folder with mode 0700, its parents too where they are missing. Raises OSError."""
    missing = []
    while not folder.is_dir():
        missing.append(folder)
        if folder.parent == folder:
            break
        folder = folder.parent
    for each in reversed(missing):
        each.mkdir(mode=_PRIVATE, exist_ok=True)
        sync_folder(each.parent)


def sync_folder(folder: Path) -> None:
    """Make a new or renamed name in the folder last; a file system that cannot is let be."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
