"""Regular expressions that are compiled when first needed, and not even tried on texts that lack what each match holds.

Compiling all of them took a quarter of the time of a short run, and most questions need few.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator


class Rule:
    """A regular expression. Every match must hold one of `words` (parted by commas) and at least so many `digits`.

    With re.IGNORECASE the words, in lower case, are looked for whatever the case of the text.
    """

    __slots__ = ("_compiled", "_digits", "_flags", "_pattern", "_words")

    def __init__(self, pattern: str, words: str = "", digits: int = 0, flags: int = 0) -> None:
        self._pattern, self._flags, self._digits = pattern, int(flags), digits
        self._words = tuple(words.split(",")) if words else ()
        self._compiled: re.Pattern[str] | None = None

    @property
    def compiled(self) -> re.Pattern[str]:
        """The expression itself."""
        if self._compiled is None:
            self._compiled = re.compile(self._pattern, self._flags)
        return self._compiled

    def may(self, text: str) -> bool:
        """Whether the text holds what every match holds."""
        if self._digits and _count(text) < self._digits:
            return False
        if not self._words:
            return True
        looked = text.casefold() if self._flags & re.IGNORECASE else text
        return any(word in looked for word in self._words)

    def search(self, text: str) -> re.Match[str] | None:
        """As `re.search`."""
        return self.compiled.search(text) if self.may(text) else None

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """As `re.finditer`."""
        return self.compiled.finditer(text) if self.may(text) else iter(())

    def findall(self, text: str) -> list[str]:
        """As `re.findall` of an expression with at most one group."""
        return self.compiled.findall(text) if self.may(text) else []

    def sub(self, new: str | Callable[[re.Match[str]], str], text: str) -> str:
        """As `re.sub`."""
        return self.compiled.sub(new, text) if self.may(text) else text


_last: tuple[str, int] = ("", 0)


def _count(text: str) -> int:
    """How many digits the text holds; the same text is often asked for many times on end."""
    global _last
    if _last[0] is not text:
        _last = (text, sum(map(str.isdigit, text)))
    return _last[1]


def first(rules: Iterable[Rule], text: str) -> re.Match[str] | None:
    """The match of the first rule that has one."""
    return next((match for rule in rules if (match := rule.search(text)) is not None), None)
