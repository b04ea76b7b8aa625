"""Keys under which the words of the vocabulary are filed, so that a misspelling finds them without being compared with all.

A slip is a letter wrong, missing, too many, or two swapped. For one slip a word is cut into beginning and end, for two into
beginning, middle and end, with one letter left out at each cut: a slip touches one part only, so another stays whole. Two
short sizes have parts of their own: five letters are reached with two slips only by leaving out two letters of seven, which
needs no letter between the parts; six have all pairs of neighbours.
"""

from __future__ import annotations

SHORTEST = 5  # letters a word needs to be reached from a misspelling
LONG = 7  # letters from which two slips are mended
_FIVE, _SIX = ((0, 2), (2, 1), (3, 2)), ((0, 2), (1, 2), (2, 2), (3, 2), (4, 2))


def keys_of(word: str) -> list[str]:
    """The keys of a word of the vocabulary, of five letters or more."""
    return [
        f"{slips}{len(word)}{word[0]}{at}{word[at : at + length]}"
        for slips in (1, 2)
        for at, length in _parts(len(word), slips)
    ]


def near(word: str, slips: int) -> set[str]:
    """Keys of all words from which a typed word may come by so many slips (1; 2 for a word of seven letters or more) and
    that begin with its first or second letter."""
    keys: set[str] = set()
    for size in range(max(SHORTEST, len(word) - slips), len(word) + slips + 1):
        for at, length in _parts(size, slips):
            for place in range(max(0, at - slips), at + slips + 1):
                piece = word[place : place + length]
                keys.update(f"{slips}{size}{head}{at}{piece}" for head in {word[0], word[1]})
    return keys


def _parts(size: int, slips: int) -> tuple[tuple[int, int], ...]:
    """Place and length of the parts into which a word of some size is cut."""
    if slips == 1:
        first = (size - 1) // 2
        return (0, first), (first + 1, size - 1 - first)
    if size <= 6:
        return _FIVE if size == 5 else _SIX
    outer = max(2, (size - 2) // 3)
    return (0, outer), (outer + 1, size - 2 - 2 * outer), (size - outer, outer)
