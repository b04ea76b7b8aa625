"""A session for a class of mixed levels: shared parts, stations with each client's own version, pairs and rounds."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from assistant.errors import InputError
from assistant.planning.building import cited, fixed_lines, session_of
from assistant.planning.choosing import Client, chosen, client_of, left_out, line
from assistant.planning.dosing import amount
from assistant.planning.person import Person
from assistant.planning.rotating import Pair, Rotation, cost, halves, pairings, rotation
from assistant.planning.timing import REST, Share, shares
from assistant.rulebase.model import Knowledge
from assistant.rulebase.session_model import Slot
from assistant.session_shapes import Block, ClassPlan, Line, Reason, Session, Shared, Station, Turn

FEWEST, MOST = 2, 8
FLOOR = "floor"
LAYOUT, PAIRS, COACH = "class-of-mixed-levels-layout", "class-of-mixed-levels-pairing", "supervision-how-many"
SHORTEST = 2.0  # minutes at a station


def plan(knowledge: Knowledge, people: Sequence[Person], total: int, aim: str = "") -> ClassPlan:
    """Build a class of 2 to 8 clients; raises InputError for another number or two of the same code."""
    codes = [person.code for person in people]
    if not FEWEST <= len(people) <= MOST:
        raise InputError(f"a class of {len(people)}", fix=f"name {FEWEST} to {MOST} clients, or split the class")
    if len(set(codes)) < len(codes):
        raise InputError("a client is named twice", ", ".join(codes), "name each once")
    clients = [client_of(knowledge, person, "strength" if aim == "power" else aim) for person in people]
    sessions = [session_of(client, total) for client in clients]
    parts = [part for part in knowledge.session.parts if not part.aim]
    time = {share.part.id: share for share in shares(parts, total)}
    together = [
        _shared(clients, sessions, share)
        for share in time.values()
        if share.part.id not in (REST, FLOOR) and share.minutes
    ]
    minutes = sum(time[name].minutes for name in (REST, FLOOR) if name in time)
    working = [client for client in clients if not client.bounds.refused(REST)]
    found = ClassPlan(tuple(sessions), total, tuple(together), (), (), (), 0.0, (), ())
    if working:
        found = _round(found, working, minutes)
    warnings = [*found.warnings, *_alone(clients, working), *_balance_watch(found, clients)]
    rules = tuple(_entry(knowledge, name) for name in (LAYOUT, PAIRS, COACH))
    found = replace(found, warnings=tuple(warnings), rules=rules)
    return replace(found, sources=_sources(knowledge, found), knowledge=knowledge.digest)


def _entry(knowledge: Knowledge, name: str) -> Reason:
    entry = knowledge.entries[name]
    return Reason(name, entry.say, entry.id, entry.sources)


def _alone(clients: Sequence[Client], working: Sequence[Client]) -> list[Reason]:
    """Clients who do not go round, and why."""
    return [
        Reason(
            client.person.code,
            f"{client.person.code} rests at the stations, {reason.text}",
            reason.rule,
            reason.sources,
        )
        for client in clients
        if client not in working
        for reason in client.bounds.refused(REST)[:1]
    ]


# -- what all do together ------------------------------------------------------------------------------------------------


def _shared(clients: Sequence[Client], sessions: Sequence[Session], share: Share) -> Shared:
    part = share.part
    blocks: dict[str, Block] = {
        session.client: block for session in sessions for block in session.blocks if block.part == part.id
    }
    common = fixed_lines(part, share.minutes)
    own = {code: block.lines for code, block in blocks.items() if block.lines} if not common else {}
    own = {code: _fit(lines, share.minutes) for code, lines in own.items()}
    absent = {code: block.absent for code, block in blocks.items() if block.absent}
    return Shared(part.id, part.name, float(share.minutes), common, own, absent, part.rule, part.sources)


def _fit(lines: Sequence[Line], minutes: float) -> tuple[Line, ...]:
    """As many lines as fit into the class's minutes."""
    kept: list[Line] = []
    for each in lines:
        if sum(one.minutes for one in kept) + each.minutes <= minutes:
            kept.append(each)
    return tuple(kept)


