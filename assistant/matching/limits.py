"""What rules rungs out for a client: the cautions of the conditions, and kit that is not there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.errors import InputError
from assistant.matching.ladder import State, forbidden
from assistant.rulebase.model import Axis, Entry, Forbid, Knowledge, Ladder, Level


@dataclass(frozen=True)
class Limits:
    """What rules rungs out: the cautions of the client's conditions (entries with forbids) and kit that is missing."""

    entries: tuple[Entry, ...] = ()
    missing: tuple[str, ...] = ()

    @property
    def forbids(self) -> tuple[Forbid, ...]:
        """The forbids of all entries."""
        return tuple(forbid for entry in self.entries for forbid in entry.forbids)

    def kit(self, level: Level) -> bool:
        """Whether the rung's own kit is there."""
        return not any(kit in self.missing for kit in level.needs)

    def open(self, axis: Axis, level: Level) -> bool:
        """Whether the kit of a rung, or of its stand-in, is there."""
        stand_in = bool(level.stand_in) and not any(kit in self.missing for kit in level.stand_in_needs)
        return self.kit(level) or stand_in

    def doing(self, level: Level) -> str:
        """How to do a rung with the kit that is there."""
        return level.do if self.kit(level) or not level.stand_in else level.stand_in


def limits(knowledge: Knowledge, conditions: Sequence[str], missing: Sequence[str] = ()) -> Limits:
    """The limits that conditions, missing kit and a studio's own rules for everyone set; rules for a special case only
    (`only_about`) close nothing."""
    entries = [
        entry
        for entry in knowledge.entries.values()
        if entry.forbids and (entry.conditions or entry.house) and not entry.only_about and _holds(entry, conditions)
    ]
    return Limits(tuple(entries), tuple(missing))


def _holds(entry: Entry, conditions: Sequence[str]) -> bool:
    every = all if entry.all_conditions else any
    return not entry.conditions or every(condition in conditions for condition in entry.conditions)


def ladder_of(knowledge: Knowledge, movement: str) -> Ladder:
    """The ladder of a movement; raises InputError when it has none."""
    ladder = knowledge.subjects[movement].ladder
    if ladder is None:
        raise InputError("this movement has no ladder", movement, "see `rungbook knowledge list`")
    return ladder


def full_state(ladder: Ladder, given: Mapping[str, str]) -> State:
    """A state on every axis: given levels first, then the ladder's start, then the easiest."""
    return {axis.id: given.get(axis.id) or ladder.start.get(axis.id) or axis.levels[0].id for axis in ladder.axes}


def why_closed(knowledge: Knowledge, movement: str, axis: Axis, level: Level, bounds: Limits) -> list[str]:
    """Reasons why a rung is out of bounds, each in a sentence; empty when it is open."""
    reasons = []
    for entry in bounds.entries:
        if forbidden(entry.forbids, movement, axis, level.id):
            names = " with ".join(knowledge.subjects[condition].name for condition in entry.conditions)
            reasons.append(f"{names or 'house rule'}: {entry.say}")
    for kit in () if bounds.open(axis, level) else level.needs:
        if kit in bounds.missing:
            reasons.append(f"needs {knowledge.subjects[kit].name}, which is not there")
    return reasons
