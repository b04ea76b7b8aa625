"""Where a client starts on each ladder, and the rungs that come next: one axis, one level at a time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.matching.ladder import State
from assistant.matching.limits import full_state, ladder_of
from assistant.planning.bounds import SUPPORT, Bounds
from assistant.planning.checks import applies, holds
from assistant.planning.person import Person, first_table
from assistant.rulebase.model import Axis, Knowledge, Ladder
from assistant.rulebase.session_model import Check, Start
from assistant.session_shapes import Reason, Rung

NEXT = 3


@dataclass(frozen=True)
class Standing:
    """A movement that is in reach: its starting state, what that rests on, and screens that would tell better."""

    start: Start
    state: State
    basis: str
    rule: str
    sources: tuple[str, ...]
    asks: tuple[str, ...] = ()
    trained: bool = False

    @property
    def check(self) -> str:
        """The entry whose check tells where to go on, when no screen decides."""
        return "" if self.trained or self.start.cases else self.start.rule

    @property
    def movement(self) -> str:
        """The movement's id."""
        return self.start.movement


@dataclass(frozen=True)
class Out:
    """A movement that is left out, why, and screens that might bring it in."""

    reasons: tuple[Reason, ...]
    asks: tuple[str, ...] = ()


def standing(knowledge: Knowledge, start: Start, person: Person, bounds: Bounds) -> Standing | Out:
    """The starting state of a movement, or why it is left out."""
    waiting = bounds.waiting(start.movement)
    if waiting:
        return Out(tuple(waiting))
    noted = person.rungs.get(start.movement)
    if noted is None and (missing := _not_ready(knowledge, start, person)):
        return missing
    found = _noted(knowledge, start, noted, bounds) if noted else _by_screen(knowledge, start, person)
    return _settled(knowledge, found, bounds)


def _not_ready(knowledge: Knowledge, start: Start, person: Person) -> Out | None:
    verdicts = [(check, holds(check, person, knowledge)) for check in start.ready]
    failed = [check for check, verdict in verdicts if verdict is False]
    unknown = [check.screen for check, verdict in verdicts if verdict is None]
    if not failed and (not unknown or start.unknown_is_safe):
        return None
    shown = failed or [check for check, verdict in verdicts if verdict is None]
    text = "first " + ", ".join(_said(check, person, knowledge) for check in shown)
    return Out((Reason(start.movement, text, start.rule, start.sources),), () if failed else tuple(unknown))


def _said(check: Check, person: Person, knowledge: Knowledge) -> str:
    """A check in words, with the result that is known."""
    if check.trained:
        subject = knowledge.subjects[check.trained]
        axes = subject.ladder.axes if subject.ladder else ()
        names = [axis.levels[axis.index(level)].name for axis in axes for name, level in check.at if axis.id == name]
        return f"{subject.name} with {', '.join(names)}" if names else subject.name
    table = knowledge.tables.get(check.line)
    limit = check.least if check.least is not None else check.under
    if table:
        values = {row.value for row in table.rows}
        limit = values.pop() if len(values) == 1 else None
    kept = first_table(knowledge, check.screen)
    unit = kept.unit if kept else ""
    result = person.results.get(check.screen)
    known = "not known" if result is None else f"{result:g} now"
    return f"{knowledge.subjects[check.screen].name}{f' of {limit:g} {unit}' if limit is not None else ''} ({known})"


def _noted(knowledge: Knowledge, start: Start, noted: Mapping[str, str], bounds: Bounds) -> Standing:
    """The rung on the card; with a hold that takes axes back, one rung easier there."""
    ladder = ladder_of(knowledge, start.movement)
    state, basis, sources = full_state(ladder, noted), "noted rung", start.sources
    for hold in bounds.back:
        for axis in ladder.axes:
            place = axis.index(state[axis.id])
            if axis.id in hold.back and place > 0:
                state[axis.id] = axis.levels[place - 1].id
                basis, sources = f"noted rung, {axis.id} one rung back", (*sources, *hold.sources)
    return Standing(start, state, basis, start.rule, tuple(dict.fromkeys(sources)), trained=True)


