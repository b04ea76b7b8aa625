"""Askers for screens: the published line, range or band for this client, and where the result lies."""

from __future__ import annotations

from dataclasses import replace

from assistant.figures import change, norms
from assistant.figures import results as res
from assistant.figures.ask import Ask
from assistant.figures.numbers import Number
from assistant.rulebase.model import Row, Table
from assistant.shapes import Figure
from assistant.units import plain

# Tables read by a result in another unit than the one they give.
BAND_UNIT = {
    "functional-reach-odds-ratio": "in", "short-fes-i-band": "points", "fes-i-band": "points", "sppb-odds-ratio": "points",
    "borg-6-20-band": "points", "sppb-chair-points": "s", "pain-band": "points",
}  # fmt: skip
_SKIPPED = (
    "sitting-rising-test",
    "standing-blood-pressure",
    "choosing-tests",
    "pain-scale",
    "effort-rating",
    "support-share",
)
_SILENT = (
    "berg-smallest-change",
    "sppb-balance-points",
    "sppb-gait-points",
    "sppb-chair-points",
    "parkinsons-fall-probability",
)
_RESULT_NAME = {
    "grip-strength": "grip-strength",
    "six-minute-walk": "six-minute-walk-distance",
    "functional-reach": "functional-reach",
}
_OTHER = {"yd": ("m", 0.9144), "kg": ("lb", 1 / 0.45359237), "in": ("cm", 2.54), "cm": ("in", 1 / 2.54)}
_FLAGGED = (
    "cutoff",
    "limit",
    "repeat-falls",
    "low-strength",
    "low-performance",
    "range",
    "10s",
    "early-warning",
    "low-risk",
)
MAX_LINES, MAX_FIGURES = 2, 5


def tables(ask: Ask) -> list[Figure]:
    """Any screen named: its lines for this client, where the result lies, and whether a change is real."""
    if not (res.named_now(ask) or ask.numbers or res.person_now(ask)) or _about_other(ask):
        return []
    for screen in res.screens(ask):
        if screen in _SKIPPED:
            continue
        changed = change.between(ask, screen)
        found = _figures(ask, screen, MAX_LINES if not changed else 1)
        if changed or found:
            return [*changed, *(f for f in found if not changed or not f.quantity.endswith("-result"))]
    return []


def _about_other(ask: Ask) -> bool:
    """Whether the test is only background to a question on another movement."""
    own = {m for screen in res.screens(ask) for m in ask.knowledge.subjects[screen].movements}
    known = {*own, *ask.question.implied, *ask.question.carried}
    others = [m for m in ask.question.movements if m not in known]
    training = ask.question.intent in ("progress", "regress", "setup", "cue", "plan")
    return bool(others) and training and not ask.now("ask-line", "real-change")


def hands_used(ask: Ask) -> list[Figure]:
    """A 30-second chair stand with a push of the arms scores 0; the count is kept apart."""
    if "30-s-chair-stand" not in res.screens(ask) or not ask.now("hands-used"):
        return []
    table = ask.knowledge.tables.get("chair-stand-30s-below-average")
    if table is None:
        return []
    counts = res.results(ask, table)
    kept = f"the {plain(counts[0].value)} stands" if counts else "the count"
    sentence = (
        f"Hands or arms used: the score is 0, below the line at any age. Note {kept} apart as an adapted score "
        "and compare it only with her own adapted scores."
    ).replace("her own", "this client's own")
    score = Figure("chair-stand-30s-score", 0.0, "stands", (table.source,), sentence)
    lines = [replace(f, sentence="") for f in _figures(ask, "30-s-chair-stand", 1) if f.quantity == table.quantity]
    return [score, *lines]


def _figures(ask: Ask, screen: str, most: int) -> list[Figure]:
    made: list[tuple[Figure, str]] = []
    measured = False
    lines = 0
    for table in res.tables_for(ask, screen):
        if len(made) >= MAX_FIGURES or (table.quantity.startswith("sppb") and screen != "sppb"):
            continue
        found = _banded(ask, table) if is_banded(table) else _lined(ask, table, first=lines == 0)
        measured = measured or bool(res.results(ask, table, BAND_UNIT.get(table.quantity, "")))
        for number, (figure, line) in enumerate(found):
            room = lines < most if number == 0 else lines <= 1
            told = line if room and not (lines and _spare(ask, table)) else ""
            lines += bool(told)
            made.append((figure, told))
    if not made:
        return _needs_person(ask, screen) if measured and ask.age is None else []
    if not measured and not _asked_for_lines(ask):
        return []
    result = [replace(figure, sentence=line) for figure, line in made]
    converted = _converted(ask, screen)
    return [*converted, *result] if converted else result


