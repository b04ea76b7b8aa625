"""What matching and spelling look things up in, built once from the knowledge."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path

from assistant.rulebase.model import EVIDENCE, Entry, Knowledge
from assistant.rulebase.slips import SHORTEST, keys_of
from assistant.shapes import Word
from assistant.shaping import TYPE_CHECKING, dataclass, field
from assistant.words import forms, words_of

if TYPE_CHECKING:
    from assistant.rulebase.patterns import Lexicon
    from assistant.rulebase.search import Finder

WORD_LIST = "language/english-words.txt"
COMMON = 0.12  # a word in more than this share of entries says nothing
MOST = 400  # nor does one in more entries than this, however many there are
JOINED = 6  # letters that two words run together have at least
_JOINED = {"movement", "condition", "equipment", "screen", "sign", "about"}
_NAMES = {"movement", "condition", "equipment", "screen"}


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

    `known` are the words of all patterns; `names` those of names, `favoured` those of names and signs. `shapes` maps a key
    (see slips.py) to the words that a misspelling may be mended to: known ones, those of the example questions, and their
    plurals. `joined` maps two words that stand side by side in a pattern, run together, to the place of the gap.
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
    names: Collection[str] = frozenset()
    shapes: Mapping[str, Sequence[str]] = field(default_factory=dict)
    joined: Mapping[str, int] = field(default_factory=dict)


def asked_words(knowledge: Knowledge) -> Iterator[tuple[Word, ...]]:
    """The words of every example question of entries and flags."""
    for asks in (item.asks for table in (knowledge.entries, knowledge.flags) for item in table.values()):
        yield from map(words_of, asks)


def content_words(text: str) -> set[str]:
    """The words of a text as the lexical score counts them."""
    return {
        form for word in words_of(text) for form in (forms(word.text)[-1],) if len(form) > 1 and not form[0].isdigit()
    }


def build_index(knowledge: Knowledge, lexicon: Lexicon | Finder, root: Path) -> Index:
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
    real = _real_words(root)
    known = _vocabulary(lexicon, real)
    names = _words_of(lexicon, _NAMES)
    return Index(
        [_head(entry) for entry in entries], {entry.id: number for number, entry in enumerate(entries)}, general,
        [number for number, entry in enumerate(entries) if entry.house and entry.forbids],
        by_movement, by_condition, postings, common, math.log(1 + total), known,
        names | _words_of(lexicon, {"sign"}), names, _shapes(known | (real & (set(postings) | common)), real),
        _joined(lexicon, real | known),
    )  # fmt: skip


def _head(entry: Entry) -> Head:
    strength = EVIDENCE.index(entry.evidence) if entry.evidence in EVIDENCE else len(EVIDENCE)
    return Head(
        entry.id, entry.kind, entry.subject, entry.movements, entry.conditions, entry.all_conditions, entry.equipment,
        entry.only_about, entry.report, strength, entry.house, bool(entry.forbids),
    )  # fmt: skip


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


def _real_words(root: Path) -> set[str]:
    try:
        return set((root / WORD_LIST).read_text("ascii").split())
    except (OSError, UnicodeDecodeError):
        return set()


def _vocabulary(lexicon: Lexicon | Finder, real: set[str]) -> set[str]:
    """Words of all patterns, and real words that their stems stand for."""
    exact, stems = lexicon.words_used()
    long_stems = {stem for stem in stems if len(stem) >= 4}
    heads = {stem[:4] for stem in long_stems}
    return exact | {w for w in real if w[:4] in heads and any(w[:n] in long_stems for n in range(4, len(w) + 1))}


def _words_of(lexicon: Lexicon | Finder, kinds: set[str]) -> set[str]:
    """Whole words of the patterns of these kinds."""
    words: set[str] = set()
    for number, owners in enumerate(lexicon.owners):
        if any(kind in kinds for kind, _ in owners):
            words.update(w for w in re.split(r"[ |?]+", lexicon.texts[number]) if w.isalpha())
    return words


def _shapes(words: set[str], real: set[str]) -> dict[str, list[str]]:
    shapes: dict[str, list[str]] = {}
    for word in sorted(words | {w + "s" for w in words if w + "s" in real}):
        for key in keys_of(word) if len(word) >= SHORTEST and word.isalpha() else ():
            shapes.setdefault(key, []).append(word)
    return shapes


def _joined(lexicon: Lexicon | Finder, words: set[str]) -> dict[str, int]:
    """Neighbours in patterns of names, signs and subjects, run together, where that makes no word."""
    found: dict[str, int] = {}
    for number, owners in enumerate(lexicon.owners):
        if not any(kind in _JOINED for kind, _ in owners):
            continue
        for pieces in (part.split() for part in re.split("[~&]", lexicon.texts[number])):
            for left, right in itertools.pairwise(pieces):
                for one in left.rstrip("?").split("|"):
                    for other in right.rstrip("?").split("|"):
                        whole = one + other
                        if (
                            whole.isalpha()
                            and len(one) > 1
                            and len(other) > 1
                            and len(whole) >= JOINED
                            and whole not in words
                        ):
                            found.setdefault(whole, len(one))
    return found
