"""Typing slips as they happen on a phone: one slip in a word, seeded; a slip that makes another real word is not one."""

from __future__ import annotations

import random
import re
from collections.abc import Container

_NEXT_KEYS = {
    key: near
    for row in ("qwertyuiop", "asdfghjkl", "zxcvbnm")
    for key, near in zip(row, [row[max(0, i - 1) : i] + row[i + 1 : i + 2] for i in range(len(row))], strict=True)
}
_WORD = re.compile(r"[A-Za-z]{5,}")


def swapped(word: str, rng: random.Random) -> str:
    """Two neighbours change places."""
    i = rng.randrange(len(word) - 1)
    return word[:i] + word[i + 1] + word[i] + word[i + 2 :]


def dropped(word: str, rng: random.Random) -> str:
    """A letter after the first is missing."""
    i = rng.randrange(1, len(word))
    return word[:i] + word[i + 1 :]


def doubled(word: str, rng: random.Random) -> str:
    """A letter comes twice."""
    i = rng.randrange(len(word))
    return word[: i + 1] + word[i:]


def missed(word: str, rng: random.Random) -> str:
    """The key beside the right one, not for the first letter."""
    i = rng.randrange(1, len(word))
    return word[:i] + rng.choice(_NEXT_KEYS[word[i].lower()]) + word[i + 1 :]


SLIPS = (swapped, dropped, doubled, missed)


def slip(text: str, rng: random.Random, real: Container[str], words: int = 1) -> str:
    """The text with `words` slips, each in another word of five letters or more."""
    places = [m.span() for m in _WORD.finditer(text)]
    rng.shuffle(places)
    for start, end in sorted(places[:words], reverse=True):
        for _ in range(8):
            wrong = rng.choice(SLIPS)(text[start:end], rng)
            if wrong != text[start:end] and wrong.lower() not in real:
                text = text[:start] + wrong + text[end:]
                break
    return text
