"""What house rules change: what they add, which rungs they close, and which example questions now land elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from assistant.conversation import Assistant
from assistant.rulebase.model import TIERS, Entry, Flag, Knowledge


@dataclass(frozen=True)
class Landing:
    """Where a question lands: what kind of answer, how urgent, and the first rule."""

    status: str
    urgency: str | None
    rule: str

    def __str__(self) -> str:
        return f"{self.urgency} referral, {self.rule}" if self.urgency else self.rule or self.status


@dataclass(frozen=True)
class Moved:
    """A shipped example question that lands elsewhere under the house rules."""

    ask: str
    before: Landing
    after: Landing

    @property
    def milder(self) -> bool:
        """Whether a referral was lost or became less urgent: must never be so."""
        return _urgency(self.after) > _urgency(self.before)


def _urgency(landing: Landing) -> int:
    return TIERS.index(landing.urgency) if landing.urgency else len(TIERS)


def additions(house: Knowledge, shipped: Knowledge) -> Iterator[tuple[str, str]]:
    """(what was done, to what) for everything that only the house rules hold, in their order."""
    for subject in house.subjects.values():
        if subject.id not in shipped.subjects:
            yield "added", f"{subject.kind} {subject.id} ({subject.file})"
    for entry in house.entries.values():
        if entry.id not in shipped.entries:
            yield "added", f"{entry.kind} {entry.id} ({entry.file}:{entry.line})"
            for each in entry.forbids:
                rungs = each.level or (f"above {each.above}" if each.above else f"below {each.below}")
                yield "closed", f"{', '.join(each.movements)}: {each.axis} {rungs} ({entry.id})"
    for flag in house.flags.values():
        if flag.id not in shipped.flags:
            yield "added", f"{flag.tier} flag {flag.id} ({flag.file}:{flag.line})"


def examples(knowledge: Knowledge) -> list[str]:
    """Every example question of entries and flags, each once."""
    every: list[Entry | Flag] = [*knowledge.entries.values(), *knowledge.flags.values()]
    return list(dict.fromkeys(ask for each in every for ask in each.asks))


def moved(shipped: Assistant, both: Assistant, tell: Callable[[int], None] | None = None) -> Iterator[Moved]:
    """The shipped example questions that land elsewhere; `tell` hears of every question asked."""
    for ask in examples(shipped.rulebase.knowledge):
        before, after = _landing(shipped, ask), _landing(both, ask)
        if tell is not None:
            tell(1)
        if before != after:
            yield Moved(ask, before, after)


def _landing(assistant: Assistant, ask: str) -> Landing:
    answer = assistant.ask(ask)
    return Landing(answer.status, answer.urgency, answer.points[0].rule if answer.points else "")
