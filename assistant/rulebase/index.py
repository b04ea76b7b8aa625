"""What matching and spelling look things up in, built once from the knowledge."""

from __future__ import annotations

import math
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from assistant.rulebase.model import Entry, Knowledge
from assistant.rulebase.patterns import Lexicon
from assistant.words import forms, words_of

WORD_LIST = "language/english-words.txt"
COMMON = 0.12  # a word in more than this share of entries says nothing
ASKED, SAID = 1.0, 0.5  # weight of a word of the example questions, and of the advice itself
_NAMES = {"movement", "condition", "equipment", "screen", "sign"}


@dataclass
class Index:
    """Entries by subject and by word, and the vocabulary that misspelt words are mended to.

    `shapes` maps first letter and length (`s5`) to the known words of that shape.
    """

    general: Sequence[str] = ()
    by_movement: Mapping[str, Sequence[str]] = field(default_factory=dict)
    by_condition: Mapping[str, Sequence[str]] = field(default_factory=dict)
    postings: Mapping[str, Sequence[tuple[str, float]]] = field(default_factory=dict)
    idf: Mapping[str, float] = field(default_factory=dict)
    common: Container[str] = frozenset()
    unknown_idf: float = 1.0
    known: Container[str] = frozenset()
    favoured: Container[str] = frozenset()
    shapes: Mapping[str, Sequence[str]] = field(default_factory=dict)


def content_words(text: str) -> set[str]:
    """The words of a text as the lexical score counts them."""
    return {
        form for word in words_of(text) for form in (forms(word.text)[-1],) if len(form) > 1 and not form[0].isdigit()
    }


def build_index(knowledge: Knowledge, lexicon: Lexicon, root: Path) -> Index:
    """Build the index; `root` holds the word list of real words."""
    general: list[str] = []
    by_movement: dict[str, list[str]] = {}
    by_condition: dict[str, list[str]] = {}
    postings: dict[str, list[tuple[str, float]]] = {}
    for entry in knowledge.entries.values():
        _file(entry, general, by_movement, by_condition)
        asked: set[str] = set().union(*(content_words(a) for a in entry.asks)) if entry.asks else set()
        said = content_words(f"{entry.say} {entry.why}") - asked
        for words, weight in ((asked, ASKED), (said, SAID)):
            for word in words:
                postings.setdefault(word, []).append((entry.id, weight))
    total = max(1, len(knowledge.entries))
    common = {word for word, found in postings.items() if len(found) > max(COMMON * total, 12)}
    for word in common:
        del postings[word]
    idf = {word: round(math.log(1 + total / len(found)), 4) for word, found in postings.items()}
    known = _vocabulary(lexicon, root)
    shapes: dict[str, list[str]] = {}
    for word in sorted(known):
        if len(word) >= 4 and word.isalpha():
            shapes.setdefault(f"{word[0]}{len(word)}", []).append(word)
    return Index(
        general,
        by_movement,
        by_condition,
        postings,
        idf,
        common,
        math.log(1 + total),
        known,
        _favoured(lexicon),
        shapes,
    )


def _file(
    entry: Entry, general: list[str], by_movement: dict[str, list[str]], by_condition: dict[str, list[str]]
) -> None:
    for condition in entry.conditions:
        by_condition.setdefault(condition, []).append(entry.id)
    if not entry.conditions:
        for movement in entry.movements:
            by_movement.setdefault(movement, []).append(entry.id)
        if not entry.movements:
            general.append(entry.id)


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
