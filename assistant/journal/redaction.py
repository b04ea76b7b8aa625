"""Takes what names a person out of a typed text before it is written: each find becomes a mark such as [name].

Limits: a rare name that stands alone, without a title or a word such as "client" before it, stays; so does what is
told in other words ("the baker's wife"). Trade words, loads, heights and treatment dates stay as typed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from assistant.journal.names import Names

NAME, EMAIL = "[name]", "[email]"
PHONE, BIRTH, ADDRESS, NUMBER = "[phone]", "[birth date]", "[address]", "[record number]"
_I = re.IGNORECASE

_EMAIL = re.compile(
    r"[\w.+'-]+(?:@|\s?[\[(]at[\])]\s?)[\w-]+(?:\.[\w-]+)*|\b[\w.+-]+\s*[\[(]?\s*\bat\b\s*[\])]?\s*[\w-]+\s*[\[(]?\s*\bdot\b\s*[\])]?\s*(?:com|org|net|uk|co|edu|info|me)\b(?:\s*dot\s*\w{2,3})?",
    _I,
)


@dataclass(frozen=True)
class Redacted:
    """A text with marks, the marks set in order, and whether a number was among what was taken out."""

    text: str
    marks: tuple[str, ...] = ()

    @property
    def numbers(self) -> bool:
        """Whether digits were taken out, so that figures read from the text may come from them."""
        return any(mark in (PHONE, BIRTH, ADDRESS, NUMBER) for mark in self.marks)


def _nothing(word: str) -> bool:
    return False


class Redactor:
    """Redacts texts. `known` tells ordinary and trade words; `mend` gives back a misspelt word mended, else the word."""

    def __init__(self, known: Callable[[str], bool] = _nothing, mend: Callable[[str], str] = str) -> None:
        self._names = Names(known, mend)

    def redact(self, text: str) -> Redacted:
        """The text with marks; the same text always gives the same result."""
        marks: list[str] = []
        if "@" in text or " dot " in text.lower() or "at)" in text.lower() or "at]" in text.lower():
            text, count = _EMAIL.subn(EMAIL, text)
            marks += [EMAIL] * count
        if any(map(str.isdigit, text)):
            from assistant.journal.numbers import numbers

            text = numbers(text, marks)
        if "liv" in text.lower() or "address" in text.lower() or "resid" in text.lower():
            from assistant.journal.numbers import homes

            text = homes(text, marks)
        text = self._names.redact(text, NAME, marks)
        return Redacted(text, tuple(marks))

    def text(self, text: str) -> str:
        """Only the text."""
        return self.redact(text).text
