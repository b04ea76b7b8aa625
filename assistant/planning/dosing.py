"""How much of a movement a client does, and how long that takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.planning.person import Person
from assistant.planning.starting import Standing
from assistant.rulebase.session_model import Adjust, Dose, SessionRules, Span

SET_UP = 45  # seconds to place the kit and show the movement
_COUNTED = {
    "reps": "{n} reps", "holds": "{n} s holds", "lifts": "{n} holds", "steps": "{n} steps", "rises": "{n} rises", "returns": "{n} returns",
    "trips": "trips",
}  # fmt: skip


@dataclass(frozen=True)
class Amount:
    """A dose fitted to a client: sets and count from least to most, rest in seconds."""

    unit: str
    sides: int
    sets: Span
    count: Span
    reserve: int
    seconds: int
    rest: int
    effort: tuple[str, ...]
    rule: str
    rules: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def work(self) -> int:
        """Seconds of one set at the highest count, both sides."""
        return self.count[1] * self.seconds * self.sides

    def minutes(self, sets: int) -> float:
        """Minutes for so many sets at the highest count, rounded up to half a minute."""
        return math.ceil((SET_UP + sets * self.work + self.rest * (sets - 1)) / 30) / 2

    def sets_in_turn(self, minutes: float) -> int:
        """Sets that fit when two take turns, each resting while the other works; one at least."""
        return max(1, min(self.sets[1], int((60 * minutes - SET_UP) // (2 * self.work))))

    def said(self, sets: int) -> str:
        """The dose in words."""
        low, high = self.count
        number = f"{low}" if low == high else f"{low} to {high}"
        counted = _COUNTED[self.unit].format(n=number)
        parts = [f"{sets} {counted}" if self.unit == "trips" else f"{sets} x {counted}"]
        parts[0] += " a side" if self.sides == 2 else ""
        if self.reserve:
            parts.append(f"{self.reserve} in reserve")
        if sets > 1:
            parts.append(f"rest {self.rest} s")
        return ", ".join([*parts, *self.effort])


def amount(rules: SessionRules, standing: Standing, person: Person, aim: str) -> Amount:
    """The dose of a movement; a movement not trained yet is learnt first, whatever the aim."""
    start = standing.start
    wanted = aim if standing.trained else "learn"
    dose = next(each for each in rules.doses if each.unit == start.unit and each.aim in (wanted, "any"))
    adjusts = [each for each in rules.adjust if _touches(each, start.movement, dose, person)]
    found: list[Dose | Adjust] = [dose, *adjusts]
    sets = _smaller([each.sets for each in found if each.sets])
    count = _smaller([each.count for each in found if each.count])
    return Amount(
        start.unit, start.sides, sets, count, max(each.reserve or 0 for each in found), dose.seconds,
        max(each.rest or 0 for each in found), tuple(dict.fromkeys(each.effort for each in adjusts if each.effort)),
        dose.rule, tuple(each.rule for each in found),
        tuple(dict.fromkeys(source for each in found for source in each.sources)),
    )  # fmt: skip


def _touches(adjust: Adjust, movement: str, dose: Dose, person: Person) -> bool:
    old = adjust.age_from is not None and person.age is not None and person.age >= adjust.age_from
    has = any(condition in person.has for condition in adjust.conditions)
    mine = not adjust.movements or movement in adjust.movements
    return (old or has) and mine and dose.unit in adjust.units


def _smaller(spans: list[Span]) -> Span:
    """The smaller least and the smaller most of several."""
    return min(low for low, _ in spans), min(high for _, high in spans)


def longest(rules: SessionRules, person: Person) -> tuple[int | None, Adjust | None]:
    """The most minutes of work that a condition allows, and the rule that says so."""
    found = [
        each
        for each in rules.adjust
        if each.minutes is not None and any(condition in person.has for condition in each.conditions)
    ]
    chosen = min(found, key=lambda each: each.minutes or 0, default=None)
    return (chosen.minutes, chosen) if chosen else (None, None)
