"""How answers, opening and compiling grow with invented knowledge of 1, 10 and 100 times the entries and words.

Two kinds: with the entries the subjects (here conditions) grow too, as when the knowledge of a trade is gathered; or all
entries speak of the same few. Every word of the entries is made up; word groups, intents and senses are the shipped ones.
"""

from __future__ import annotations

import math
import os
import random
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from assistant.conversation import Assistant
from assistant.rulebase.loading import Rulebase, load, shipped_root
from tests.bench.measure import row

SIZES = (1, 10, 100)
ENTRIES, PER_SUBJECT, FEW = 100, 20, 10
ASKED = 400
_SYLLABLES = [a + b for a in "bcdfglmnprstvz" for b in ("a", "e", "i", "o", "u", "an", "er", "il", "or", "ut")]
_WAYS = (
    "how do I set up her squat with {m} when the {a} goes {b} and the {c} stays",
    "she has {m} and her {a} is {b}, what about the {c}",
    "client with {m}, the {c} looks {b} at the {a}, what now",
)
_KINDS = ("regression", "progression", "setup", "cue", "dose", "reason")


def _words(count: int, seed: int) -> list[str]:
    """Made-up words of two or three syllables with endings of their own, all different."""
    chance, made = random.Random(seed), dict[str, None]()
    while len(made) < count:
        made["".join(chance.choice(_SYLLABLES) for _ in range(chance.choice((3, 3, 4))))] = None
    return list(made)


def write(root: Path, times: int, few: bool) -> list[str]:
    """Write invented knowledge of `times` times the size below root; returns questions its entries answer."""
    chance = random.Random(times)
    entries = ENTRIES * times
    subjects = FEW if few else max(1, entries // PER_SUBJECT)
    words = _words(entries * 3 + subjects, 7)
    names, free = words[:subjects], words[subjects:]
    shutil.copytree(shipped_root() / "language", root / "language")
    (root / "sources.yaml").write_text(
        "common-practice: {authors: Coaches, year: '2026', title: Custom, where: gyms, kind: common-practice, verified: read}\n"
    )
    (root / "conditions").mkdir()
    asks = []
    for number, name in enumerate(names):
        lines = [f"id: {name}", "kind: condition", f"name: {name}", f"terms: [{name}]", "entries:"]
        for entry in range(number, entries, subjects):
            a, b, c = free[3 * entry : 3 * entry + 3]
            asked = [way.format(m=name, a=a, b=b, c=c) for way in _WAYS]
            asks += asked
            lines += [
                f"  - id: {name}-{a}-{b}", f"    kind: {_KINDS[entry % len(_KINDS)]}", f"    conditions: [{name}]",
                f"    about: ['{a} ...4 {b}', '{a} ~ {c}|{b}', '{c}* & {b}']",
                f"    say: Keep the {a} in line and stop when the {b} turns {c}.", f"    why: The {c} tires first.",
                "    sources: [common-practice]", "    evidence: common-practice",
                f"    asks: {asked}",
            ]  # fmt: skip
        (root / "conditions" / f"{name}.yaml").write_text("\n".join(lines) + "\n")
    chosen = chance.sample(asks, min(ASKED, len(asks)))
    return [_misspelt(ask, chance) if number % 5 == 0 else ask for number, ask in enumerate(chosen)]


def _misspelt(ask: str, chance: random.Random) -> str:
    """The question with two letters of its longest word swapped."""
    word = max(ask.split(), key=len)
    at = chance.randrange(1, len(word) - 1)
    return ask.replace(word, word[:at] + word[at + 1] + word[at] + word[at + 2 :])


def _timed(rulebase: Rulebase, asks: list[str]) -> float:
    """Median processor time of a warm answer in ms."""
    assistant, used = Assistant(rulebase), []
    for ask in asks:
        assistant.ask(ask)
    for ask in asks:
        began = time.process_time()
        assistant.ask(ask)
        used.append((time.process_time() - began) * 1000)
    return statistics.median(used)


def curve(few: bool, sizes: tuple[int, ...] = SIZES) -> list[tuple[int, float, float, float]]:
    """(size, ms an answer, ms to open, s to compile) for each size."""
    found = []
    before = os.environ.get("XDG_CACHE_HOME")
    for times in sizes:
        with tempfile.TemporaryDirectory() as folder:
            os.environ["XDG_CACHE_HOME"] = str(Path(folder) / "cache")
            root = Path(folder) / "knowledge"
            asks = write(root, times, few)
            began = time.process_time()
            _, faults = load([root])
            built = time.process_time() - began
            if faults:
                raise RuntimeError(str(faults[0]))
            opening = []
            for _ in range(5):
                began = time.process_time()
                rulebase, _ = load([root])
                opening.append((time.process_time() - began) * 1000)
            found.append((times, _timed(rulebase, asks), statistics.median(opening), built))
    os.environ.pop("XDG_CACHE_HOME") if before is None else os.environ.update(XDG_CACHE_HOME=before)
    return found


def exponent(sizes: list[int], values: list[float]) -> float:
    """Slope of the values over the sizes, both in logarithms: 1 is linear, 0 is not growing."""
    logs = [(math.log(size), math.log(value)) for size, value in zip(sizes, values, strict=True)]
    mean = [statistics.mean(column) for column in zip(*logs, strict=True)]
    return sum((x - mean[0]) * (y - mean[1]) for x, y in logs) / sum((x - mean[0]) ** 2 for x, _ in logs)


def main() -> None:
    """Print both curves with their exponents."""
    for few, title in ((False, "its subjects grow too"), (True, f"all on {FEW} subjects")):
        points = curve(few)
        sizes = [times for times, *_ in points]
        row(f"knowledge, {title}", *(f"{ENTRIES * times} entries" for times in sizes), "exponent", "goal")
        row("---", *("---:" for _ in range(len(sizes) + 2)))
        for at, name, unit, goal in (
            (1, "a warm answer", "ms", "0.5"),
            (2, "opening", "ms", "1"),
            (3, "compiling", "s", "1"),
        ):
            values = [float(point[at]) for point in points]
            slope = f"{exponent(sizes, values):.2f}"
            row(name, *(f"{value:.2f} {unit}" for value in values), slope, goal)
        if not few:
            print()


if __name__ == "__main__":
    main()
    sys.exit(0)
