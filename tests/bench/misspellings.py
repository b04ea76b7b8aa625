"""How an open list of misspellings fares: right concept for misspelt names, ordinary words left alone.

    python -m tests.bench.misspellings [--misses 30]

The list is codespell's dictionary (PyPI `codespell`; the dictionary is under CC BY-SA 3.0, as its README says). It is read
from the installed package and no part of it stands in this repository.
"""

from __future__ import annotations

import argparse
import random
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from assistant.rulebase.index import SHORTEST, WORD_LIST
from assistant.rulebase.loading import Rulebase, load, shipped_root
from assistant.understanding.question import Reader
from assistant.understanding.spelling import RealWords

from .paraphrases import SEED, spoken

SHORT_NAME = 2  # words
KINDS = ("movement", "condition", "equipment", "screen")


@dataclass
class Outcome:
    """Counts and the cases that went wrong."""

    pairs: int = 0
    wrong_concept: list[tuple[str, str, str]] = field(default_factory=list)  # wrong, right, phrase
    real: int = 0  # misspellings that are English words themselves: left alone, not counted
    ordinary: int = 0
    turned: list[tuple[str, list[str]]] = field(default_factory=list)  # ordinary word, concepts
    others: int = 0
    strayed: list[tuple[str, str, list[str]]] = field(default_factory=list)  # misspelling of another word, concepts

    @property
    def share(self) -> float:
        """Per cent of the pairs that touch the names and give the right concept."""
        return 100 * (1 - len(self.wrong_concept) / self.pairs)


def listed() -> list[tuple[str, list[str]]]:
    """Misspelling and its right words, of the installed list; plain lower-case words only."""
    import codespell_lib

    path = Path(codespell_lib.__file__).parent / "data" / "dictionary.txt"
    pairs = []
    for line in path.read_text("utf-8").splitlines():
        wrong, _, right = line.strip().lower().partition("->")
        rights = [each.strip() for each in right.split(",") if each.strip()]
        if wrong.isascii() and wrong.isalpha():
            pairs.append((wrong, rights))
    return pairs


def phrases(rulebase: Rulebase) -> dict[str, str]:
    """For each word of a short name the shortest name that holds it; in longer ones most words are ordinary ("fall last week")."""
    found: dict[str, set[str]] = defaultdict(set)
    rng = random.Random(SEED)
    lexicon = rulebase.lexicon
    for number, owners in enumerate(lexicon.owners):
        if any(kind in KINDS for kind, _ in owners):
            for name in filter(None, (spoken(lexicon.texts[number], rng) for _ in range(4))):
                for word in name.split() if len(name.split()) <= SHORT_NAME else ():
                    if word.isalpha() and len(word) >= SHORTEST:
                        found[word].add(name)
    return {word: min(names, key=lambda name: (len(name.split()), name)) for word, names in found.items()}


def concepts(reader: Reader, text: str) -> set[str]:
    """What a text is understood to name."""
    return {mention.id for mention in reader.read(text).mentions}


def measure(rulebase: Rulebase, reader: Reader, share: float = 1.0, share_of_others: float = 1.0) -> Outcome:
    """Go through the list: these shares of the misspellings of words in names and of other words, and all ordinary words."""
    out, names, real = Outcome(), phrases(rulebase), RealWords(rulebase.root / WORD_LIST)
    rng = random.Random(SEED)
    ordinary: set[str] = set()
    for wrong, rights in listed():
        ordinary.update(each for each in rights if each.isascii() and each.isalpha())
        touched = [each for each in rights if each in names]
        if rng.random() >= (share if touched else share_of_others):
            continue
        if not touched:
            _other(out, reader, wrong, rights)
        elif wrong in real or len(wrong) < SHORTEST:
            out.real += 1
        elif len(rights) == 1:
            _pair(out, reader, wrong, rights[0], names[rights[0]])
    out.ordinary = len(ordinary)
    for word in sorted(ordinary):
        mended = reader.speller.mend(word)
        if mended != word and concepts(reader, word):
            out.turned.append((word, sorted(concepts(reader, word))))
    return out


def _pair(out: Outcome, reader: Reader, wrong: str, right: str, phrase: str) -> None:
    out.pairs += 1
    if [w.text for w in reader.read(wrong).words] == [w.text for w in reader.read(right).words]:
        return
    wanted = concepts(reader, phrase)
    typed = " ".join(wrong if word == right else word for word in phrase.split())
    if not wanted <= concepts(reader, typed):
        out.wrong_concept.append((wrong, right, phrase))


def _other(out: Outcome, reader: Reader, wrong: str, rights: Sequence[str]) -> None:
    out.others += 1
    mended = reader.speller.mend(wrong)
    if mended != wrong and mended not in rights and concepts(reader, wrong):
        out.strayed.append((wrong, rights[0] if rights else "", sorted(concepts(reader, wrong))))


def report(out: Outcome) -> str:
    """The figures as lines of text."""
    return "\n".join(
        (
            f"{out.pairs} misspellings of words in names of one or two words: right concept in {out.share:.1f} %"
            f" ({out.real} more are English words themselves, or shorter than {SHORTEST} letters)",
            f"{out.ordinary} ordinary words of the right side: {len(out.turned)} turned into a concept",
            f"{out.others} misspellings of other words: {len(out.strayed)} turned into a concept",
        )
    )


def main(argv: Sequence[str] | None = None) -> int:
    """Measure the whole list and print the figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--misses", type=int, default=0, help="show so many misses of each figure")
    args = parser.parse_args(argv)
    rulebase, _ = load([shipped_root()])
    out = measure(rulebase, Reader(rulebase))
    print(report(out))
    for cases in (out.wrong_concept, out.turned, out.strayed) if args.misses else ():
        print(*cases[:: max(1, len(cases) // args.misses)], sep="\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
