"""One client's session: clearance first, then every part filled from the ladders within its minutes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from assistant.errors import InputError
from assistant.planning.choosing import Client, asks, chosen, client_of, left_out, line
from assistant.planning.dosing import amount, longest
from assistant.planning.person import Person
from assistant.planning.starting import Standing, easier, words
from assistant.planning.timing import REST, Share, shares
from assistant.rulebase.model import Knowledge
from assistant.rulebase.session_model import Part, SessionRules, Slot
from assistant.session_shapes import Block, Line, Reason, Session

MOST_ASKED = 5


def checked_minutes(rules: SessionRules, minutes: int | None) -> int:
    """The minutes wanted, the usual ones when none are given; raises InputError out of range."""
    if minutes is None:
        return rules.minutes.usual
    if not rules.minutes.least <= minutes <= rules.minutes.most:
        raise InputError(
            f"a session of {minutes} minutes cannot be built",
            fix=f"give {rules.minutes.least} to {rules.minutes.most} minutes",
        )
    return minutes


def session(knowledge: Knowledge, person: Person, minutes: int | None = None, aim: str = "") -> Session:
    """Build one client's session; raises InputError for minutes out of range."""
    total = checked_minutes(knowledge.session, minutes)
    return session_of(client_of(knowledge, person, aim), total)


def session_of(client: Client, total: int) -> Session:
    """Build the session of a client worked out already."""
    cap, rule = longest(client.rules, client.person)
    parts = ordered(client)
    filled = [part for part in parts if _has_any(client, part)]
    time = {share.part.id: share for share in shares(filled, min(total, cap or total), client.goal.early)}
    blocks = [_block(client, time.get(part.id) or Share(part, 0)) for part in parts]
    blocks = _rehearsed(client, blocks, parts)
    used = {line.movement for block in blocks for line in block.lines if line.movement}
    first = notices(client)
    if rule is not None and cap is not None and cap < total:
        first.append(Reason("minutes", f"{cap} of the {total} minutes are enough today.", rule.rule, rule.sources))
    out = left_out(client)
    spare = tuple(
        client.knowledge.subjects[movement].name
        for movement in client.standings
        if movement not in {*used, *(reason.what for reason in out)}
    )
    found = Session(
        client.person.code, heading(client), total, client.goal.id, client.goal.name, tuple(first), tuple(blocks),
        tuple(out), spare, ask_line(client, used), client.toward,
    )  # fmt: skip
    return replace(found, sources=cited(client.knowledge, found), knowledge=client.knowledge.digest)


def ordered(client: Client) -> list[Part]:
    """The parts of this session in order: those of another aim left out, the goal's early part before the main one."""
    parts = [part for part in client.rules.parts if not part.aim or part.aim == client.aim]
    early = next((part for part in parts if part.id == client.goal.early), None)
    if early:
        parts.remove(early)
        parts.insert(next(i for i, part in enumerate(parts) if part.id == REST), early)
    return parts


def heading(client: Client) -> str:
    """Who the session is for, in words."""
    person, names = client.person, client.knowledge.subjects
    parts = [f"{person.age:g}" if person.age is not None else "", person.sex]
    parts += [names[name].name + (f" ({side})" if side else "") for name, side, _ in person.conditions]
    parts += [f"{names[screen].name} {value:g}" for screen, value in person.results.items()]
    return "; ".join(part for part in [*parts, f"goal {client.goal.name}"] if part)


def notices(client: Client) -> list[Reason]:
    """What comes before training."""
    return [Reason(hold.id, hold.say, hold.rule, hold.sources) for hold in client.bounds.holds]


# -- parts ---------------------------------------------------------------------------------------------------------------


def _has_any(client: Client, part: Part) -> bool:
    """Whether a part gets minutes: something of it is in reach. A main part that is refused keeps its minutes, so that
    no other part grows in its place."""
    if client.bounds.refused(part.id):
        return part.id == REST
    return bool(part.fixed) or any(client.at(movement) for slot in part.slots for movement in slot.movements)


def _block(client: Client, share: Share) -> Block:
    part = share.part
    lines: tuple[Line, ...] = ()
    absent = client.bounds.refused(part.id)
    if not absent and not _has_any(client, part):
        absent = [_nobody(client, part)]
    elif not absent:
        lines = tuple(_filled(client, part, share.minutes)) or fixed_lines(part, share.minutes)
        if not lines:
            absent = [Reason(part.id, "no time for it in so short a session", part.rule, part.sources)]
    minutes = sum(line.minutes for line in lines)
    return Block(part.id, part.name, minutes, lines, tuple(absent), part.rule, part.sources)


def _nobody(client: Client, part: Part) -> Reason:
    """Why no movement of a part is in reach."""
    out = {reason.what: reason for reason in left_out(client)}
    mine = [out[movement] for slot in part.slots for movement in slot.movements]
    return Reason(part.id, "; ".join(reason.text for reason in mine), mine[0].rule, mine[0].sources)