def _by_screen(knowledge: Knowledge, start: Start, person: Person) -> Standing:
    ladder = ladder_of(knowledge, start.movement)
    safe = full_state(ladder, dict(start.safe))
    for case in start.cases:
        if applies(case, person, knowledge):
            used = [check.screen for check in (*case.every, *case.some) if check.screen in person.results]
            basis = ", ".join(f"{knowledge.subjects[s].name} {person.results[s]:g}" for s in dict.fromkeys(used))
            return Standing(start, {**safe, **dict(case.to)}, basis, case.rule, case.sources)
    asks = tuple(screen for screen in start.ask if screen not in person.results)
    basis = "lowest rung, result not known" if asks else "lowest rung until checked"
    return Standing(start, safe, basis, start.rule, start.sources, asks)


def _settled(knowledge: Knowledge, found: Standing, bounds: Bounds) -> Standing | Out:
    """Every axis on an open rung: closed ones give way to easier ones, never to harder."""
    state, basis, sources = dict(found.state), found.basis, list(found.sources)
    for axis in ladder_of(knowledge, found.movement).axes:
        place = axis.index(state[axis.id])
        reasons = bounds.closed(found.movement, axis, axis.levels[place])
        if not reasons:
            continue
        lower = (lv for lv in reversed(axis.levels[:place]) if not bounds.closed(found.movement, axis, lv))
        level = next(lower, None)
        if level is None:
            return Out(tuple(reasons))
        state[axis.id] = level.id
        basis += f", {axis.id.replace('-', ' ')} lowered by a caution or for kit"
        sources += [source for reason in reasons for source in reason.sources]
    return Standing(
        found.start, state, basis, found.rule, tuple(dict.fromkeys(sources)), found.asks, found.trained
    )  # fmt: skip


def words(knowledge: Knowledge, movement: str, state: Mapping[str, str]) -> str:
    """A state in words: what differs from the plainest (body weight, an even pace, eyes open) and the support."""
    levels = [(axis, axis.levels[axis.index(state[axis.id])]) for axis in ladder_of(knowledge, movement).axes]
    return ", ".join(level.name for axis, level in levels if level.id not in PLAINEST or axis.id == SUPPORT)


def short(knowledge: Knowledge, movement: str, state: Mapping[str, str]) -> str:
    """The level on the ladder's first axis that is not the support: how high, how deep, which position."""
    axis = next((axis for axis in ladder_of(knowledge, movement).axes if axis.id != SUPPORT), None)
    return axis.levels[axis.index(state[axis.id])].name if axis else ""


PLAINEST = ("body-weight", "steady", "eyes-open", "level-feet", "flat", "two")


# -- what comes next -----------------------------------------------------------------------------------------------------


def next_rungs(
    knowledge: Knowledge, movement: str, state: State, bounds: Bounds, goal: Mapping[str, str] | None = None
) -> tuple[tuple[Rung, ...], tuple[Reason, ...]]:
    """The next three rungs in the ladder's own order, those towards the goal first; and what closes the one after."""
    ladder = ladder_of(knowledge, movement)
    here, found = dict(state), list[Rung]()
    closed: list[Reason] = []
    while len(found) < NEXT:
        axis = _next_axis(ladder, movement, here, bounds, goal or {}, closed)
        if axis is None:
            return tuple(found), tuple(dict.fromkeys(closed))
        level = axis.levels[axis.index(here[axis.id]) + 1]
        here[axis.id] = level.id
        found.append(
            Rung(movement, axis.id, level.id, level.name, level.do, ladder.up, _both(level.sources, ladder.sources))
        )
    return tuple(found), ()


def _next_axis(
    ladder: Ladder, movement: str, here: State, bounds: Bounds, goal: Mapping[str, str], closed: list[Reason]
) -> Axis | None:
    axes = [axis for name in ladder.harder if (axis := ladder.axis(name))]
    wanted = [axis for axis in axes if axis.id in goal and axis.index(here[axis.id]) < axis.index(goal[axis.id])]
    for axis in wanted or axes:
        place = axis.index(here[axis.id]) + 1
        if place >= len(axis.levels):
            continue
        reasons = bounds.closed(movement, axis, axis.levels[place])
        if not reasons:
            return axis
        closed += reasons
    return None


def easier(knowledge: Knowledge, movement: str, state: State, bounds: Bounds) -> tuple[Axis, str] | None:
    """The axis and level one rung easier, by what the ladder eases first."""
    ladder = ladder_of(knowledge, movement)
    for name in ladder.first["default"]:
        axis = ladder.axis(name)
        place = axis.index(state[name]) if axis else 0
        if axis and place > 0 and not bounds.closed(movement, axis, axis.levels[place - 1]):
            return axis, axis.levels[place - 1].id
    return None


def _both(one: tuple[str, ...], other: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*one, *other]))
