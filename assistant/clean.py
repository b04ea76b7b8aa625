"""Text from outside made harmless before it is stored, matched or shown."""

from __future__ import annotations

import unicodedata

from assistant.regex import Rule

# CSI, OSC and two-character escape sequences whole, so that their parameters do not stay behind as text.
# An unended OSC loses its mark only: what stands behind it may be the question, and a red flag in it.
_ESCAPES = Rule(r"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[\]PX^_][^\x07\x1b]{0,2000}(?:\x07|\x1b\\)|\x1b[ -/]{0,8}[0-~]?", "\x1b")
_DROPPED = {"Cc", "Cf", "Cs", "Co", "Cn"}
_KEPT = {"\n", "\t"}
MAX_QUESTION = 4000
_MOST_READ = 64_000  # characters looked at for one question: room for marks and escapes that are dropped
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
    return " ".join(harmless(raw[:_MOST_READ]).split())[:MAX_QUESTION]