def _spare(ask: Ask, table: Table) -> bool:
    """Whether the table adds little as a second line: a range or odds that nobody asked for."""
    wanted = any(t.startswith("prefer-") and t.removeprefix("prefer-") in table.quantity for t in ask.triggers)
    return not wanted and ("odds" in table.quantity or table.quantity.endswith("range"))


def _asked_for_lines(ask: Ask) -> bool:
    if ask.question.intent in ("setup", "cue", "plan", "regress", "progress") and not ask.now("ask-line"):
        return False
    if ask.units("cm", "in", "kg", "lb") and not ask.now("real-change"):
        return False
    return res.asks_line(ask) or any(t.startswith("prefer-") for t in ask.triggers) or (
        ask.question.intent == "screen" and ask.age is not None
    )  # fmt: skip


def is_banded(table: Table) -> bool:
    """Whether the table is read by a result (rows from low to high) and not by a person."""
    return table.quantity in BAND_UNIT or (
        table.quantity in _SILENT or len([r for r in table.rows if r.extra.get("band")]) > 1
    )


def _banded(ask: Ask, table: Table) -> list[tuple[Figure, str]]:
    unit = BAND_UNIT.get(table.quantity)
    if unit is None or table.quantity in _SILENT:
        return []
    found = [(n, norms.band(table, res.in_unit(n, unit))) for n in res.results(ask, table, unit)]
    fitting = [(n, row) for n, row in found if row is not None]
    if not fitting or _other_scale(ask, table, fitting[0][0]):
        return []
    number, row = fitting[-1]
    value = row.value if row.value is not None else row.low or 0.0
    span = (row.low or 0.0, row.high or 0.0) if row.value is None else None
    figure = Figure(table.quantity, value, table.unit, (table.source,), "", span, {"result": number.value})
    return [(figure, _band_line(table, number, unit, row))]


def _other_scale(ask: Ask, table: Table, number: Number) -> bool:
    """Whether the total belongs to the other FES-I: the short one when it says so or is under 16."""
    short = ask.said("short") or number.value < 16
    return (table.quantity == "fes-i-band" and short) or (table.quantity == "short-fes-i-band" and not short)


def _band_line(table: Table, number: Number, unit: str, row: Row) -> str:
    shown = both_units(res.in_unit(number, unit), unit)
    low, high = plain(row.low or 0, 2), plain(row.high or 0, 2)
    if row.value is None:
        return f"{shown} lies in {low} to {high}: {row.extra.get('band', row.label)} ({table.meaning})."
    if table.quantity == "functional-reach-odds-ratio":
        where = "10 in or more, the comparison group" if row.value == 1 else f"{low} to {high} in"
        return (
            f"A reach of {shown} ({where}) goes with {plain(row.value, 1)} times the odds of two or more falls in 6 months "
            "against 10 in (25 cm) or more; the study was in men of 70 and over."
        )
    return f"{shown} lies in {low} to {high}: {plain(row.value, 2)} {table.unit} ({table.meaning})."


def _lined(ask: Ask, table: Table, first: bool) -> list[tuple[Figure, str]]:
    sexed = any(row.sex in ("female", "male") for row in table.rows)
    sexes = [ask.sex] if ask.sex or not sexed else ["female", "male"]
    readings = [(sex, norms.nearest_row(table, ask.age, sex, ask.question.conditions)) for sex in sexes]
    result: list[tuple[Figure, str]] = []
    for sex, reading in readings:
        if reading is None:
            continue
        row = reading.row
        value = _first(table, row)
        if value is None or (row.label and row.value is None):
            continue
        span = (row.low, row.high) if row.low is not None and row.high is not None else None
        inputs = {"age": ask.age} if ask.age is not None else {}
        measured = res.results(ask, table)
        inputs |= {"result": res.in_unit(measured[-1], table.unit)} if measured else {}
        figure = Figure(table.quantity, value, table.unit, (reading.source,), "", span, inputs)
        line = _line(ask, table, row, sex if sexed else "", first and not result)
        result.append((figure, line))
    return result


def _first(table: Table, row: Row) -> float | None:
    """The row's line: its value, or the low end of a range."""
    return row.low if row.value is None or (table.quantity.endswith("range") and row.low is not None) else row.value


