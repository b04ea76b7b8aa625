"""Questions made from the knowledge itself, and how many of them are understood.

    python -m tests.bench.paraphrases [--seed N] [--share 0.1] [--misses 20]

Each question is made from names and questions that stand in knowledge/ and from the frames in wordings.py, so what it is
about is known beforehand. Made from an entry's `asks`: the entry is known. Made from a frame: movement, condition and
intent are known exactly.
"""

from __future__ import annotations

import argparse
import random
import re
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from assistant.conversation import Assistant
from assistant.matching.confidence import BANDS
from assistant.matching.red_flags import flags
from assistant.rulebase.index import WORD_LIST
from assistant.rulebase.loading import Rulebase, load, shipped_root
from assistant.shapes import Answer
from assistant.understanding.question import Reader
from assistant.understanding.spelling import RealWords

from . import wordings
from .typing_slips import slip

SEED = 20261125
_SYMBOL = re.compile(r"[#@=*~&]")


@dataclass(frozen=True)
class Asked:
    """A question with what must be understood of it; None or '' means that nothing is known beforehand."""

    text: str
    how: str
    movements: tuple[str, ...] | None = None
    conditions: tuple[str, ...] | None = None
    intent: str = ""
    entry: str = ""
    ask: int = -1  # which of the entry's asks it was made from
    exact: bool = False  # the subjects must be these and no others


@dataclass(frozen=True)
class Result:
    """What was right of one question; None where nothing was to be checked."""

    asked: Asked
    answer: Answer
    movement: bool | None
    condition: bool | None
    intent: bool | None
    status: bool
    entry: bool | None
    confidence: float

    @property
    def right(self) -> bool:
        """Everything that was to be checked is right."""
        return all(each is not False for each in (self.movement, self.condition, self.intent, self.status, self.entry))


MEASURES = ("movement", "condition", "intent", "status", "entry")


def spoken(pattern: str, rng: random.Random) -> str | None:
    """A term pattern as somebody would type it, or None when it is no plain phrase."""
    if _SYMBOL.search(pattern):
        return None
    words = []
    for piece in pattern.split():
        if piece.startswith("..."):
            continue
        if piece.endswith("?"):
            if rng.random() < 0.5:
                continue
            piece = piece[:-1]
        words.append(rng.choice(piece.split("|")))
    return " ".join(words)


