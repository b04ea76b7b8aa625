"""Misspelt words mended towards the knowledge's own vocabulary; real words are left alone.

A word is real when it stands in the shipped word list (source and licence: knowledge/language/english-words-licence.txt).
Distance is optimal string alignment (rapidfuzz); among words equally far the likelier slip wins. No word shorter than five
letters is reached this way: those stand in knowledge/language/spelling.yaml.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import groupby, pairwise
from pathlib import Path

from assistant.rulebase.index import Index
from assistant.rulebase.slips import LONG, SHORTEST, keys_of, near
from assistant.words import forms

LONGEST = 24
_VOWELS = set("aeiouy")
_ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_NEAR_KEYS = {frozenset(pair) for row in _ROWS for pair in pairwise(row)}
# What a slip costs beyond its distance, the likelier the less.
_SWAP, _DOUBLE, _VOWEL, _KEY, _MISSING, _EXTRA, _OTHER, _FIRST = 0.0, 0.0, 0.15, 0.2, 0.1, 0.25, 0.4, 0.3
_NAME, _SIGN, _PLAIN = 0.0, 0.2, 0.35
_STRANGE = 0.5  # standing of an English word that the knowledge does not hold
_COMMON, _MANY, _USUAL = 0.06, 300, 20
_SMALL = ("the", "for", "with", "her", "his", "and", "after", "before", "from", "into", "onto", "on", "in", "of", "to")
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


class RealWords:
    """The shipped word list in alphabetical order, searched as one block of bytes so that nothing is built at start-up."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._block: bytes | None = None
        self.shaped = lru_cache(maxsize=64)(self._shaped)

    def _load(self) -> bytes:
        if self._block is None:
            try:
                self._block = b"\n" + self._path.read_bytes()
            except OSError:
                self._block = b"\n"
        return self._block

    def __contains__(self, word: str) -> bool:
        return b"\n" + word.encode("ascii", "ignore") + b"\n" in self._load()

    def _shaped(self, head: str) -> list[str]:
        """All words that begin with the letter."""
        block = self._load()
        start = block.find(b"\n" + head.encode("ascii", "ignore"))
        end = block.find(b"\n" + chr(ord(head) + 1).encode("ascii", "ignore"), start)
        return block[start : end if end > 0 else None].decode("ascii").split() if start >= 0 else []


