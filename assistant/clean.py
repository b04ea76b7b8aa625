"""Text from outside made harmless before it is stored, matched or shown."""

from __future__ import annotations

import re
import unicodedata

# CSI, OSC and two-character escape sequences whole, so that their parameters do not stay behind as text.
_ESCAPES = re.compile(r"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[\]PX^_][^\x07\x1b]*(?:\x07|\x1b\\|$)|\x1b[ -/]*[0-~]?")
_DROPPED = {"Cc", "Cf", "Cs", "Co", "Cn"}
_KEPT = {"\n", "\t"}
MAX_QUESTION = 4000
_MAX_MARKS = 2


def harmless(text: str, keep_newlines: bool = False) -> str:
    """Return text without control, format, bidi and escape characters; blanks collapse, at most two marks a letter."""
    text = _ESCAPES.sub(" ", text)
    if text.isascii() and text.isprintable():
        return text.strip()
    out: list[str] = []
    marks = 0
    for char in text:
        category = unicodedata.category(char)
        if char in _KEPT:
            out.append("\n" if keep_newlines and char == "\n" else " ")
        elif category in _DROPPED:
            if char in "\r\x0b\x0c\x85":
                out.append(" ")
        elif category in ("Zl", "Zp"):
            out.append(" ")
        elif category in ("Mn", "Me"):
            marks += 1
            if marks <= _MAX_MARKS:
                out.append(char)
            continue
        else:
            out.append(char)
        marks = 0
    return "".join(out).strip()


def question_text(raw: str) -> str:
    """A question as it is kept: harmless, on one line, cut at MAX_QUESTION characters."""
    return " ".join(harmless(raw[: MAX_QUESTION * 4]).split())[:MAX_QUESTION]