class Maker:
    """Makes questions from one rulebase; the same seed gives the same questions."""

    def __init__(self, rulebase: Rulebase, seed: int = SEED) -> None:
        self.rulebase, self.rng = rulebase, random.Random(seed)
        self.real = RealWords(rulebase.root / WORD_LIST)
        self.names = self._names()
        self.reader = Reader(rulebase)
        self.alarming: dict[str, bool] = {}

    def _names(self) -> dict[str, list[str]]:
        """Every name of every subject, without those that two subjects share."""
        found: dict[tuple[str, str], set[str]] = defaultdict(set)
        lexicon = self.rulebase.lexicon
        for number, owners in enumerate(lexicon.owners):
            for kind, owner in owners:
                if kind in ("movement", "condition", "equipment", "screen"):
                    for _ in range(3):
                        name = spoken(lexicon.texts[number], self.rng)
                        if name:
                            found[kind, name].add(owner)
        names: dict[str, list[str]] = defaultdict(list)
        for (_, name), owners_of in sorted(found.items()):
            if len(owners_of) == 1:
                names[next(iter(owners_of))].append(name)
        return names

    def _any(self, names: Sequence[str]) -> str:
        """One of the names, but none that is a danger sign by itself while there are others."""
        for name in self.rng.sample(names, len(names)):
            if name not in self.alarming:
                self.alarming[name] = bool(flags(self.reader.read(name), self.rulebase))
            if not self.alarming[name]:
                return name
        return names[0]

    def _of(self, kind: str) -> list[str]:
        subjects = self.rulebase.knowledge.subjects.values()
        return sorted(s.id for s in subjects if s.kind == kind and self.names.get(s.id))

    def _typed(self, asked: Asked) -> Asked:
        """The question with what stands round it, a short form or another spelling, and one slip."""
        text = asked.text
        for one, other in self.rng.sample(wordings.PAIRS, len(wordings.PAIRS)):
            pattern = re.compile(rf"(?<![\w-]){re.escape(one)}(?![\w-])", re.IGNORECASE)
            if pattern.search(text):
                text = pattern.sub(other, text, count=1)
                break
        text = self.rng.choice(wordings.BEFORE) + text.rstrip("?") + self.rng.choice(wordings.AFTER)
        return replace(
            asked, text=slip(text, self.rng, self.real, self.rng.choice((1, 1, 2))), how=asked.how + ", typed"
        )

    def _fill(self, frame: str, **names: str) -> str:
        who = self.rng.choice(wordings.PEOPLE)
        text = re.sub(
            r"^{w}|(?<=[, ]){w}(?= (?:do|has|is|struggles|cannot|asks)\b)", wordings.SUBJECTS.get(who, who), frame
        )
        return text.format(w=who, **names)

    def asks(self) -> Iterator[Asked]:
        """Each entry's own questions, one as it stands in other dress, one with another name for a subject."""
        for entry in self.rulebase.knowledge.entries.values():
            base = Asked("", "ask", entry.movements or None, entry.conditions or None, "", entry.id)
            for number, ask in enumerate(entry.asks[:2]):
                yield self._typed(replace(base, text=ask, ask=number))
            number, renamed = self._renamed(entry.asks[:3], [*entry.movements, *entry.conditions])
            if renamed:
                yield replace(base, text=renamed, how="ask, other name", ask=number)

    def _renamed(self, asks: Sequence[str], subjects: Sequence[str]) -> tuple[int, str]:
        for number, ask in enumerate(asks):
            low = f" {ask.lower().replace('-', ' ')} "
            for subject in subjects:
                for name in sorted(self.names.get(subject, ()), key=len, reverse=True):
                    others = [n for n in self.names[subject] if n != name and len(n.split()) < 5]
                    if f" {name} " in low and others:
                        return number, low.replace(f" {name} ", f" {self._any(others)} ", 1).strip()
        return -1, ""

    def framed(self) -> Iterator[Asked]:
        """Frames filled with names, each once plain and once typed in a hurry."""
        for asked in self._frames():
            yield asked
            yield self._typed(asked)

    def _frames(self) -> Iterator[Asked]:
        for how, wording in (("movement", wordings.MOVEMENT), ("movement, held out", wordings.HELD_OUT)):
            for movement in self._of("movement"):
                for intent, frames in wording.items():
                    for frame in frames:
                        text = self._fill(frame, m=self._any(self.names[movement]))
                        yield Asked(text, how, (movement,), (), intent, exact=True)
        for condition in self._of("condition"):
            for intent, frames in wordings.CONDITION.items():
                for frame in frames:
                    movement = self.rng.choice(self._of("movement"))
                    names = {"c": self._any(self.names[condition]), "m": self._name(movement)}
                    yield Asked(
                        self._fill(frame, **names),
                        "movement and condition",
                        (movement,),
                        (condition,),
                        intent,
                        exact=True,
                    )
            for frame in wordings.BARE_CONDITION["caution"]:
                text = self._fill(frame, c=self._any(self.names[condition]))
                yield Asked(text, "condition", (), (condition,), "caution", exact=True)
        for screen in self._of("screen"):
            for frame in wordings.SCREEN["screen"]:
                yield Asked(self._fill(frame, s=self._any(self.names[screen])), "screen", intent="screen")
        for kit in self._of("equipment"):
            for frame in wordings.KIT["setup"]:
                movement = self.rng.choice(self._of("movement"))
                text = self._fill(frame, k=self._any(self.names[kit]), m=self._name(movement))
                yield Asked(text, "kit", (movement,) if "{m}" in frame else None, intent="setup")

    def _name(self, subject: str) -> str:
        return self.rulebase.knowledge.subjects[subject].name

    def all(self) -> list[Asked]:
        """Every question, each text once."""
        return list({each.text: each for each in [*self.asks(), *self.framed()]}.values())


