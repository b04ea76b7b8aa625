"""Which movement stands in which slot for a client, and every movement that does not, with its reason."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.planning.bounds import Bounds, bounds_of
from assistant.planning.dosing import Amount, amount
from assistant.planning.person import Person
from assistant.planning.starting import Out, Standing, next_rungs, short, standing, words
from assistant.rulebase.model import Knowledge
from assistant.rulebase.session_model import Goal, SessionRules, Slot, Watch
from assistant.session_shapes import Line, Reason


@dataclass(frozen=True)
class Client:
    """A person with everything worked out once: limits, goal, and the standing of every movement."""

    knowledge: Knowledge
    rules: SessionRules
    person: Person
    bounds: Bounds
    goal: Goal
    aim: str
    standings: dict[str, Standing | Out]
    of_condition: dict[str, list[str]]  # cautions of one condition each, by condition

    def at(self, movement: str) -> Standing | None:
        """The standing of a movement in reach."""
        found = self.standings.get(movement)
        return found if isinstance(found, Standing) else None

    @property
    def toward(self) -> str:
        """The movement to train for the goal now: its own, else the first of its way that is in reach."""
        return next((movement for movement in (self.goal.movement, *self.goal.via) if self.at(movement)), "")


def client_of(knowledge: Knowledge, person: Person, aim: str = "") -> Client:
    """Work out one client; without an aim movements trained already are dosed for strength."""
    rules = knowledge.session
    bounds = bounds_of(knowledge, rules, person)
    goal = rules.goal(person.goal) or rules.goals[-1]
    standings = {start.movement: standing(knowledge, start, person, bounds) for start in rules.starts}
    return Client(knowledge, rules, person, bounds, goal, aim or "strength", standings, _cautions_of(knowledge, person))


def _cautions_of(knowledge: Knowledge, person: Person) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for entry in knowledge.entries.values():
        single = entry.kind == "caution" and len(entry.conditions) == 1 and not entry.only_about and entry.movements
        if single and entry.conditions[0] in person.has:
            found.setdefault(entry.conditions[0], []).append(entry.id)
    return found


def chosen(client: Client, slot: Slot) -> Standing | None:
    """The movement of a slot: the goal's, else the hardest one trained already, else the first in reach."""
    inside = [found for movement in slot.movements if (found := client.at(movement))]
    toward = [found for found in inside if found.movement == client.toward]
    trained = [found for found in inside if found.trained]
    return next(iter([*toward, *trained[::-1], *inside]), None)


def line(client: Client, slot: Slot, found: Standing, sets: int | None = None, aim: str = "") -> Line:
    """A slot filled; without a number of sets the fewest."""
    dose = amount(client.rules, found, client.person, aim or ("strength" if client.aim == "power" else client.aim))
    return _line(client, slot, found, dose, dose.sets[0] if sets is None else sets)


def _line(client: Client, slot: Slot, found: Standing, dose: Amount, sets: int) -> Line:
    knowledge, movement = client.knowledge, found.movement
    aimed = dict(client.goal.at) if movement == client.goal.movement else {}
    rungs, closed = next_rungs(knowledge, movement, found.state, client.bounds, aimed)
    subject = knowledge.subjects[movement]
    watch = watch_of(client, slot, found)
    return Line(
        slot.id, movement, subject.name, words(knowledge, movement, found.state), dose.said(sets), dose.minutes(sets),
        found.rule, dose.rule, tuple(dict.fromkeys([*found.sources, *dose.sources])), dict(found.state), short(knowledge, movement, found.state),
        found.basis, knowledge.entries[found.check].say if found.check else "", rungs,
        closed, subject.ladder.down if subject.ladder else "", cautions(client, movement), watch.level, watch.limit, watch.rule,
    )  # fmt: skip


def cautions(client: Client, movement: str) -> tuple[Reason, ...]:
    """What each condition asks for in this movement: its first caution that names it."""
    found = []
    for condition in client.person.has:
        named = client.knowledge.subjects[condition].name
        entries = (client.knowledge.entries[each] for each in client.of_condition.get(condition, ()))
        entry = next((each for each in entries if movement in each.movements), None)
        if entry:
            found.append(Reason(condition, f"{named}: {entry.say}", entry.id, entry.sources))
    return tuple(found)


def watch_of(client: Client, slot: Slot, found: Standing) -> Watch:
    """How close the coach must be: the first rule of `watching` that fits."""
    return next(each for each in client.rules.watching if _fits(each, client, slot, found))


def _fits(watch: Watch, client: Client, slot: Slot, found: Standing) -> bool:
    if watch.conditions and not any(condition in client.person.has for condition in watch.conditions):
        return False
    if (watch.movements and found.movement not in watch.movements) or (watch.works and slot.works not in watch.works):
        return False
    ladder = client.knowledge.subjects[found.movement].ladder
    axis = ladder.axis(watch.axis) if ladder and watch.axis else None
    if not watch.axis:
        return True
    return axis is not None and axis.index(found.state[axis.id]) >= axis.index(watch.least) >= 0


def left_out(client: Client) -> list[Reason]:
    """Every movement that is ruled out, with the first reason: its own, or that of the parts it could stand in."""
    names = client.knowledge.subjects
    found = []
    for movement, where in client.standings.items():
        reason = where.reasons[0] if isinstance(where, Out) else _refused(client, movement)
        if reason:
            found.append(Reason(movement, f"{names[movement].name}: {reason.text}", reason.rule, reason.sources))
    return found


def _refused(client: Client, movement: str) -> Reason | None:
    parts = [part for part in client.rules.parts if any(movement in slot.movements for slot in part.slots)]
    reasons = [client.bounds.refused(part.id) for part in parts]
    return reasons[0][0] if reasons and all(reasons) else None


def asks(client: Client, movements: set[str]) -> list[str]:
    """Screens that would tell better where these movements start, or whether others of their slots are in reach."""
    found: list[str] = []
    for part in client.rules.parts:
        for slot in part.slots:
            if not movements & set(slot.movements):
                continue
            for movement in slot.movements:
                where = client.standings[movement]
                if isinstance(where, Out) or movement in movements:
                    found += where.asks
    return list(dict.fromkeys(found))
