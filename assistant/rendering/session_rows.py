"""A planned session as labelled lines: what plain text prints line by line and what the terminal lays out."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from itertools import groupby

from assistant.rendering.plain import marks
from assistant.rulebase.model import Source
from assistant.session_shapes import Block, ClassPlan, Line, Reason, Session, Shared, Station, Turn

Rows = list[tuple[str, str]]
WATCHED = {
    "hands": "Coach: hands ready, one to one.", "reach": "Coach: within arm's reach.", "near": "Coach: close by.", "eyes": "",
}  # fmt: skip
GAP = 2


class _Marks:
    """Source marks in the order in which sources are first named."""

    def __init__(self, sources: Mapping[str, Source]) -> None:
        self.sources, self.numbers, self.said = sources, dict[str, int](), set[str]()

    def new(self, rule: str) -> bool:
        """Whether a caution is said for the first time."""
        known = rule in self.said
        self.said.add(rule)
        return not known

    def __call__(self, ids: Iterable[str]) -> str:
        known = tuple(each for each in dict.fromkeys(ids) if each in self.sources)
        for each in known:
            self.numbers.setdefault(each, len(self.numbers) + 1)
        return marks(known, self.numbers)

    def line(self) -> str:
        """All sources named, with their kind."""
        parts = []
        for each, number in self.numbers.items():
            kind = "" if each == "common-practice" else f", {self.sources[each].kind}"
            parts.append(f"[{number}] {self.sources[each].short()}{kind}")
        return "; ".join(parts)


def session_rows(found: Session, sources: Mapping[str, Source]) -> Rows:
    """One client's session."""
    cite = _Marks(sources)
    rows: Rows = [("For", f"{found.client + ': ' if found.client else ''}{found.heading}; {found.minutes} min")]
    rows += [("First", f"{reason.text} {cite(reason.sources)}") for reason in found.first]
    for block in found.blocks:
        rows += _block(block, cite)
    rows += _toward(found, cite)
    rows += _grouped("Not yet", found.left_out, cite)
    if found.open:
        rows.append(("Another day", f"{', '.join(found.open)}."))
    rows += [("Tell me", found.ask.removeprefix("Tell me: "))] if found.ask else []
    return [*rows, ("Sources", cite.line())]


def _block(block: Block, cite: _Marks) -> Rows:
    if not block.lines:
        text = "; ".join(f"{reason.text} {cite(reason.sources)}" for reason in block.absent)
        return [(block.name.capitalize(), f"left out: {text}")]
    rows: Rows = [(block.name.capitalize(), f"{block.minutes:g} min {cite(block.sources)}")]
    for line in block.lines:
        rows.append((f"{line.minutes:g} min", f"{_said(line)} {cite(line.sources)}"))
        rows += [
            ("Mind", f"{caution.text} {cite(caution.sources)}") for caution in line.cautions if cite.new(caution.rule)
        ]
        if line.check and cite.new(line.check):
            rows.append(("Check", f"{line.check} {cite(line.sources)}"))
        if line.next or line.closed:
            rows.append(("Next", f"{_next(line)} {cite(source for rung in line.next for source in rung.sources)}"))
    return rows


def _said(line: Line) -> str:
    """What is done, how much, why here and how close the coach stands."""
    if not line.movement:
        return f"{line.name}: {line.do}"
    parts = [
        f"{line.name}: {line.do}; {line.dose}.",
        f"Why here: {line.basis}." if line.basis else "",
        WATCHED[line.watch],
    ]
    return " ".join(part for part in parts if part)


def _next(line: Line) -> str:
    steps = "; ".join(f"{number}. {_short(rung.do)}" for number, rung in enumerate(line.next, 1))
    shut = f"Closed: {line.closed[0].text.rstrip('.')}." if line.closed else ""
    head = f"{steps}. Each when: {line.next[0].criterion}" if line.next else ""
    return " ".join(part for part in (head, shut) if part)


def _short(text: str) -> str:
    return text.rstrip(".")


def _toward(found: Session, cite: _Marks) -> Rows:
    line = next((line for line in found.lines if line.movement == found.toward and line.slot != "rehearse"), None)
    if line is None:
        return []
    return [("Goal", f"{found.goal_name} through {line.name}. Go back: {line.back} {cite(line.sources)}")]


def _grouped(label: str, reasons: Sequence[Reason], cite: _Marks) -> Rows:
    """Movements left out; those with the same reason in one line."""
    rows: Rows = []
    said = sorted(reasons, key=lambda reason: (_why(reason), reason.what))
    for why, group in groupby(said, key=_why):
        same = list(group)
        names = ", ".join(reason.text.partition(": ")[0] for reason in same)
        rows.append((label, f"{names}: {why} {cite(source for reason in same for source in reason.sources)}"))
    return rows


def _left_out(clients: Sequence[Session], cite: _Marks) -> Rows:
    """Movements left out, said once for all clients with the same movements and reason."""
    who: dict[tuple[str, str, str], list[str]] = {}
    for session in clients:
        for _, text in _grouped("", session.left_out, cite):
            names, _, why = text.partition(": ")
            who.setdefault(("Not yet", names, why), []).append(session.client)
    return [(label, f"{', '.join(codes)}: {names}: {why}") for (label, names, why), codes in who.items()]


def _why(reason: Reason) -> str:
    return reason.text.partition(": ")[2]


# -- a class -------------------------------------------------------------------------------------------------------------