def fixed_lines(part: Part, minutes: float) -> tuple[Line, ...]:
    """The lines that are the same for everybody, the minutes shared between them."""
    each = int(2 * minutes / max(len(part.fixed), 1)) / 2
    return tuple(
        Line(one.id, "", one.name, one.do, f"{each:g} min", each, one.rule, part.rule, one.sources)
        for one in part.fixed
    )


@dataclass
class _Pick:
    """A slot filled so far."""

    slot: Slot
    standing: Standing
    sets: int
    most: int


def _filled(client: Client, part: Part, minutes: float) -> list[Line]:
    """Slots in order of weight, as many as fit with their fewest sets; then one set more at a time while it fits."""
    aim = part.aim or ""
    picks: list[_Pick] = []
    left = minutes
    for slot in weighed(client, part):
        found = chosen(client, slot)
        if found is None or any(found.movement == pick.standing.movement for pick in picks):
            continue
        dose = amount(client.rules, found, client.person, aim or _plain(client))
        sets = next((n for n in range(dose.sets[0], 0, -1) if dose.minutes(n) <= left), 0)
        if sets and (sets == dose.sets[0] or not picks):
            left -= dose.minutes(sets)
            picks.append(_Pick(slot, found, sets, dose.sets[1]))
    for _ in range(max((pick.most for pick in picks), default=0)):
        for pick in picks:
            dose = amount(client.rules, pick.standing, client.person, aim or _plain(client))
            more = dose.minutes(pick.sets + 1) - dose.minutes(pick.sets)
            if pick.sets < pick.most and more <= left:
                pick.sets, left = pick.sets + 1, left - more
    return [line(client, pick.slot, pick.standing, pick.sets, aim) for pick in picks]


def _plain(client: Client) -> str:
    return "strength" if client.aim == "power" else client.aim


def weighed(client: Client, part: Part) -> list[Slot]:
    """The slots of a part, those the goal favours first."""
    favours = client.goal.favours
    return sorted(part.slots, key=lambda slot: favours.index(slot.id) if slot.id in favours else len(favours))


def _rehearsed(client: Client, blocks: Sequence[Block], parts: Iterable[Part]) -> list[Block]:
    """The warm-up's practice set: the first movement of the main part one rung easier."""
    found = list(blocks)
    for number, part in enumerate(parts):
        rehearse = part.rehearse
        source = next((block for block in blocks if rehearse and block.part == rehearse.part), None)
        if rehearse is None or source is None or not source.lines or not found[number].lines:
            continue
        main, block = source.lines[0], found[number]
        move = easier(client.knowledge, main.movement, main.state, client.bounds)
        state = {**main.state, move[0].id: move[1]} if move else main.state
        practice = replace(
            main, slot="rehearse", name=f"{rehearse.name}: {main.name}", do=words(client.knowledge, main.movement, state),
            dose="1 easy set of 5 to 8", minutes=float(rehearse.minutes), rule=rehearse.rule, dose_rule=rehearse.rule,
            sources=rehearse.sources, state=state, next=(), closed=(), cautions=(), check="",
            basis="one rung easier" if move else "already the easiest rung",
        )  # fmt: skip
        rest = [replace(each, minutes=each.minutes - rehearse.minutes) for each in block.lines[:1]]
        rest = [replace(each, dose=f"{each.minutes:g} min") for each in rest]
        found[number] = replace(block, lines=(*rest, *block.lines[1:], practice))
    return found


# -- what is asked, what is cited ----------------------------------------------------------------------------------------


def ask_line(client: Client, used: set[str]) -> str:
    """What would make the session fit better, in one line; empty when all is known."""
    person, names = client.person, client.knowledge.subjects
    wanted = [names[screen].name for screen in asks(client, used)][:MOST_ASKED]
    wanted += [f"date of the {names[name].name}" for name in person.undated]
    if person.results and not person.sex:
        wanted.append("sex")
    if person.results and person.age is None:
        wanted.append("age")
    if not wanted:
        return ""
    return f"Tell me: {', '.join(wanted)}. Until then: the lowest supported rung."


def cited(knowledge: Knowledge, found: Session) -> dict[str, str]:
    """Every source named anywhere in a session, in full."""
    reasons = [*found.first, *found.left_out, *(reason for block in found.blocks for reason in block.absent)]
    reasons += [reason for line in found.lines for reason in (*line.closed, *line.cautions)]
    ids = [source for reason in reasons for source in reason.sources]
    ids += [source for line in found.lines for source in line.sources]
    ids += [source for block in found.blocks for source in block.sources]
    ids += [source for line in found.lines for rung in line.next for source in rung.sources]
    return {name: knowledge.sources[name].full() for name in dict.fromkeys(ids) if name in knowledge.sources}