class Speller:
    """Mends one word at a time."""

    def __init__(self, index: Index, real: RealWords) -> None:
        self.index, self.real = index, real
        self.mend = lru_cache(maxsize=4096)(self._mend)

    def knows(self, word: str) -> bool:
        """Whether the word stands in a pattern, or is the plural of one that does."""
        if word in self.index.known:
            return True
        singular = any(form in self.index.known for form in forms(word)[1:])
        return singular and (not word.endswith("ies") or word in self.real)

    def _mend(self, word: str) -> str:
        if not SHORTEST - 1 <= len(word) <= LONGEST or not word.isascii() or not word.isalpha():
            return word
        if self.knows(word) or word in self.real or (forms(word)[0] != forms(word)[-1] and word[:-1] in self.real):
            return word
        return self._parted(word) or self._nearest(word) or word

    def _nearest(self, word: str) -> str | None:
        """The likeliest word of the knowledge, or None when none is in reach or another English word is likelier."""
        found = self._best(word, self._candidates(word))
        if found is None and len(word) > SHORTEST:
            found = self._best(word, self._otherwise_begun(word))
        if found is None or self._another(word, found[0], found[1]):
            return None
        return found[2]

    def _best(self, word: str, found: Iterable[tuple[str, int]]) -> tuple[float, int, str] | None:
        return min(((self._cost(word, each, distance), distance, each) for each, distance in found), default=None)

    def _candidates(self, word: str) -> Iterator[tuple[str, int]]:
        """Words within reach that begin with the first or second letter: two slips for a long word, one for a shorter, a
        missing letter for one of four."""
        limit = 2 if len(word) >= LONG else 1
        shapes = self.index.shapes
        for candidate, distance in _within(
            word, {each for key in near(word, limit) for each in shapes.get(key, ())}, limit
        ):
            if len(word) >= SHORTEST or self._uses(candidate) >= _USUAL:
                yield candidate, distance

    def _otherwise_begun(self, word: str) -> Iterator[tuple[str, int]]:
        """Words of which the first letter was typed wrong or left out, and nothing else."""
        for letter in _LETTERS:
            for candidate in (letter + word[1:], letter + word) if letter not in word[:2] else ():
                if _plausible(word, candidate) and candidate in self.index.shapes.get(keys_of(candidate)[0], ()):
                    yield candidate, 1

    def _another(self, word: str, cost: float, far: int) -> bool:
        """Whether an English word that the knowledge does not hold is nearer or costs less; only likely ones are looked at."""
        limit = max(far - 1, int(cost - _STRANGE))
        if limit < 1:
            return False
        return any(
            distance < far or distance + slip_cost(word, each) + _STRANGE < cost
            for each, distance in _among(word, self.real.shaped(word[0]), limit)
            if not self.knows(each)
        )

    def _cost(self, word: str, candidate: str, distance: int) -> float:
        """Names before signs before other words, and words of many example questions before rare ones."""
        single = candidate[:-1] if candidate.endswith("s") else candidate
        if candidate in self.index.names or single in self.index.names:
            standing = _NAME
        elif candidate in self.index.favoured or single in self.index.favoured:
            standing = _SIGN
        else:
            standing = _PLAIN
        return distance + slip_cost(word, candidate) + standing - _COMMON * math.log2(1 + self._uses(candidate))

    def _uses(self, word: str) -> int:
        """In how many entries the word stands."""
        single = forms(word)[-1]
        posting = self.index.postings.get(single)
        return _MANY if single in self.index.common else len(posting.asked) + len(posting.said) if posting else 0

    def _parted(self, word: str) -> str | None:
        """Two words run together that stand side by side in some pattern, or a name with a small word before it."""
        plain = word[:-1] if word.endswith("s") else word
        for joined, tail in ((word, ""), (plain, "s")):
            cut = self.index.joined.get(joined)
            if cut:
                return f"{joined[:cut]} {joined[cut:]}{tail if joined != word else ''}"
        for small in _SMALL:
            rest = word[len(small) :]
            single = rest[:-1] if rest.endswith("s") else rest
            if (
                word.startswith(small)
                and len(single) >= SHORTEST - 1
                and (single in self.index.names or rest in self.index.names)
            ):
                return f"{small} {rest}"
        return None


def _within(word: str, candidates: Iterable[str], limit: int) -> Iterator[tuple[str, int]]:
    from rapidfuzz.distance import OSA

    for candidate in candidates:
        distance = OSA.distance(word, candidate, score_cutoff=limit)
        if distance <= limit and _plausible(word, candidate):
            yield candidate, distance


def _among(word: str, candidates: Sequence[str], limit: int) -> Iterator[tuple[str, int]]:
    """As `_within`, for a long list."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    for candidate, distance, _ in process.extract(
        word, candidates, scorer=OSA.distance, score_cutoff=limit, limit=None
    ):
        if _plausible(word, candidate):
            yield candidate, int(distance)


def _plausible(word: str, candidate: str) -> bool:
    """A word of four letters may only lack one; the first letter of a short word is swapped, missing or too many."""
    if len(word) < SHORTEST:
        return word[0] == candidate[0] and len(candidate) == SHORTEST
    if len(word) >= LONG or word[0] == candidate[0] or sorted(word[:2]) == sorted(candidate[:2]):
        return True
    return candidate.endswith(word) or word.endswith(candidate)


def slip_cost(word: str, candidate: str) -> float:
    """How unlikely the slip from `candidate` to `word` is, beyond the number of slips: 0 likely, 0.4 and more unlikely."""
    first = _FIRST if word[0] != candidate[0] else 0.0
    if sorted(word) == sorted(candidate):
        return _SWAP + first
    if _single(word) == _single(candidate):
        return _DOUBLE + first
    if len(word) < len(candidate):
        return _MISSING + first
    if len(word) > len(candidate):
        return _EXTRA + first
    wrong = [(a, b) for a, b in zip(word, candidate, strict=True) if a != b]
    if all(frozenset(pair) in _NEAR_KEYS for pair in wrong):
        return _KEY + first
    if all(a in _VOWELS and b in _VOWELS for a, b in wrong):
        return _VOWEL + first
    return _OTHER + first


def _single(word: str) -> str:
    return "".join(letter for letter, _ in groupby(word))
