"""Whether the change between two results of a test is real, by the published smallest change."""

from __future__ import annotations

from assistant.figures import norms
from assistant.figures import results as res
from assistant.figures.ask import Ask
from assistant.figures.numbers import Number
from assistant.rulebase.model import Table
from assistant.shapes import Figure
from assistant.units import plain

# Small meaningful changes (Perera 2006); the tables hold the substantial ones.
SMALL, PERERA = {"gait-speed": 0.05, "sppb": 0.5, "six-minute-walk": 20.0}, "perera-2006-meaningful-change"
_BEFORE = ("from", "was", "previously", "before", "baseline", "originally", "initially", "used")


def smallest(ask: Ask, screen: str, first: float | None = None) -> tuple[float, str, str, str] | None:
    """Smallest real change as (value, unit, source, condition): the client's own condition first, else the larger."""
    table = norms.changing(ask.knowledge, screen, ask.question.conditions)
    if table is not None:
        return table.change or 0.0, table.change_unit, table.change_source or table.source, table.change_condition
    banded = next((t for t in norms.tables_of(ask.knowledge, screen) if t.quantity.endswith("smallest-change")), None)
    row = norms.band(banded, first) if banded and first is not None else None
    if banded is None or row is None or row.value is None:
        return None
    return row.value, banded.unit, banded.source, ""


def between(ask: Ask, screen: str) -> list[Figure]:
    """The change between two results against the smallest real one; the smallest change alone when it is asked for."""
    table = next((t for t in norms.tables_of(ask.knowledge, screen) if t.unit != "ratio"), None)
    if table is None:
        return []
    pair = _pair(ask, table, screen)
    if pair is None:
        return _alone(ask, screen)
    before, after = pair
    known = smallest(ask, screen, before)
    if known is None:
        return []
    value, unit, source, _ = known
    real = norms.is_real(before, after, value, timed=unit == "s")
    text = f"{_step(before, after, unit, table.better)}: {_verdict(ask, screen, abs(after - before), known, real)}"
    name = "sppb-meaningful-change" if screen == "sppb" else "minimal-detectable-change"
    inputs = {"before": before, "after": after}
    return [
        Figure(name, value, unit, (source,), text, None, inputs),
        Figure(f"{screen}-change", round(after - before, 3), unit, (source,), "", None, inputs),
    ]


def both(value: float, unit: str) -> str:
    """A value with its unit, singular for one."""
    return f"{plain(value, 2)} {unit.removesuffix('s') if value == 1 and len(unit) > 1 else unit}"


def _step(before: float, after: float, unit: str, better: str) -> str:
    amount = abs(after - before)
    unit_one = unit.removesuffix("s") if amount == 1 and len(unit) > 1 else unit
    up = after > before
    word = ("slower" if up else "quicker") if unit in ("s",) else ("more" if up else "less")
    share = f", {plain(100 * amount / abs(before), 0)}%" if before and unit == "s" else ""
    good = "no change" if amount == 0 else "better" if up == (better == "higher") else "worse"
    return f"{plain(before, 2)} to {plain(after, 2)} {unit} is {plain(amount, 2)} {unit_one} {word} ({good}{share})"


def _verdict(ask: Ask, screen: str, amount: float, known: tuple[float, str, str, str], real: bool) -> str:
    value, unit, _, condition = known
    subject = ask.knowledge.subjects.get(condition)
    own = condition in ask.question.conditions
    where = f" in {subject.name}{'' if own else ' (the largest published)'}" if subject else ""
    if real:
        kind = "a substantial, real change" if screen in SMALL else "a real change, beyond error"
        return f"the smallest real change is {both(value, unit)}{where}, so this is {kind}."
    small = SMALL.get(screen)
    if small and round(amount, 4) >= small:
        return f"a small but meaningful change ({plain(small, 2)} {unit}), less than the substantial {plain(value, 2)} {unit}."
    return f"less than the smallest real change of {plain(value, 2)} {unit}{where}, so within error, not a real change yet."


def _alone(ask: Ask, screen: str) -> list[Figure]:
    known = smallest(ask, screen)
    if known is None or not ask.now("real-change"):
        return []
    value, unit, source, condition = known
    subject = ask.knowledge.subjects.get(condition)
    where = f" in {subject.name}" if subject else ""
    if screen == "sppb":
        sentence = "One SPPB point is a substantial, real change; half a point is a small meaningful one."
        return [Figure("sppb-meaningful-change", 1.0, "points", (source,), sentence, (SMALL["sppb"], value))]
    small = f" {plain(SMALL[screen], 2)} {unit} is a small meaningful one." if screen in SMALL else ""
    sentence = (
        f"Smallest real change: {plain(value, 2)} {unit}{where}; anything less is within measurement error.{small}"
    )
    span = (SMALL[screen], value) if screen in SMALL else None
    return [Figure("minimal-detectable-change", value, unit, (source,), sentence, span)]


def _pair(ask: Ask, table: Table, screen: str) -> tuple[float, float] | None:
    """Two results of the question, the earlier one first."""
    unit = "m" if screen == "six-minute-walk" else table.unit
    found = res.results(ask, table, unit)
    last = next((f.inputs["result"] for f in ask.before if "result" in f.inputs and f.unit == unit), None)
    if len(found) == 1 and last is not None and ask.short and ask.said("now", "was", "from", "today", "then"):
        value = res.in_unit(found[0], unit)
        return (value, last) if _is_old(ask, found[0]) else (last, value)
    if len(found) < 2 or not _compared(ask, found):
        return None
    one, two = found[0], found[1]
    before, after = (two, one) if _is_old(ask, two) and not _is_old(ask, one) else (one, two)
    return res.in_unit(before, unit), res.in_unit(after, unit)


def _compared(ask: Ask, found: list[Number]) -> bool:
    between = ask.words_between(found[0].at, found[1].at)
    return ask.now("real-change", "went-from") or "to" in between or "now" in between or ask.said("now", "was", "from")


def _is_old(ask: Ask, number: Number) -> bool:
    words = ask.words_between(number.at - 2, number.at)
    after = ask.words_between(number.at + number.width, number.at + number.width + 3)
    return any(word in _BEFORE for word in words) or "ago" in after or "before" in after
