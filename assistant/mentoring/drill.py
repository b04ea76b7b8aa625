"""Staff training: questions from reviewed entries and from a shipped set, marked by what the trainee's answer holds.

Boxes: a question answered well moves up a box and comes back later; one answered badly or unsafely falls to the first.
In weak topics every wait is halved.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from assistant.journal import record as records
from assistant.journal.reading import Faults, files, stream
from assistant.journal.record import Record
from assistant.journal.store import Store
from assistant.matching.ladder import forbidden
from assistant.mentoring.concepts import STOPPERS, concepts, lacking, says, share, words
from assistant.mentoring.verdicts import Verdicts, key
from assistant.rulebase.model import Entry, Knowledge
from assistant.understanding.question import Reader

WAITS = (0, 0, 1, 3, 7, 21)  # days by box; box 0 has not been asked yet
GOOD, POOR = 0.7, 0.4
COVERED = 0.3
WEAK = 0.6
_SHIPPED = Path(__file__).with_name("drill_set.json")
_MOST_ITEMS = 2000
_STOPS = (("stop*", "halt*", "end", "no training", "~train*", "no exercis*", "hold off"),)
_REFERS = (
    "emergency", "ambulance", "911", "999", "112", "doctor", "gp", "hospital", "clinician", "urgent*", "refer*", "paramedic*",
    "surgeon*", "medical",
)  # fmt: skip
_GOES_ON = (
    "carry on", "keep going", "continue", "push through", "lighter", "walk it off", "finish the set", "light session",
    "rest and go", "resume", "wait and see", "massage*", "stretch it",
)  # fmt: skip


@dataclass(frozen=True)
class KeyPoint:
    """What a good answer holds: the sentence, the phrases that show it (empty: compared by concepts), its sources."""

    say: str
    needs: tuple[tuple[str, ...], ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Danger:
    """What must not be in an answer, and why."""

    say: str
    phrases: tuple[str, ...]
    sources: tuple[str, ...] = ()


@dataclass(frozen=True)
class Item:
    """One training question."""

    id: str
    topic: str
    question: str
    points: tuple[KeyPoint, ...]
    dangers: tuple[Danger, ...] = ()
    scene: str = ""
    rules: tuple[str, ...] = ()


@dataclass
class Mark:
    """How an answer compares: points covered, points missing with the words they lack, dangers, and the score."""

    covered: list[KeyPoint] = field(default_factory=list)
    missing: list[tuple[KeyPoint, list[str]]] = field(default_factory=list)
    dangers: list[Danger] = field(default_factory=list)

    @property
    def score(self) -> float:
        """Share of the points covered; nothing for an unsafe answer."""
        total = len(self.covered) + len(self.missing)
        return 0.0 if self.dangers or not total else round(len(self.covered) / total, 2)


# -- questions -------------------------------------------------------------------------------------------------------


def shipped(knowledge: Knowledge) -> list[Item]:
    """The shipped set: an invented hall and its clients, every point resting on a rule of the knowledge."""
    found = []
    for raw in json.loads(_SHIPPED.read_text("utf-8")):
        points = tuple(
            KeyPoint(p["say"], tuple(tuple(n) for n in p["needs"]), _sources(knowledge, p["rule"]))
            for p in raw["points"]
        )
        dangers = tuple(Danger(d["say"], tuple(d["if"]), _sources(knowledge, d["rule"])) for d in raw["unsafe"])
        rules = tuple(dict.fromkeys(p["rule"] for p in [*raw["points"], *raw["unsafe"]]))
        found.append(Item(f"set/{raw['id']}", raw["topic"], raw["question"], points, dangers, raw["scene"], rules))
    return found


def _sources(knowledge: Knowledge, rule: str) -> tuple[str, ...]:
    """The short names of a rule's sources."""
    item = knowledge.entries.get(rule) or knowledge.flags.get(rule)
    ids = item.sources if item else ("common-practice",)
    return tuple(knowledge.sources[each].short() for each in ids if each in knowledge.sources)