def result(assistant: Assistant, asked: Asked) -> Result:
    """Ask and compare."""
    answer = assistant.ask(asked.text)
    entry = None
    if asked.entry:
        best = [match.entry for match in assistant.trace.ranked[:3]]
        entry = asked.entry in best or asked.entry in [point.rule for point in answer.points]
    return Result(
        asked, answer,
        _subject(asked.movements, answer.movements, asked.exact), _subject(asked.conditions, answer.conditions, asked.exact),
        answer.intent == asked.intent if asked.intent else None, answer.status == "answered", entry,
        assistant.trace.confidence,
    )  # fmt: skip


def _subject(wanted: tuple[str, ...] | None, found: Sequence[str], exact: bool) -> bool | None:
    if wanted is None:
        return None
    return set(found) == set(wanted) if exact else bool(set(wanted) & set(found))


def measured(results: Sequence[Result]) -> dict[str, float]:
    """Share right, in per cent, of each measure."""
    shares = {}
    for name in MEASURES:
        checked = [getattr(r, name) for r in results if getattr(r, name) is not None]
        shares[name] = 100 * sum(checked) / len(checked) if checked else 100.0
    return shares


def table(results: Sequence[Result]) -> str:
    """A row for each way of making questions, then all."""
    groups: dict[str, list[Result]] = defaultdict(list)
    for each in results:
        groups[each.asked.how].append(each)
    lines = [f"{'made from':32}{'count':>7}" + "".join(f"{name:>11}" for name in MEASURES)]
    for how, group in [*sorted(groups.items()), ("all", list(results))]:
        shares = measured(group)
        lines.append(f"{how:32}{len(group):7}" + "".join(f"{shares[name]:11.1f}" for name in MEASURES))
    return "\n".join(lines)


def calibration(results: Sequence[Result]) -> list[tuple[str, float, int, float, float]]:
    """For each band of confidence, highest first: its name, lower bound, how many questions, mean confidence and per cent
    right. Questions below the line count as right when everything but the status is: there the answer was held back."""
    rows = []
    upper = 1.01
    for least, name in BANDS:
        inside = [r for r in results if least <= r.confidence < upper and r.answer.status in ("answered", "unsure")]
        if inside:
            mean = sum(r.confidence for r in inside) / len(inside)
            right = sum(replace(r, status=True).right for r in inside)
            rows.append((name, least, len(inside), 100 * mean, 100 * right / len(inside)))
        upper = least
    return rows


def misses(results: Sequence[Result], count: int) -> Iterator[str]:
    """The first `count` misses of each measure, spread over the questions."""
    for name in MEASURES:
        wrong = [r for r in results if getattr(r, name) is False]
        yield f"-- {name}: {len(wrong)} wrong; status {dict(Counter(r.answer.status for r in wrong))}"
        for r in wrong[:: max(1, len(wrong) // max(1, count))][:count]:
            wanted = {
                "movement": r.asked.movements, "condition": r.asked.conditions, "intent": r.asked.intent,
                "status": "answered", "entry": r.asked.entry,
            }[name]  # fmt: skip
            got = {
                "movement": r.answer.movements, "condition": r.answer.conditions, "intent": r.answer.intent,
                "status": (r.answer.status, [p.rule for p in r.answer.points[:1]]), "entry": [p.rule for p in r.answer.points],
            }[name]  # fmt: skip
            yield f"   [{r.asked.how}] {r.asked.text} | wanted {wanted} | got {got}"


def main(argv: Sequence[str] | None = None) -> int:
    """Make all questions, ask them, print the shares that were right."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--share", type=float, default=1.0, help="ask only this share of the questions")
    parser.add_argument("--misses", type=int, default=0, help="show so many misses of each measure")
    args = parser.parse_args(argv)
    rulebase, _ = load([shipped_root()])
    asked = Maker(rulebase, args.seed).all()
    chosen = random.Random(args.seed).sample(asked, round(len(asked) * args.share))
    began = time.perf_counter()
    assistant = Assistant(rulebase)
    results = [result(assistant, each) for each in chosen]
    print(f"{len(asked)} questions made, {len(chosen)} asked in {time.perf_counter() - began:.0f} s; per cent right:")
    print(table(results))
    print("confidence: band, from, questions, mean confidence %, right %")
    for name, least, count, mean, right in calibration(results):
        print(f"{name:20}{least:6.2f}{count:7}{mean:8.1f}{right:8.1f}")
    for line in misses(results, args.misses) if args.misses else ():
        print(line)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
