"""The pattern language of the knowledge files, and the search for all patterns in one pass over the words.

An atom is a sequence of elements; a pattern joins atoms with `~` (near) or `&` (anywhere). See knowledge/README.md.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from assistant.shapes import Span, Word

NEAR = 13
MAX_GAP = 15
DEFAULT_GAP = 4
PREFIX = 3
Element = tuple[Any, ...]
Parts = tuple[Span, ...]

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
    """All patterns of the knowledge, indexed by how they begin.

    The tables are lists and dicts while the knowledge is built, and parsed on demand when they come compiled.
    `owners[pattern]` lists what a pattern stands for as (kind, id) pairs.
    """

    patterns: Any = field(default_factory=list)  # [parts joined by &: [atom numbers joined by ~]]
    owners: Any = field(default_factory=list)  # [[(kind, id)]]
    texts: list[str] = field(default_factory=list)
    by_text: dict[str, int] = field(default_factory=dict)
    atom_ids: dict[str, int] = field(default_factory=dict)
    variants: Any = field(default_factory=list)  # [(atom number, elements)]
    group_variants: Any = field(default_factory=list)  # [(group, elements)]
    groups: set[str] = field(default_factory=set)
    first_word: Any = field(default_factory=dict)
    first_stem: Any = field(default_factory=dict)
    first_group: Any = field(default_factory=dict)
    first_mark: Any = field(default_factory=dict)
    first_number: list[int] = field(default_factory=list)
    group_word: Any = field(default_factory=dict)
    group_stem: Any = field(default_factory=dict)
    spelled: dict[str, str] = field(default_factory=dict)
    atom_patterns: Any = field(default_factory=dict)  # atom number -> [pattern numbers]

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
                index = len(self.group_variants)
                self.group_variants.append((name, variant))
                self._index_words(variant[0], index, self.group_word, self.group_stem)

    @staticmethod
    def _index_words(
        first: Element, index: int, words: dict[str, list[int]], stems: dict[str, list[tuple[str, int]]]
    ) -> None:
        if first[0] != "word":
            return
        for word in sorted(first[1]):
            words.setdefault(word, []).append(index)
        for stem in first[2]:
            stems.setdefault(stem[:PREFIX], []).append((stem, index))

    def _atom(self, text: str) -> int:
        if text in self.atom_ids:
            return self.atom_ids[text]
        parsed = [self._canonical(variant) for variant in parse_atom(text)]
        atom = self.atom_ids[text] = len(self.atom_ids)
        for variant in parsed:
            index = len(self.variants)
            self.variants.append((atom, variant))
            kind = variant[0][0]
            if kind == "word":
                self._index_words(variant[0], index, self.first_word, self.first_stem)
            elif kind == "group":
                self.first_group.setdefault(variant[0][1], []).append(index)
            elif kind == "mark":
                self.first_mark.setdefault(variant[0][1], []).append(index)
            else:
                self.first_number.append(index)
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

    def owned(self, numbers: Iterable[int], kind: str) -> set[str]:
        """Ids of the owners of one kind that patterns stand for."""
        return {owner for number in numbers for each, owner in self.owners[number] if each == kind}

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

    def search(self, words: Sequence[Word], marks: dict[str, Span]) -> Found:
        """All atoms found in the words; `marks` are readings named with `=`."""
        return _Search(self, words, marks).run()


@dataclass
class Found:
    """The atoms found in one question, and the patterns they make."""

    lexicon: Lexicon
    atoms: dict[int, list[Span]]
    sentences: list[int]

    def patterns(self) -> dict[int, list[Parts]]:
        """All patterns that hold, with the spans of their parts."""
        numbers: dict[int, None] = {}
        for atom in self.atoms:
            numbers.update(dict.fromkeys(self.lexicon.atom_patterns[atom]))
        return self._holding(numbers, self.atoms)

    def among(self, numbers: Iterable[int], ranks: Callable[[Span], int]) -> dict[int, list[Parts]]:
        """Those of the patterns that still hold when spans of rank below 0 are left out; lower ranks are taken first."""
        atoms: dict[int, list[Span]] = {}
        chosen = list(numbers)
        for atom in {a for number in chosen for part in self.lexicon.patterns[number] for a in part}:
            kept = sorted((s for s in self.atoms.get(atom, ()) if ranks(s) >= 0), key=lambda s: (ranks(s), s))
            if kept:
                atoms[atom] = kept
        return self._holding(chosen, atoms)

    def _holding(self, numbers: Iterable[int], atoms: dict[int, list[Span]]) -> dict[int, list[Parts]]:
        patterns = self.lexicon.patterns
        result: dict[int, list[Parts]] = {}
        for number in numbers:
            needed = patterns[number]
            if not all(a in atoms for part in needed for a in part):
                continue
            if len(needed) == 1 and len(needed[0]) == 1:
                result[number] = [(span,) for span in atoms[needed[0][0]]]
                continue
            found = [self._together([atoms[a] for a in part]) for part in needed]
            if all(found):
                result[number] = [tuple(span for part in found if part for span in part)]
        return result

    def _together(self, choices: list[list[Span]]) -> Parts | None:
        """One span for each atom so that all stand near each other, or None."""
        for first in choices[0]:
            chosen = [first]
            for spans in choices[1:]:
                near = [s for s in spans if self._near(chosen[-1], s) or self._near(first, s)]
                if not near:
                    break
                chosen.append(min(near, key=lambda s: abs(s[0] - first[0])))
            else:
                return tuple(chosen)
        return None

    def _near(self, one: Span, other: Span) -> bool:
        if self.sentences[one[0]] != self.sentences[other[0]]:
            return False
        gap = max(one[0], other[0]) - min(one[1], other[1])
        return gap <= NEAR


class _Search:
    """One pass over one question."""

    def __init__(self, lexicon: Lexicon, words: Sequence[Word], marks: dict[str, Span]) -> None:
        self.lexicon, self.words, self.marks = lexicon, words, marks
        self.group_ends: dict[str, dict[int, list[int]]] = {}

    def run(self) -> Found:
        lexicon, words = self.lexicon, self.words
        for start, word in enumerate(words):
            for index in self._starting(word, lexicon.group_word, lexicon.group_stem):
                name, variant = lexicon.group_variants[index]
                end = self._match(variant, 1, start + 1, word.sentence)
                if end > 0:
                    ends = self.group_ends.setdefault(name, {}).setdefault(start, [])
                    if end not in ends:
                        ends.append(end)
        atoms: dict[int, list[Span]] = {}
        for start, word in enumerate(words):
            for index in self._starting(word, lexicon.first_word, lexicon.first_stem):
                self._try(index, start + 1, start, atoms)
            if lexicon.first_number and word.text[0].isdigit():
                for index in lexicon.first_number:
                    self._try(index, start + 1, start, atoms)
        for name, starts in self.group_ends.items():
            for index in lexicon.first_group.get(name, ()):
                for start, ends in starts.items():
                    for end in ends:
                        self._try(index, end, start, atoms)
        for mark, span in self.marks.items():
            for index in lexicon.first_mark.get(mark, ()):
                self._try(index, span[1], span[0], atoms)
        return Found(lexicon, atoms, [word.sentence for word in words])

    @staticmethod
    def _starting(word: Word, exact: dict[str, list[int]], stems: dict[str, list[tuple[str, int]]]) -> list[int]:
        found: list[int] = []
        for form in word.forms:
            found += exact.get(form, ())
        for stem, index in stems.get(word.text[:PREFIX], ()):
            if word.text.startswith(stem):
                found.append(index)
        for stem, index in stems.get(word.text[:2], ()):
            if word.text.startswith(stem):
                found.append(index)
        return found

    def _try(self, index: int, after: int, start: int, atoms: dict[int, list[Span]]) -> None:
        atom, variant = self.lexicon.variants[index]
        end = after if len(variant) == 1 else self._match(variant, 1, after, self.words[start].sentence)
        if end > 0:
            spans = atoms.setdefault(atom, [])
            if (start, end) not in spans:
                spans.append((start, end))

    def _match(self, variant: tuple[Element, ...], k: int, i: int, sentence: int) -> int:
        """End of the match of variant[k:] at word i, or -1."""
        words = self.words
        while k < len(variant):
            element = variant[k]
            kind = element[0]
            if kind == "gap":
                for skip in range(element[1] + 1):
                    if i + skip > len(words) or (skip and words[i + skip - 1].sentence != sentence):
                        return -1
                    end = self._match(variant, k + 1, i + skip, sentence)
                    if end > 0:
                        return end
                return -1
            if kind == "group":
                for end in self.group_ends.get(element[1], {}).get(i, ()):
                    if words[i].sentence == sentence:
                        result = self._match(variant, k + 1, end, sentence)
                        if result > 0:
                            return result
                return -1
            if i >= len(words) or words[i].sentence != sentence:
                return -1
            word = words[i]
            if kind == "number":
                if not word.text[0].isdigit():
                    return -1
            elif kind == "mark":
                span = self.marks.get(element[1])
                if span is None or span[0] != i:
                    return -1
                i = span[1] - 1
            elif element[1].isdisjoint(word.forms) and not (element[2] and word.text.startswith(element[2])):
                return -1
            k, i = k + 1, i + 1
        return i