def _balance_watch(found: ClassPlan, clients: Sequence[Client]) -> list[Reason]:
    """What one coach cannot watch while all do balance, half of each pair at a time."""
    pairs = found.pairs or tuple((client.person.code,) for client in clients)
    warnings = []
    for part in found.together:
        loads = {code: max((_cost(each) for each in lines), default=0) for code, lines in part.own.items()}
        if halves(pairs, _looked_up(loads))[0]:
            near = sorted(code for code, load in loads.items() if load)
            warnings.append(_too_many(clients[0].knowledge, f"In {part.name}", near))
    return warnings


def _looked_up(loads: Mapping[str, int]) -> Callable[[str], int]:
    return lambda code: loads.get(code, 0)


def _too_many(knowledge: Knowledge, when: str, near: Sequence[str]) -> Reason:
    text = (
        f"{when} {', '.join(near)} need you close at once, more than one coach can watch: bring a second coach, or let one "
        "of them sit out and go after the others."
    )
    return Reason("watch", text, COACH, knowledge.entries[COACH].sources)


# -- stations ------------------------------------------------------------------------------------------------------------


def _round(found: ClassPlan, clients: Sequence[Client], minutes: int) -> ClassPlan:
    rules = clients[0].rules.stations
    pairs = -(-len(clients) // rules.pair)
    slots = _slots(clients)
    number = max(pairs, min(rules.most, minutes // rules.minutes), min(rules.least, len(slots)))
    slots = _mixed(slots[:number])
    each = max(SHORTEST, int(2 * minutes / max(len(slots), 1)) / 2)
    stations = tuple(_station(clients, slot, each) for slot in slots)
    codes = [client.person.code for client in clients]
    if len(stations) < pairs:
        raise InputError(
            "too few stations are in reach for this class", fix="split the class or plan each client alone"
        )
    way = rotation(_ways(clients, stations, codes), len(stations), _load(stations))
    turns = tuple(_turn(clients[0].knowledge, stations, way, number) for number in range(len(stations)))
    warnings = [
        Reason("watch", turn.warning, COACH, clients[0].knowledge.entries[COACH].sources)
        for turn in turns
        if turn.warning
    ]
    warnings += _badly_paired(clients, way.pairs)
    return replace(
        found, pairs=way.pairs, stations=stations, turns=turns, each=each, warnings=tuple(warnings)
    )  # fmt: skip


def _slots(clients: Sequence[Client]) -> list[Slot]:
    """The slots of the main and floor parts that somebody can fill, those of most goals first; the floor always stays in."""
    rules = clients[0].rules
    main, floor = ([s for part in rules.parts if part.id == name for s in part.slots] for name in (REST, FLOOR))
    votes = {slot.id: sum(slot.id in client.goal.favours for client in clients) for slot in (*main, *floor)}
    usable = [slot for slot in sorted(main, key=lambda slot: -votes[slot.id]) if _anybody(clients, slot)]
    kept = [slot for slot in floor if any(_at(client, slot) for client in clients)]
    return [*usable[:2], *kept, *usable[2:]]


def _anybody(clients: Sequence[Client], slot: Slot) -> bool:
    return any(_at(client, slot) for client in clients)


def _at(client: Client, slot: Slot) -> Line | None:
    """The client's version of a slot with one set; None when its part is refused or nothing is in reach."""
    part = next(part for part in client.rules.parts if slot in part.slots)
    found = None if client.bounds.refused(part.id) else chosen(client, slot)
    return line(client, slot, found, 1) if found else None


def _mixed(slots: Sequence[Slot]) -> list[Slot]:
    """Legs and arms in turn, so that one rests while the other works."""
    legs, others = ([slot for slot in slots if (slot.works == "leg") == leg] for leg in (True, False))
    mixed: list[Slot] = []
    while legs or others:
        mixed += [group.pop(0) for group in (legs, others) if group]
    return mixed


def _station(clients: Sequence[Client], slot: Slot, each: float) -> Station:
    versions: dict[str, Line] = {}
    rests: dict[str, Reason] = {}
    for client in clients:
        code = client.person.code
        found = chosen(client, slot) if _at(client, slot) else None
        if found is None:
            rests[code] = _why_not(client, slot)
            continue
        dose = amount(client.rules, found, client.person, client.aim)
        made = line(client, slot, found, dose.sets_in_turn(each))
        versions[code] = replace(made, minutes=each, dose=made.dose.partition(", rest ")[0])
    return Station(slot.id, slot.name, versions, rests, _same(versions), _kit(clients[0].knowledge, versions))


def _why_not(client: Client, slot: Slot) -> Reason:
    part = next(part for part in client.rules.parts if slot in part.slots)
    reasons = client.bounds.refused(part.id)
    if reasons:
        return reasons[0]
    out = {reason.what: reason for reason in left_out(client)}
    return next(out[movement] for movement in slot.movements if movement in out)


def _rung(version: Line) -> tuple[str, ...]:
    """What has to be set up for a version: its movement and every axis but the hands."""
    return (version.movement, *(level for axis, level in version.state.items() if axis != "support"))


def _same(versions: dict[str, Line]) -> bool:
    return len({_rung(version) for version in versions.values()}) == 1


def _kit(knowledge: Knowledge, versions: dict[str, Line]) -> tuple[str, ...]:
    needed: dict[str, None] = {}
    for version in versions.values():
        ladder = knowledge.subjects[version.movement].ladder
        for axis in ladder.axes if ladder else ():
            for kit in axis.levels[axis.index(version.state[axis.id])].needs:
                needed.setdefault(knowledge.subjects[kit].name)
    return tuple(needed)


# -- pairs and rounds ----------------------------------------------------------------------------------------------------


def _cost(version: Line) -> int:
    """The attention a version takes; work that only needs to be seen takes none."""
    return 0 if version.watch == "eyes" else cost(version.limit)


def _load(stations: Sequence[Station]) -> Callable[[str, int], int]:
    def load(client: str, station: int) -> int:
        version = stations[station].versions.get(client)
        return _cost(version) if version else 0

    return load


def _ways(clients: Sequence[Client], stations: Sequence[Station], codes: Sequence[str]) -> list[tuple[Pair, ...]]:
    """The ways to make pairs in which fewest are together who must not be, those that share most set-ups first."""
    bad = {pairs: len(_badly_paired(clients, pairs)) for pairs in pairings(codes)}
    fewest = min(bad.values())
    return sorted((pairs for pairs in bad if bad[pairs] == fewest), key=lambda pairs: _set_ups(stations, pairs))


def _set_ups(stations: Sequence[Station], pairs: Sequence[Pair]) -> int:
    """How often a pair would have to set up a station twice."""
    rungs = [
        {_rung(station.versions[code]) for code in pair if code in station.versions}
        for pair in pairs
        for station in stations
    ]
    return sum(len(each) > 1 for each in rungs)


def _badly_paired(clients: Sequence[Client], pairs: Sequence[Pair]) -> list[Reason]:
    has = {client.person.code: set(client.person.has) for client in clients}
    found = []
    for rule in clients[0].rules.apart:
        for pair in pairs:
            if all(has[code] & set(rule.conditions) for code in pair):
                text = f"{' and '.join(pair)}: {rule.say}; put a helper beside {'them' if len(pair) > 1 else pair[0]}."
                found.append(Reason(rule.id, text, rule.rule, rule.sources))
    return found


def _turn(knowledge: Knowledge, stations: Sequence[Station], way: Rotation, number: int) -> Turn:
    at = {pair: (start + number) % len(stations) for pair, start in zip(way.pairs, way.starts, strict=True)}
    where = {code: station for pair, station in at.items() for code in pair}
    load = _load(stations)
    over, order = halves(list(at), lambda code: load(code, where[code]))
    places = tuple(sorted((where[pair[0]], pair) for pair in order))
    near = sorted(code for code, station in where.items() if load(code, station))
    warning = _too_many(knowledge, f"In round {number + 1}", near).text if over else ""
    return Turn(number + 1, places, warning)


def _sources(knowledge: Knowledge, found: ClassPlan) -> dict[str, str]:
    merged: dict[str, str] = {}
    for each in found.clients:
        merged |= cited(knowledge, each)
    reasons = [*found.warnings, *found.rules, *(r for station in found.stations for r in station.rests.values())]
    ids = [source for reason in reasons for source in reason.sources]
    for made in found.lines:
        ids += made.sources
        ids += [source for reason in (*made.cautions, *made.closed) for source in reason.sources]
        ids += [source for rung in made.next for source in rung.sources]
    return {**merged, **{name: knowledge.sources[name].full() for name in ids if name in knowledge.sources}}