def class_rows(found: ClassPlan, sources: Mapping[str, Source], grid: Sequence[str] = ()) -> Rows:
    """A class; `grid` are the rounds drawn as a table, without them each round is told in words."""
    cite = _Marks(sources)
    rows: Rows = [("For", f"a class of {len(found.clients)}; {found.minutes} min")]
    for session in found.clients:
        rows.append((session.client, session.heading))
        rows += [("First", f"{session.client}: {reason.text} {cite(reason.sources)}") for reason in session.first]
    rows += [("Watch", f"{warning.text} {cite(warning.sources)}") for warning in found.warnings]
    before = [part for part in found.together if part.part != "cool-down"]
    for part in before:
        rows += _shared(part, cite)
    rows += _stations(found, cite)
    rows += [("" if number else "Rounds", line) for number, line in enumerate(grid)] if grid else _turns(found)
    for part in found.together:
        rows += _shared(part, cite) if part not in before else []
    rows += [("Rule", f"{reason.text} {cite(reason.sources)}") for reason in found.rules]
    for session in found.clients:
        rows += [(session.client, session.ask)] if session.ask else []
    rows += _left_out(found.clients, cite)
    return [*rows, ("Sources", cite.line())]


def _shared(part: Shared, cite: _Marks) -> Rows:
    rows: Rows = [(part.name.capitalize(), f"{part.minutes:g} min, all together {cite(part.sources)}")]
    rows += [("All", f"{_said(line)} {cite(line.sources)}") for line in part.common]
    rows += _together([(client, line, _said(line)) for client, lines in part.own.items() for line in lines], cite)
    for client, reasons in part.absent.items():
        rows += [(client, f"rests, {reason.text} {cite(reason.sources)}") for reason in reasons[:1]]
    return rows


def _together(told: Sequence[tuple[str, Line, str]], cite: _Marks) -> Rows:
    """Lines of several clients, those with the same words in one, then what each client's conditions ask for."""
    same: dict[str, list[tuple[str, Line]]] = {}
    for client, line, text in told:
        same.setdefault(text, []).append((client, line))
    rows = [
        (", ".join(client for client, _ in who), f"{text} {cite(each for _, line in who for each in line.sources)}")
        for text, who in same.items()
    ]
    for client, line, _ in told:
        fresh = (caution for caution in line.cautions if cite.new(f"{client} {caution.rule}"))
        rows += [("Mind", f"{client}, {caution.text} {cite(caution.sources)}") for caution in fresh]
    return rows


def _stations(found: ClassPlan, cite: _Marks) -> Rows:
    rows: Rows = []
    for number, station in enumerate(found.stations, 1):
        rows.append((f"Station {number}", f"{station.name}, {found.each:g} min{_setup(station)}"))
        told = []
        for client, line in station.versions.items():
            then = f" Then: {line.next[0].name}." if line.next else ""
            told.append((client, line, f"{_said(line)}{then}"))
        rows += _together(told, cite)
        ups = {line.name: line.next[0] for line in station.versions.values() if line.next}
        rows += [("Up when", f"{name}: {rung.criterion} {cite(rung.sources)}") for name, rung in ups.items()]
        for client, reason in station.rests.items():
            rows.append((client, f"sits this one out or repeats the one before: {reason.text} {cite(reason.sources)}"))
    return rows


def _setup(station: Station) -> str:
    kit = f"; kit: {', '.join(station.kit)}" if station.kit else ""
    return f"; {'one set-up for all' if station.shared else 'each card has its own set-up'}{kit}"


def _turns(found: ClassPlan) -> Rows:
    return [
        (f"Round {turn.number}", "; ".join(_place(found, at, pair) for at, pair in turn.places) + ".")
        for turn in found.turns
    ]


def _place(found: ClassPlan, at: int, pair: tuple[str, ...]) -> str:
    who = f"{pair[0]} works, {pair[1]} counts, then they change" if len(pair) > 1 else f"{pair[0]} alone"
    return f"station {at + 1} ({found.stations[at].name}): {who}"


def round_grid(turns: Sequence[Turn], stations: int, width: int) -> list[str]:
    """The rounds as a table, a column a station; empty when it does not fit into the width."""
    cells = {(turn.number, at): "+".join(pair) for turn in turns for at, pair in turn.places}
    heads = [f"St {number + 1}" for number in range(stations)]
    widths = [
        max([len(heads[at]), *(len(cells.get((turn.number, at), "-")) for turn in turns)]) + GAP
        for at in range(stations)
    ]
    first = len(f"{len(turns)}.") + GAP
    if first + sum(widths) > width:
        return []
    lines = ["".join([" " * first, *(head.ljust(wide) for head, wide in zip(heads, widths, strict=True))])]
    for turn in turns:
        row = [cells.get((turn.number, at), "-").ljust(wide) for at, wide in enumerate(widths)]
        lines.append("".join([f"{turn.number}.".ljust(first), *row]))
    return [line.rstrip() for line in lines]


# -- out -------------------------------------------------------------------------------------------------------------------


def plain_session(rows: Rows) -> str:
    """Rows as sentences, one a line, for pipes and screen readers."""
    return "\n".join(f"{label}: {text.strip()}" for label, text in rows)


def session_json(found: Session | ClassPlan, text: str) -> str:
    """One JSON object on one line, `text` the plain rendering."""
    return json.dumps(
        {"kind": "class" if isinstance(found, ClassPlan) else "session", "text": text, **asdict(found)},
        ensure_ascii=False,
    )