def reviewed(entries: Iterable[Record], verdicts: Verdicts, knowledge: Knowledge) -> list[Item]:
    """Questions of reviewed entries: sound ones with the points of their rules, others with the mentor's better answer."""
    found: dict[str, Item] = {}
    for record in entries:
        verdict = verdicts.verdict(record["id"])
        if not verdict or record.get("turn") or record["question"] in found:
            continue
        better = verdicts.better.get(key(record["id"]), "")
        points = _better_points(better) if better else _rule_points(record, knowledge) if verdict == "sound" else ()
        if points:
            understood = record["understood"]
            topic = next(
                iter([*understood["movements"], *understood["conditions"]]), str(understood.get("intent") or "general")
            )
            topic = "red-flags" if record["status"] == "refer" else topic
            dangers = _going_on(record, knowledge) if record["status"] == "refer" else ()
            item = Item(f"entry/{record['id']}", topic, record["question"], points, dangers, "", tuple(record["rules"]))
            found[record["question"]] = item
            if len(found) >= _MOST_ITEMS:
                break
    return list(found.values())


def _better_points(better: str) -> tuple[KeyPoint, ...]:
    """The mentor's answer, a sentence a point."""
    sentences = [part.strip() for part in better.replace(";", ".").split(". ") if len(part.split()) > 2]
    return tuple(KeyPoint(each.rstrip(".") + ".", sources=("mentor's review",)) for each in sentences or [better])


def _rule_points(record: Record, knowledge: Knowledge) -> tuple[KeyPoint, ...]:
    if record["status"] == "refer":
        flags = [knowledge.flags[rule] for rule in record["rules"] if rule in knowledge.flags]
        if not flags:
            return ()
        sources = _sources(knowledge, flags[0].id)
        return (KeyPoint("Stop: no training.", _STOPS, sources), KeyPoint(" ".join(flags[0].do), (_REFERS,), sources))
    rules = [knowledge.entries[rule] for rule in record["rules"] if rule in knowledge.entries]
    return tuple(KeyPoint(entry.say, sources=_sources(knowledge, entry.id)) for entry in rules[:3])


def _going_on(record: Record, knowledge: Knowledge) -> tuple[Danger, ...]:
    rule = next((rule for rule in record["rules"] if rule in knowledge.flags), "")
    return (Danger("Training on is unsafe here: a clinician has to look first.", _GOES_ON, _sources(knowledge, rule)),)


# -- marking ---------------------------------------------------------------------------------------------------------


def mark(item: Item, reply: str, reader: Reader) -> Mark:
    """Compare a trainee's answer with the key points and dangers of a question."""
    found, text = Mark(), words(reply)
    asked, given = concepts(item.question, reader), concepts(reply, reader)
    for point in item.points:
        if point.needs:
            if all(says(text, phrases) for phrases in point.needs):
                found.covered.append(point)
            else:
                found.missing.append((point, []))
            continue
        wanted = {name: weight for name, weight in concepts(point.say, reader).items() if name not in asked}
        if share(wanted, given) >= COVERED:
            found.covered.append(point)
        else:
            found.missing.append((point, lacking(wanted, given)))
    found.dangers = [danger for danger in item.dangers if says(text, danger.phrases, STOPPERS)]
    found.dangers += _forbidden(item, reply, reader)
    return found


def _forbidden(item: Item, reply: str, reader: Reader) -> Iterator[Danger]:
    """Rungs in the answer that the cautions behind the question rule out."""
    knowledge = reader.rulebase.knowledge
    entries = [knowledge.entries[rule] for rule in item.rules if rule in knowledge.entries]
    question, answer = reader.read(item.question), reader.read(f"{item.question}. {reply}")
    for where, level in answer.levels.items():
        movement, _, name = where.partition("/")
        subject = knowledge.subjects.get(movement)
        axis = subject.ladder.axis(name) if subject and subject.ladder else None
        entry = next((e for e in entries if axis and forbidden(e.forbids, movement, axis, level)), None)
        if axis and entry and question.levels.get(where) != level:
            yield _danger(axis.levels[axis.index(level)].name, entry, knowledge)


def _danger(level: str, entry: Entry, knowledge: Knowledge) -> Danger:
    return Danger(f"{level} is ruled out here: {entry.say}", (), _sources(knowledge, entry.id))


