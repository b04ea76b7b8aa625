"""The search for all patterns of the knowledge in one question.

Every pattern and every longer phrase of a word group is filed under its rarest element, there under its second rarest,
so a question looks only at patterns of which it holds both. What is found comes in the order in which the words stand.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence

from assistant.shapes import Span, Word
from assistant.shaping import TYPE_CHECKING, dataclass, field

if TYPE_CHECKING:
    from assistant.rulebase.patterns import Element, Lexicon

NEAR = 13
MOST_NUMBERS = 300  # of one question that may begin a pattern; more is a table, not a question
Parts = tuple[Span, ...]
# A step of a phrase: a gap of at most so many words, or the features of which one must stand there.
Step = int | tuple[str, ...]
Steps = tuple[Step, ...]
Key = tuple[int, ...]
# Numbers of patterns or phrases under a second feature that must be there too ("" when there is none).
Shelf = Mapping[str, tuple[int, ...]]

_RARE = 20  # cost of a reading's mark: few questions hold one
_NO_GROUP = 10_000
_STEM, _SHORT_STEM, _NUMBER = 90, 91, 92  # after the forms of a word
_BY_WORD, _BY_GROUP, _BY_MARK = 1, 2, 3


@dataclass(frozen=True)
class Filed:
    """What one feature (`knee`, `hik*`, `@pain`, `#`, `=bp-high`) leads to."""

    groups: tuple[tuple[str, int], ...] = ()  # groups that hold it as a phrase, and the phrase's place among all
    phrases: Shelf = field(default_factory=dict)  # longer phrases of groups of which it is the rarest part
    patterns: Shelf = field(default_factory=dict)  # patterns of which it is the rarest part


@dataclass
class Finder:
    """The patterns of one rulebase, ready to be searched. `owners[pattern]` lists what it stands for as (kind, id)."""

    filed: Mapping[str, Filed] = field(default_factory=dict)
    phrases: Sequence[tuple[int, str, Steps]] = ()  # (place among all phrases, group, steps)
    atoms: Sequence[tuple[tuple[int, Steps], ...]] = ()  # each atom's variants, with their place among all
    patterns: Sequence[tuple[tuple[int, ...], ...]] = ()  # parts joined by &, each the atoms joined by ~
    owners: Sequence[Sequence[tuple[str, str]]] = ()
    texts: Sequence[str] = ()
    longest_stem: int = 0

    def words_used(self) -> tuple[set[str], set[str]]:
        """Every whole word and every stem that some pattern or group names."""
        steps = [*(s for variants in self.atoms for _, s in variants), *(s for _, _, s in self.phrases)]
        named = {feature for each in steps for step in each if not isinstance(step, int) for feature in step}
        named |= {feature for feature, filed in self.filed.items() if filed.groups}
        stems = {feature[:-1] for feature in named if feature[-1] == "*"}
        return {feature for feature in named if feature[0] not in "@#=" and feature[-1] != "*"}, stems

    def search(self, words: Sequence[Word], marks: Mapping[str, Span]) -> Found:
        """All groups found in the words, ready for `Found.patterns`; `marks` are readings named with `=`."""
        return Found(self, words, marks)


# -- filing ----------------------------------------------------------------------------------------------------------


def features(word: Word, longest_stem: int) -> list[tuple[str, int]]:
    """The features of one word, each with the way in which it is met: its forms, its beginnings, `#` for a number."""
    text = word.text
    found = [(form, number) for number, form in enumerate(word.forms)]
    found += [
        (f"{text[:size]}*", _STEM if size > 2 else _SHORT_STEM) for size in range(2, min(len(text), longest_stem) + 1)
    ]
    return [*found, ("#", _NUMBER)] if text[0].isdigit() else found


def build_finder(lexicon: Lexicon, asked: Iterable[Sequence[Word]]) -> Finder:
    """File all patterns of the lexicon; `asked` are example questions, from which the frequency of words is taken."""
    longest = max((len(stem) for stem in lexicon.words_used()[1]), default=0)
    often: Counter[str] = Counter()
    for words in asked:
        often.update({feature for word in words for feature, _ in features(word, longest)})
    return _Filer(lexicon, often, longest).finder()


def step(element: Element) -> Step:
    """A parsed element as a step."""
    kind = element[0]
    if kind == "gap":
        return int(element[1])
    if kind == "word":
        return (*sorted(element[1]), *(f"{stem}*" for stem in element[2]))
    return ({"number": "#", "group": "@", "mark": "="}[kind] + (element[1] if len(element) > 1 else ""),)


class _Filer:
    """Chooses under which features each pattern and phrase is filed."""

    def __init__(self, lexicon: Lexicon, often: Counter[str], longest: int) -> None:
        self.lexicon, self.often, self.longest = lexicon, often, longest
        self.groups: dict[str, int] = {}
        self.atoms: list[list[tuple[int, Steps]]] = [[] for _ in lexicon.atom_ids]
        self.phrases: list[tuple[int, str, Steps]] = []
        self.single: dict[str, list[tuple[str, int]]] = {}
        self.longer: dict[str, dict[str, list[int]]] = {}
        self.patterns: dict[str, dict[str, list[int]]] = {}

    def finder(self) -> Finder:
        for place, (group, variant) in enumerate(self.lexicon.group_variants):
            self._file_phrase(place, group, tuple(step(element) for element in variant))
        for place, (atom, variant) in enumerate(self.lexicon.variants):
            self.atoms[atom].append((place, tuple(step(element) for element in variant)))
        for number, parts in enumerate(self.lexicon.patterns):
            self._file_pattern(number, sorted({atom for part in parts for atom in part}))
        filed = {
            feature: Filed(
                tuple(self.single.get(feature, ())),
                _shelf(self.longer.get(feature)),
                _shelf(self.patterns.get(feature)),
            )
            for feature in {**self.single, **self.longer, **self.patterns}
        }
        return Finder(
            filed, self.phrases, [tuple(variants) for variants in self.atoms], self.lexicon.patterns,
            self.lexicon.owners, self.lexicon.texts, self.longest,
        )  # fmt: skip

    def _file_phrase(self, place: int, group: str, steps: Steps) -> None:
        if steps[0] == (
            "#",
        ):  # group phrases that begin with a number have never been looked for; signs are tuned to that
            return
        rarest, *others = self._by_rarity(steps)
        self.groups[group] = self.groups.get(group, 0) + self._cost(rarest)
        if len(steps) == 1:
            for feature in rarest:
                self.single.setdefault(feature, []).append((group, place))
            return
        _file(self.longer, rarest, others, len(self.phrases))
        self.phrases.append((place, group, steps))

    def _file_pattern(self, number: int, atoms: list[int]) -> None:
        rarest = min(atoms, key=self._atom_cost)
        elsewhere = [
            each
            for a in atoms
            if a != rarest and len(self.atoms[a]) == 1
            for each in self._by_rarity(self.atoms[a][0][1])
        ]
        for _, steps in self.atoms[rarest]:
            first, *others = self._by_rarity(steps)
            _file(self.patterns, first, sorted([*others, *elsewhere], key=self._cost), number)

    def _cost(self, alternatives: tuple[str, ...]) -> int:
        """How often one of the alternatives may be met; 1 for words that no example question holds."""
        first = alternatives[0]
        if first[0] == "@":
            return self.groups.get(first[1:], _NO_GROUP)
        if first[0] == "=":
            return _RARE
        return 1 + sum(self.often[each] for each in alternatives)

    def _by_rarity(self, steps: Steps) -> list[tuple[str, ...]]:
        return sorted((each for each in steps if not isinstance(each, int)), key=self._cost)

    def _atom_cost(self, atom: int) -> int:
        return sum(self._cost(self._by_rarity(steps)[0]) for _, steps in self.atoms[atom])


def _file(
    shelves: dict[str, dict[str, list[int]]], rarest: tuple[str, ...], others: list[tuple[str, ...]], number: int
) -> None:
    for feature in rarest:
        shelf = shelves.setdefault(feature, {})
        for second in others[0] if others else ("",):
            numbers = shelf.setdefault(second, [])
            if number not in numbers:
                numbers.append(number)


def _shelf(numbers: Mapping[str, list[int]] | None) -> Shelf:
    return {second: tuple(found) for second, found in (numbers or {}).items()}


# -- searching -------------------------------------------------------------------------------------------------------


class Found:
    """What one question holds; atoms are looked for when a pattern needs them."""

    def __init__(self, finder: Finder, words: Sequence[Word], marks: Mapping[str, Span]) -> None:
        self.finder, self.words, self.marks = finder, words, marks
        self.sentences = [word.sentence for word in words]
        self.places: dict[str, dict[int, int]] = {}  # feature -> place -> the way in which it is met there
        for place, word in enumerate(words):
            for feature, way in features(word, finder.longest_stem):
                self.places.setdefault(feature, {}).setdefault(place, way)
        self.numbers = dict(itertools.islice(self.places.get("#", {}).items(), MOST_NUMBERS))
        self.filed = [(f, filed) for f in self.places if (filed := finder.filed.get(f)) is not None]
        self.group_ends = self._groups()
        self.atoms: dict[int, tuple[Key, list[Span]] | None] = {}

    def patterns(self) -> dict[int, list[Parts]]:
        """All patterns that hold, with the spans of their parts, in the order in which their atoms were met."""
        finder = self.finder
        more = [*(f"@{group}" for group in self.group_ends), *(f"={mark}" for mark in self.marks)]
        present = {"", *self.places, *more}
        filed = [*(filed for _, filed in self.filed), *(f for f in map(finder.filed.get, more) if f is not None)]
        numbers = {n for each in filed for second, found in each.patterns.items() if second in present for n in found}
        holding = []
        for number in numbers:
            found = self._holds(number)
            if found is not None:
                holding.append((found[0], number, found[1]))
        holding.sort()
        return {number: parts for _, number, parts in holding}

    def among(self, numbers: Iterable[int], ranks: Callable[[Span], int]) -> dict[int, list[Parts]]:
        """Those of the patterns that still hold when spans of rank below 0 are left out; lower ranks are taken first."""
        patterns = self.finder.patterns
        chosen = list(numbers)
        atoms: dict[int, list[Span]] = {}
        for atom in {a for number in chosen for part in patterns[number] for a in part}:
            known = self._atom(atom)
            kept = sorted((s for s in known[1] if ranks(s) >= 0), key=lambda s: (ranks(s), s)) if known else []
            if kept:
                atoms[atom] = kept
        result: dict[int, list[Parts]] = {}
        for number in chosen:
            needed = patterns[number]
            if all(a in atoms for part in needed for a in part):
                parts = self._parts([[atoms[a] for a in part] for part in needed])
                if parts is not None:
                    result[number] = parts
        return result

    # -- patterns ----------------------------------------------------------------------------------------------------

    def _holds(self, number: int) -> tuple[Key, list[Parts]] | None:
        """The key of the first atom met and the spans of all parts, or None."""
        keys, choices = [], []
        for part in self.finder.patterns[number]:
            spans = []
            for atom in part:
                known = self._atom(atom)
                if known is None:
                    return None
                keys.append(known[0])
                spans.append(known[1])
            choices.append(spans)
        parts = self._parts(choices)
        return None if parts is None else (min(keys), parts)

    def _parts(self, choices: list[list[list[Span]]]) -> list[Parts] | None:
        if len(choices) == 1 and len(choices[0]) == 1:
            return [(span,) for span in choices[0][0]]
        found = [self._together(part) for part in choices]
        return [tuple(span for part in found if part for span in part)] if all(found) else None

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

    # -- groups and atoms --------------------------------------------------------------------------------------------

    def _groups(self) -> dict[str, dict[int, list[int]]]:
        """Where each group stands: group -> start -> ends, in the order in which they are met."""
        met: list[tuple[int, int, int, str, int]] = []
        longer: set[int] = set()
        for feature, filed in self.filed:
            for start, way in self.places[feature].items() if filed.groups else ():
                met += [(start, way, place, group, start + 1) for group, place in filed.groups]
            for second, numbers in filed.phrases.items():
                if second in self.places:
                    longer.update(numbers)
        for number in longer:
            place, group, steps = self.finder.phrases[number]
            for start, way in self._starts(steps[0]).items():
                end = self._match(steps, 1, start + 1, self.sentences[start])
                if end > 0:
                    met.append((start, way, place, group, end))
        met.sort()
        ends: dict[str, dict[int, list[int]]] = {}
        for start, _, _, group, end in met:
            known = ends.setdefault(group, {}).setdefault(start, [])
            if end not in known:
                known.append(end)
        return ends

    def _starts(self, step: Step) -> Mapping[int, int]:
        """The places at which a word or number step stands, each with the first way in which it is met there."""
        assert not isinstance(step, int)
        if step[0] == "#":
            return self.numbers
        if len(step) == 1:
            return self.places.get(step[0], {})
        ways: dict[int, int] = {}
        for feature in step:
            for place, way in self.places.get(feature, {}).items():
                ways[place] = min(way, ways.get(place, way))
        return ways

    def _atom(self, atom: int) -> tuple[Key, list[Span]] | None:
        """Where an atom stands and the key of its first place, or None; looked for once."""
        if atom in self.atoms:
            return self.atoms[atom]
        met: list[tuple[Key, Span]] = []
        for place, steps in self.finder.atoms[atom]:
            first = steps[0]
            assert not isinstance(first, int)
            sign = first[0][0]
            if sign == "@":
                self._by_group(first[0][1:], place, steps, met)
            elif sign == "=":
                self._by_mark(first[0][1:], place, steps, met)
            else:
                for start, way in self._starts(first).items():
                    end = start + 1 if len(steps) == 1 else self._match(steps, 1, start + 1, self.sentences[start])
                    if end > 0:
                        met.append(((_BY_WORD, start, way, place), (start, end)))
        result = None
        if len(met) == 1:
            result = (met[0][0], [met[0][1]])
        elif met:
            met.sort()
            result = (met[0][0], list(dict.fromkeys(span for _, span in met)))
        self.atoms[atom] = result
        return result

    def _by_group(self, group: str, place: int, steps: Steps, met: list[tuple[Key, Span]]) -> None:
        starts = self.group_ends.get(group)
        if starts is None:
            return
        order = list(self.group_ends).index(group)
        for start, ends in starts.items():
            for number, after in enumerate(ends):
                end = after if len(steps) == 1 else self._match(steps, 1, after, self.sentences[start])
                if end > 0:
                    met.append(((_BY_GROUP, order, place, start, number), (start, end)))

    def _by_mark(self, mark: str, place: int, steps: Steps, met: list[tuple[Key, Span]]) -> None:
        span = self.marks.get(mark)
        if span is None:
            return
        end = span[1] if len(steps) == 1 else self._match(steps, 1, span[1], self.sentences[span[0]])
        if end > 0:
            met.append(((_BY_MARK, list(self.marks).index(mark), place), (span[0], end)))

    def _match(self, steps: Steps, k: int, i: int, sentence: int) -> int:
        """End of the match of steps[k:] at word i, or -1."""
        sentences = self.sentences
        while k < len(steps):
            step = steps[k]
            if isinstance(step, int):
                for skip in range(step + 1):
                    if i + skip > len(sentences) or (skip and sentences[i + skip - 1] != sentence):
                        return -1
                    end = self._match(steps, k + 1, i + skip, sentence)
                    if end > 0:
                        return end
                return -1
            sign = step[0][0]
            if sign == "@":
                for end in self.group_ends.get(step[0][1:], {}).get(i, ()):
                    if sentences[i] == sentence:
                        result = self._match(steps, k + 1, end, sentence)
                        if result > 0:
                            return result
                return -1
            if i >= len(sentences) or sentences[i] != sentence:
                return -1
            if sign == "=":
                span = self.marks.get(step[0][1:])
                if span is None or span[0] != i:
                    return -1
                i = span[1] - 1
            elif len(step) == 1:
                if i not in self.places.get(step[0], ()):
                    return -1
            elif not any(i in self.places.get(feature, ()) for feature in step):
                return -1
            k, i = k + 1, i + 1
        return i
