"""What the stream in front of a command can show: nothing but plain text, or a screen of some width."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from rich.text import Text

    from assistant.rendering.terminal import Screen

_NO_LINKS = ("linux", "vt", "cons", "sun", "ansi")


def is_dumb() -> bool:
    """Whether the terminal says that it can only append text (TERM=dumb, or no TERM where one is usual)."""
    return os.environ.get("TERM", "" if os.name != "nt" else "windows").lower() in ("", "dumb", "unknown")


def screen(args: argparse.Namespace, stream: TextIO | None = None, keep_layout: bool = False) -> Screen | None:
    """The screen behind a stream, None for plain text.

    Plain when it is no terminal, with --plain or TERM=dumb; NO_COLOR also means plain text, or with `keep_layout` the
    same layout without colour. CLICOLOR=0 takes the colour away everywhere.
    """
    stream = stream or sys.stdout
    bare = bool(os.environ.get("NO_COLOR"))
    if not stream.isatty() or getattr(args, "plain", False) or is_dumb() or (bare and not keep_layout):
        return None
    from assistant.rendering.terminal import Screen

    colour = not bare and os.environ.get("CLICOLOR", "1") != "0"
    term = os.environ.get("TERM", "").lower()
    return Screen(
        width=shutil.get_terminal_size((80, 24)).columns,
        colour=colour,
        links=not term.startswith(_NO_LINKS),
        unicode="utf" in (stream.encoding or "").lower(),
    )


def show(lines: list[Text], where: Screen) -> None:
    """Write finished lines to the terminal."""
    from assistant.rendering.terminal import ink

    write(ink(lines, where))


def write(text: str) -> None:
    """Write to standard output, signs that its encoding lacks replaced."""
    encoding = sys.stdout.encoding or "utf-8"
    sys.stdout.write(text.encode(encoding, "replace").decode(encoding))
    sys.stdout.flush()