# -- what comes next -------------------------------------------------------------------------------------------------


@dataclass
class Standing:
    """Where a trainee stands: box and last day by question, scores by topic."""

    boxes: dict[str, int] = field(default_factory=dict)
    days: dict[str, str] = field(default_factory=dict)
    topics: dict[str, list[float]] = field(default_factory=dict)
    asked: int = 0
    total: float = 0.0
    unsafe: int = 0
    last: str = ""

    def add(self, result: Record) -> None:
        """Take in one result."""
        score, item = _score(result), result["item"]
        box = self.boxes.get(item, 0)
        poor = bool(result.get("unsafe")) or score < POOR
        self.boxes[item] = 1 if poor else min(len(WAITS) - 1, box + 1) if score >= GOOD else max(1, box)
        self.days[item] = result["time"][:10]
        recent = self.topics.setdefault(result["topic"], [])
        recent.append(score)
        del recent[:-10]
        self.asked, self.total = self.asked + 1, self.total + score
        self.unsafe += bool(result.get("unsafe"))
        self.last = max(self.last, result["time"][:10])

    def topic(self, name: str) -> float:
        """Mean of the last ten scores in a topic; 1 where nothing was asked."""
        scores = self.topics.get(name)
        return sum(scores) / len(scores) if scores else 1.0

    def weak(self) -> list[str]:
        """Topics below the line, weakest first."""
        return sorted(
            (name for name in self.topics if self.topic(name) < WEAK), key=lambda name: (self.topic(name), name)
        )


def _score(result: Record) -> float:
    score = result.get("score")
    return float(score) if isinstance(score, (int, float)) and 0 <= score <= 1 else 0.0


def results(folder: Path, faults: Faults | None = None) -> Iterator[Record]:
    """All training results of a journal."""
    return stream(files(folder, records.DRILL), faults, kind=records.DRILL)


def standings(found: Iterable[Record]) -> dict[str, Standing]:
    """Where every trainee stands."""
    table: dict[str, Standing] = {}
    for result in found:
        table.setdefault(result["coach"], Standing()).add(result)
    return table


def choose(items: Sequence[Item], standing: Standing, count: int, today: date) -> list[Item]:
    """The next questions: those missed before, then new ones of weak topics, then what is due, then what is due next."""
    return sorted(items, key=lambda item: _place(item, standing, today))[:count]


def _place(item: Item, standing: Standing, today: date) -> tuple[int, float, float, str]:
    box, strength = standing.boxes.get(item.id, 0), standing.topic(item.topic)
    if box == 0:
        return (1, strength, 0, item.id)
    late = _days_since(standing.days[item.id], today) - WAITS[box] * (0.5 if strength < WEAK else 1.0)
    if late < 0:
        return (3, -late, strength, item.id)
    return (0, strength, -late, item.id) if box == 1 else (2, strength, -late, item.id)


def _days_since(day: str, today: date) -> int:
    try:
        return max(0, (today - date.fromisoformat(day)).days)
    except ValueError:
        return 0


def keep(store: Store, item: Item, found: Mark, reply: str) -> None:
    """Append a result; the reply has been redacted by the caller. Raises JournalError."""
    store.append(
        {
            **records.head(records.DRILL, store.now(), store.coach), "item": item.id, "topic": item.topic,
            "score": found.score, "unsafe": [danger.say for danger in found.dangers],
            "missing": [point.say for point, _ in found.missing], "reply": reply,
        }
    )  # fmt: skip


def table(found: Mapping[str, Standing]) -> list[list[str]]:
    """The mentor's report as rows: trainee, asked, mean, unsafe, last day, weak topics."""
    rows = [["trainee", "asked", "mean", "unsafe", "last", "weak topics"]]
    for trainee, standing in sorted(found.items()):
        mean = f"{100 * standing.total / standing.asked:.0f}%" if standing.asked else "-"
        weak = ", ".join(f"{name} {100 * standing.topic(name):.0f}%" for name in standing.weak()) or "none"
        rows.append([trainee, str(standing.asked), mean, str(standing.unsafe), standing.last, weak])
    return rows