def _line(ask: Ask, table: Table, row: Row, sex: str, first: bool) -> str:
    value = _first(table, row) or 0.0
    span = (row.low, row.high) if value == row.low and row.low is not None and row.high is not None else None
    who = _who(ask, row, sex)
    shown = f"{plain(span[0], 2)} to {both_units(span[1], table.unit)}" if span else both_units(value, table.unit)
    measured = res.results(ask, table)[:2]
    if not measured:
        tail = " Tell me the client's sex." if not ask.sex and sex == "male" else ""
        return f"{'Line' if first else 'Also'}{who}: {shown} ({_meaning(table, row)}).{tail}"
    verdicts = "; ".join(
        f"{plain(res.in_unit(n, table.unit), 2)} {table.unit} is {_place(table, res.in_unit(n, table.unit), value, span)}"
        for n in measured
    )
    return f"{'The line' if first else 'Also the line'}{who} is {shown} ({_meaning(table, row)}): {verdicts}."


def _meaning(table: Table, row: Row) -> str:
    return "past it falls are likelier in Parkinson's" if row.condition == "parkinsons" else table.meaning


def both_units(value: float, unit: str) -> str:
    """A value with its unit, and the other common unit in brackets where there is one."""
    text = f"{plain(value, 2)} {unit.removesuffix('s') if value == 1 and len(unit) > 1 else unit}"
    if unit not in _OTHER:
        return text
    other, factor = _OTHER[unit]
    return f"{text} ({plain(value * factor, 0 if unit == 'yd' else 1)} {other})"


def _place(table: Table, measured: float, value: float, span: tuple[float, float] | None) -> str:
    low, high = span or (value, value)
    inclusive = any(word in table.meaning for word in ("or longer", "or more", "or slower", "or lower", "or larger"))
    flag = any(word in table.quantity for word in _FLAGGED)
    if table.better == "higher":
        if inclusive and measured == low:
            return "on it, which counts as low: a flag"
        if measured < low:
            return "short of it, low: a flag" if flag else "short of it"
        if measured == low and not span:
            return "on it: the line is met, no flag"
        return ("within it, no flag" if measured <= high else "above it, no flag") if span else "past it, no flag"
    if measured > high or (inclusive and measured == high):
        return (
            "over it, slow: raised risk, a flag"
            if flag and table.unit == "s"
            else "over it: a flag"
            if flag
            else "above it, slower"
        )
    return "within it, no flag" if span else "not over it, within the line, no flag"


def _who(ask: Ask, row: Row, sex: str) -> str:
    person = {"female": "women", "male": "men"}.get(sex, "")
    if row.condition:
        subject = ask.knowledge.subjects.get(row.condition)
        return f" for {subject.name if subject else row.condition}"
    if row.age_min is None or row.age_max is None:
        return f" for {person}" if person else ""
    band = f"{plain(row.age_min)} to {plain(row.age_max)}"
    note = f", age taken as {plain(ask.age)}," if ask.age and ask.question.facts.units.get("age") == "decade" else ""
    if ask.age is not None and not row.age_min <= ask.age < row.age_max + 1:
        note = f", the nearest band (none is published at {plain(ask.age)}),"
    return f" for {person} {band}{note}" if person else f" at {band}{note}"


def _needs_person(ask: Ask, screen: str) -> list[Figure]:
    """The span of the lines over all ages, with the result, when age or sex is not known."""
    table = next((t for t in res.tables_for(ask, screen) if not is_banded(t)), None)
    values = [v for r in table.rows for v in (r.value, r.low) if v is not None] if table else []
    if table is None or not values:
        return []
    number = res.results(ask, table)[0]
    low, high = min(values), max(values)
    sentence = (
        f"The line depends on age and sex: from {both_units(low, table.unit)} to {both_units(high, table.unit)}. "
        "Tell me the client's age and sex for a verdict."
    )
    value = res.in_unit(number, table.unit)
    return [Figure(f"{screen}-result", value, table.unit, (table.source,), sentence, (low, high))]


def _converted(ask: Ask, screen: str) -> list[Figure]:
    """The result in the table's own unit, when it was given in another."""
    table = next((t for t in res.tables_for(ask, screen) if t.unit in _OTHER), None)
    if table is None:
        return []
    number = next((n for n in res.results(ask, table) if n.unit not in ("", table.unit)), None)
    if number is None:
        return []
    value = res.in_unit(number, table.unit)
    sentence = f"{plain(number.value, 1)} {number.unit} is {plain(value)} {table.unit}."
    return [Figure(_RESULT_NAME.get(screen, f"{screen}-result"), value, table.unit, (table.source,), sentence)]
