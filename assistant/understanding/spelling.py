"""Misspelt words mended towards the knowledge's own vocabulary; real words are left alone.

A word is real when it stands in the shipped word list. Distance is optimal string alignment (rapidfuzz).
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from assistant.rulebase.index import Index

SHORTEST = 5
LONG = 8


class RealWords:
    """The shipped word list, searched as one block of bytes so that nothing is built at start-up."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._block: bytes | None = None

    def _load(self) -> bytes:
        if self._block is None:
            try:
                self._block = b"\n" + self._path.read_bytes()
            except OSError:
                self._block = b"\n"
        return self._block

    def __contains__(self, word: str) -> bool:
        return b"\n" + word.encode("ascii", "ignore") + b"\n" in self._load()


class Speller:
    """Mends one word at a time. Words of names and signs win a tie against other vocabulary."""

    def __init__(self, index: Index, real: RealWords) -> None:
        self.index, self.real = index, real
        self.mend = lru_cache(maxsize=4096)(self._mend)

    def _knows(self, word: str) -> bool:
        return word in self.index.known or (word.endswith("s") and word[:-1] in self.index.known)

    def _mend(self, word: str) -> str:
        if len(word) < 4 or not word.isascii() or not word.isalpha() or len(word) > 24:
            return word
        if self._knows(word) or word in self.real:
            return word
        return self._nearest(word) or self._split(word) or word

    def _nearest(self, word: str) -> str | None:
        from rapidfuzz.distance import OSA

        limit = 2 if len(word) >= LONG else 1
        heads = {word[0], word[1]}
        best: tuple[tuple[int, int, int, str], str] | None = None
        for size in range(len(word) - limit, len(word) + limit + 1):
            for head in heads:
                for candidate in self.index.shapes.get(f"{head}{size}", ()):
                    distance = OSA.distance(word, candidate, score_cutoff=limit)
                    if distance > limit or not self._plausible(word, candidate, distance):
                        continue
                    rank = (
                        distance,
                        0 if candidate in self.index.favoured else 1,
                        abs(len(candidate) - len(word)),
                        candidate,
                    )
                    if best is None or rank < best[0]:
                        best = (rank, candidate)
        return best[1] if best else None

    @staticmethod
    def _plausible(word: str, candidate: str, distance: int) -> bool:
        """Short words only when the same letters are swapped or doubled; the first letter moves only by a swap."""
        if word[0] != candidate[0] and sorted(word[:2]) != sorted(candidate[:2]):
            return False
        if len(word) >= SHORTEST and len(candidate) >= SHORTEST:
            return True
        return sorted(word) == sorted(candidate) or set(word) == set(candidate)

    def _split(self, word: str) -> str | None:
        """Two known words run together ("stepups")."""
        if len(word) < 7:
            return None
        for cut in range(3, len(word) - 2):
            left, right = word[:cut], word[cut:]
            if left in self.index.favoured and (
                right in self.index.favoured or right.rstrip("s") in self.index.favoured
            ):
                return f"{left} {right}"
        return None
