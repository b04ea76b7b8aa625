"""The nearest known word to a typed one."""

from __future__ import annotations

from collections.abc import Iterable


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like this one, or an empty text."""
    import difflib

    found = difflib.get_close_matches(word.lower(), list(known), n=1, cutoff=0.5)
    return found[0] if found else ""
