"""The pattern language of the knowledge files, and the collection of all patterns while the knowledge is built.

An atom is a sequence of elements; a pattern joins atoms with `~` (near) or `&` (anywhere). See knowledge/README.md.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

MAX_GAP = 15
DEFAULT_GAP = 4
Element = tuple[Any, ...]

_GAP = re.compile(r"\.\.\.(\d*)$")
_WORD = re.compile(r"[a-z0-9.%/+]+$")
_STAR = re.compile(r"[a-z0-9]{2,}\*$")


class BadPattern(ValueError):
    """A pattern that cannot be read; the message says why."""


def _choices(piece: str) -> tuple[list[Element], bool]:
    """The elements a piece may stand for (`@group|word` stands for either), and whether it may be missing."""
    optional = piece.endswith("?") and len(piece) > 1
    piece = piece[:-1] if optional else piece
    if "|" not in piece or not ("@" in piece or "#" in piece):
        return [parse_element(piece)], optional
    parts = piece.split("|")
    singles = [parse_element(part) for part in parts if part[:1] in ("@", "#")]
    words = [part for part in parts if part[:1] not in ("@", "#")]
    return [*singles, *([parse_element("|".join(words))] if words else [])], optional


def parse_element(piece: str) -> Element:
    """One element of a pattern; raises BadPattern."""
    gap = _GAP.match(piece)
    if gap:
        length = int(gap[1]) if gap[1] else DEFAULT_GAP
        if length > MAX_GAP:
            raise BadPattern(f"the gap '{piece}' is longer than {MAX_GAP}")
        return ("gap", length)
    if piece == "#":
        return ("number",)
    if piece.startswith("@"):
        return ("group", piece[1:])
    if piece.startswith("="):
        return ("mark", piece[1:])
    exact, stems = [], []
    for word in piece.split("|"):
        if _STAR.match(word):
            stems.append(word[:-1])
        elif _WORD.match(word):
            exact.append(word)
        else:
            raise BadPattern(f"'{word or piece}' is not a word in cleaned form")
    return ("word", frozenset(exact), tuple(stems))


def parse_atom(text: str) -> list[tuple[Element, ...]]:
    """One atom as its variants, optional words written out; raises BadPattern."""
    variants: list[list[Element]] = [[]]
    for piece in text.split():
        elements, optional = _choices(piece)
        longer = [[*v, element] for v in variants for element in elements]
        variants = variants + longer if optional else longer
        if len(variants) > 64:
            raise BadPattern("too many optional words or groups")
    result = []
    for variant in variants:
        while variant and variant[0][0] == "gap":
            variant = variant[1:]
        while variant and variant[-1][0] == "gap":
            variant = variant[:-1]
        if variant:
            result.append(tuple(variant))
    if not result:
        raise BadPattern("it is empty")
    return result


def split_pattern(text: str) -> list[list[str]]:
    """A pattern as its `&` parts, each a list of atoms that stand near each other (`~` binds tighter than `&`)."""
    return [re.split(r"\s+~\s+", part) for part in re.split(r"\s+&\s+", " ".join(text.split()))]


@dataclass
class Lexicon:
    """All patterns of the knowledge; `owners[pattern]` lists what a pattern stands for as (kind, id) pairs."""

    patterns: list[tuple[tuple[int, ...], ...]] = field(default_factory=list)  # parts joined by &: atoms joined by ~
    owners: list[list[tuple[str, str]]] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    by_text: dict[str, int] = field(default_factory=dict)
    atom_ids: dict[str, int] = field(default_factory=dict)
    atom_patterns: dict[int, list[int]] = field(default_factory=dict)
    variants: list[tuple[int, tuple[Element, ...]]] = field(default_factory=list)  # (atom number, elements)
    group_variants: list[tuple[str, tuple[Element, ...]]] = field(default_factory=list)  # (group, elements)
    groups: set[str] = field(default_factory=set)
    spelled: dict[str, str] = field(default_factory=dict)

    def _canonical(self, variant: tuple[Element, ...]) -> tuple[Element, ...]:
        """Words as the cleaned question spells them (`spelled` maps a word to one other word)."""
        return tuple(
            ("word", frozenset(self.spelled.get(w, w) for w in e[1]), e[2]) if e[0] == "word" else e for e in variant
        )

    def add_group(self, name: str, phrases: Sequence[str]) -> None:
        """Make `@name` stand for the phrases; raises BadPattern."""
        self.groups.add(name)
        for phrase in phrases:
            for variant in map(self._canonical, parse_atom(phrase)):
                if any(element[0] not in ("word", "number", "gap") for element in variant):
                    raise BadPattern("a group holds words only")
                self.group_variants.append((name, variant))

    def _atom(self, text: str) -> int:
        if text in self.atom_ids:
            return self.atom_ids[text]
        parsed = [self._canonical(variant) for variant in parse_atom(text)]
        atom = self.atom_ids[text] = len(self.atom_ids)
        self.variants += [(atom, variant) for variant in parsed]
        return atom

    def add(self, text: str, kind: str, owner: str) -> int:
        """Register a pattern for (kind, owner); raises BadPattern."""
        text = " ".join(text.split())
        number = self.by_text.get(text)
        if number is None:
            parts = tuple(tuple(self._atom(piece) for piece in part) for part in split_pattern(text))
            number = self.by_text[text] = len(self.patterns)
            self.patterns.append(parts)
            self.owners.append([])
            self.texts.append(text)
            for atom in {atom for part in parts for atom in part}:
                self.atom_patterns.setdefault(atom, []).append(number)
        if (kind, owner) not in self.owners[number]:
            self.owners[number].append((kind, owner))
        return number

    def words_used(self) -> tuple[set[str], set[str]]:
        """Every whole word and every stem that some pattern or group names."""
        exact: set[str] = set()
        stems: set[str] = set()
        for _, variant in [*self.variants, *self.group_variants]:
            for element in variant:
                if element[0] == "word":
                    exact.update(element[1])
                    stems.update(element[2])
        return exact, stems
