"""What matching and spelling look things up in, built once from the knowledge."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path

from assistant.rulebase.model import EVIDENCE, Entry, Knowledge
from assistant.shapes import Word
from assistant.shaping import TYPE_CHECKING, dataclass, field
from assistant.words import forms, words_of

if TYPE_CHECKING:
    from assistant.rulebase.patterns import Lexicon

WORD_LIST = "language/english-words.txt"
COMMON = 0.12  # a word in more than this share of entries says nothing
MOST = 400  # nor does one in more entries than this, however many there are
SHORTEST_KNOWN, SHORTEST_TWICE = 4, 6  # letters of the words to which one slip, and two slips, are mended
_NAMES = {"movement", "condition", "equipment", "screen", "sign"}


@dataclass(frozen=True)
class Head:
    """What matching looks at of an entry; `strength` is the place of its evidence in EVIDENCE."""

    id: str
    kind: str
    subject: str
    movements: tuple[str, ...]
    conditions: tuple[str, ...]
    all_conditions: bool
    equipment: tuple[str, ...]
    only_about: bool
    report: str
    strength: int
    house: bool
    forbids: bool


@dataclass(frozen=True)
class Posting:
    """The entries that hold a word, by number, in their example questions or only in what they say; and its weight."""

    weight: float
    asked: Sequence[int]
    said: Sequence[int]


@dataclass
class Index:
    """Entries by number (their place among all), by subject and by word, and the vocabulary misspelt words are mended to.

    `shapes` maps a shape (see `shapes_of`) to the known words that have it.
    """

    heads: Sequence[Head] = ()
    numbers: Mapping[str, int] = field(default_factory=dict)
    general: Collection[int] = frozenset()
    everyone: Sequence[int] = ()  # a studio's entries that close rungs whatever the condition
    by_movement: Mapping[str, Sequence[int]] = field(default_factory=dict)
    by_condition: Mapping[str, Sequence[int]] = field(default_factory=dict)
    postings: Mapping[str, Posting] = field(default_factory=dict)
    common: Collection[str] = frozenset()
    unknown_idf: float = 1.0
    known: Collection[str] = frozenset()
    favoured: Collection[str] = frozenset()
    shapes: Mapping[str, Sequence[str]] = field(default_factory=dict)


def asked_words(knowledge: Knowledge) -> Iterator[tuple[Word, ...]]:
    """The words of every example question of entries and flags."""
    for asks in (item.asks for table in (knowledge.entries, knowledge.flags) for item in table.values()):
        yield from map(words_of, asks)


def content_words(text: str) -> set[str]:
    """The words of a text as the lexical score counts them."""
    return {
        form for word in words_of(text) for form in (forms(word.text)[-1],) if len(form) > 1 and not form[0].isdigit()
    }


def build_index(knowledge: Knowledge, lexicon: Lexicon, root: Path) -> Index:
    """Build the index; `root` holds the word list of real words."""
    entries = list(knowledge.entries.values())
    general: set[int] = set()
    by_movement: dict[str, list[int]] = {}
    by_condition: dict[str, list[int]] = {}
    found: dict[str, tuple[list[int], list[int]]] = {}
    for number, entry in enumerate(entries):
        _file(number, entry, general, by_movement, by_condition)
        asked: set[str] = set().union(*(content_words(a) for a in entry.asks)) if entry.asks else set()
        for word in sorted(asked):
            found.setdefault(word, ([], []))[0].append(number)
        for word in sorted(content_words(f"{entry.say} {entry.why}") - asked):
            found.setdefault(word, ([], []))[1].append(number)
    total = max(1, len(entries))
    often = min(max(COMMON * total, 12), MOST)
    common = {word for word, (asked_by, said_by) in found.items() if len(asked_by) + len(said_by) > often}
    postings = {
        word: Posting(round(math.log(1 + total / (len(asked_by) + len(said_by))), 4), asked_by, said_by)
        for word, (asked_by, said_by) in found.items()
        if word not in common
    }
    known = _vocabulary(lexicon, root)
    shapes: dict[str, list[str]] = {}
    for word in sorted(known):
        for shape in shapes_of(word) if len(word) >= SHORTEST_KNOWN and word.isalpha() else ():
            shapes.setdefault(shape, []).append(word)
    return Index(
        [_head(entry) for entry in entries], {entry.id: number for number, entry in enumerate(entries)}, general,
        [number for number, entry in enumerate(entries) if entry.house and entry.forbids],
        by_movement, by_condition, postings, common, math.log(1 + total), known, _favoured(lexicon), shapes,
    )  # fmt: skip


def _head(entry: Entry) -> Head:
    strength = EVIDENCE.index(entry.evidence) if entry.evidence in EVIDENCE else len(EVIDENCE)
    return Head(
        entry.id, entry.kind, entry.subject, entry.movements, entry.conditions, entry.all_conditions, entry.equipment,
        entry.only_about, entry.report, strength, entry.house, bool(entry.forbids),
    )  # fmt: skip


def shapes_of(word: str) -> list[str]:
    """The keys under which a word of the vocabulary is filed, so that a misspelling of it has at least one of them.

    A slip is a letter wrong, missing, too many, or two swapped. For one slip a word is cut into beginning and end, for two
    into beginning, middle and end, with one letter left out at each cut: so a slip touches one part only and another stays
    whole. A word of six letters needs no such letters, since only leaving out letters leads to it from eight or more.
    """
    size = len(word)
    keys = []
    for slips in (1, 2) if size >= SHORTEST_TWICE else (1,):
        keys += [f"{slips}{size}{word[0]}{at}{word[at : at + length]}" for at, length in _parts(size, slips)]
    return keys


def near(word: str, slips: int) -> set[str]:
    """The keys of all words from which a typed word may come by so many slips (1, or 2 for a word of eight letters or
    more), its first letter right or swapped with the second."""
    keys: set[str] = set()
    for size in range(max(SHORTEST_KNOWN, len(word) - slips), len(word) + slips + 1):
        for at, length in _parts(size, slips):
            places = (0,) if at == 0 else (at - 1, at, at + 1) if at + length < size else (len(word) - length,)
            for head in {word[0], word[1]}:
                keys.update(f"{slips}{size}{head}{at}{word[place : place + length]}" for place in places)
    return keys


def _parts(size: int, slips: int) -> list[tuple[int, int]]:
    """Place and length of the parts into which a word of some size is cut."""
    if slips == 1:
        first = (size - 1) // 2
        return [(0, first), (first + 1, size - 1 - first)]
    if size == SHORTEST_TWICE:
        return [(0, 2), (2, 2), (4, 2)]
    outer = max(2, (size - 2) // 3)
    return [(0, outer), (outer + 1, size - 2 - 2 * outer), (size - outer, outer)]


def _file(
    number: int, entry: Entry, general: set[int], by_movement: dict[str, list[int]], by_condition: dict[str, list[int]]
) -> None:
    for condition in entry.conditions:
        by_condition.setdefault(condition, []).append(number)
    if not entry.conditions:
        for movement in entry.movements:
            by_movement.setdefault(movement, []).append(number)
        if not entry.movements:
            general.add(number)


def _vocabulary(lexicon: Lexicon, root: Path) -> set[str]:
    """Words of all patterns, and real words that their stems stand for."""
    exact, stems = lexicon.words_used()
    long_stems = {stem for stem in stems if len(stem) >= 4}
    heads = {stem[:4] for stem in long_stems}
    try:
        real = (root / WORD_LIST).read_text("ascii").split()
    except (OSError, UnicodeDecodeError):
        real = []
    return exact | {w for w in real if w[:4] in heads and any(w[:n] in long_stems for n in range(4, len(w) + 1))}


def _favoured(lexicon: Lexicon) -> set[str]:
    """Words of names and signs: they win a tie when a misspelling is mended."""
    words: set[str] = set()
    for number, owners in enumerate(lexicon.owners):
        if any(kind in _NAMES for kind, _ in owners):
            words.update(w for w in lexicon.texts[number].replace("|", " ").split() if w.isalpha())
    return words
