"""What closes parts, movements and rungs for one client: cautions, clearance that is missing, kit that is not there."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.matching.ladder import forbidden
from assistant.matching.limits import Limits, limits
from assistant.planning.person import Person
from assistant.rulebase.model import Axis, Forbid, Knowledge, Level
from assistant.rulebase.session_model import Hold, SessionRules, Wait
from assistant.session_shapes import Reason

HELD = "fixed-support"
SUPPORT = "support"


@dataclass(frozen=True)
class Bounds:
    """The limits of one client; `holds` are those that nobody has cleared."""

    knowledge: Knowledge
    limits: Limits
    holds: tuple[Hold, ...]
    back: tuple[Hold, ...]
    waits: tuple[Wait, ...]

    def closed(self, movement: str, axis: Axis, level: Level) -> list[Reason]:
        """Why a rung is out of bounds; empty when it is open."""
        found = [
            Reason(level.name, f"{level.name}: {entry.say}", entry.id, entry.sources)
            for entry in self.limits.entries
            if forbidden(entry.forbids, movement, axis, level.id)
        ]
        for hold in self.holds:
            if forbidden(_forbids(hold, movement), movement, axis, level.id):
                found.append(Reason(level.name, f"{level.name}: {hold.say}", hold.rule, hold.sources))
        lacking = [self.knowledge.subjects[kit].name for kit in level.needs if kit in self.limits.missing]
        if lacking:
            text = f"{level.name} needs {' and '.join(lacking)}, which is not there"
            found.append(Reason(level.name, text, f"kit/{level.id}", level.sources))
        return found

    def refused(self, part: str) -> list[Reason]:
        """Why a whole part is left out."""
        held = [
            Reason(part, f"until cleared ({hold.cleared})", hold.rule, hold.sources)
            for hold in self.holds
            if part in hold.refuse
        ]
        return held + [Reason(part, wait.say, wait.rule, wait.sources) for wait in self.waits if part in wait.parts]

    def waiting(self, movement: str) -> list[Reason]:
        """Why a movement waits with a condition."""
        return [
            Reason(movement, wait.say, wait.rule, wait.sources) for wait in self.waits if movement in wait.movements
        ]


def _forbids(hold: Hold, movement: str) -> tuple[Forbid, ...]:
    """The rungs a hold closes: its own, and with `keep_held` all beyond two hands on something fixed."""
    own = tuple(forbid for forbid in hold.forbids if not forbid.movements or movement in forbid.movements)
    return (*own, Forbid((), SUPPORT, "", HELD, "")) if hold.keep_held else own


def bounds_of(knowledge: Knowledge, rules: SessionRules, person: Person) -> Bounds:
    """The limits of a client."""
    has = person.has
    touched = [hold for hold in rules.holds if any(condition in has for condition in hold.conditions)]
    return Bounds(
        knowledge, limits(knowledge, has, person.missing), tuple(hold for hold in touched if _stands(hold, person)),
        tuple(hold for hold in touched if hold.back),
        tuple(wait for wait in rules.waits if any(condition in has for condition in wait.conditions)),
    )  # fmt: skip


def _stands(hold: Hold, person: Person) -> bool:
    """Whether a hold is still to be cleared."""
    mine = [condition for condition in hold.conditions if condition in person.has]
    if all(condition in person.cleared for condition in mine) or (hold.unless_trained and person.rungs):
        return False
    if hold.within_weeks is None:
        return True
    weeks = [person.weeks(condition) for condition in mine]
    return any(each is not None and each <= hold.within_weeks for each in weeks)
