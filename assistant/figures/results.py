"""Which test a question is about and which of its numbers are results of it."""

from __future__ import annotations

from dataclasses import replace

from assistant.figures import norms
from assistant.figures.ask import Ask
from assistant.figures.numbers import Number
from assistant.rulebase.model import Table
from assistant.understanding.person import sex_of

# Units a result may be given in, by the table's own unit; '' is a bare number.
_UNITS_OF = {
    "s": ("s",), "stands": ("stands", "reps", "times"), "kg": ("kg", "lb"), "points": ("points",), "m": ("m", "yd", "ft"),
    "yd": ("yd", "m", "ft"), "in": ("in", "cm"), "cm": ("cm", "in"), "m/s": ("m/s",), "steps": ("steps", "reps", "times"),
    "curls": ("curls", "reps", "times"),
}  # fmt: skip
_SIGNED = ("back-scratch", "chair-sit-and-reach")
_GAP_WORDS = (
    "gap",
    "short",
    "apart",
    "miss",
    "misses",
    "missing",
    "minus",
    "shy",
    "off",
    "from",
    "between",
    "dont",
    "cant",
    "under",
)
_NAMED_BEFORE = (
    "y", "hy", "yahr", "stage", "grade", "nyha", "age", "aged", "week", "month", "day", "session", "step", "at", "top",
    "past", "last", "year", "jan", "june", "july", "march",
)  # fmt: skip
_NAMED_AFTER = ("x", "stage", "year", "feet", "foot", "meter", "tries", "trials", "attempts", "goes", "week", "month", "day", "min",
                "hour", "yo", "plus", "item", "items", "questions", "stances", "square", "extra", "or", "am", "pm")  # fmt: skip
# Names that may hold a result ("grip 52 lb"); '4 m' names a course, '420 m' is a result.
_NUMBER_IN_NAME = ("grip-strength", "functional-reach", "single-leg-stance-test", "four-stage-balance")
_NAME_VALUES = (1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 30, 60)
LONGEST_COURSE = 20
_NARROW = ("eyes-closed", "best", "independence", "sdoc", "fnih")  # these go before a mere "average" or "norm"
_FACTOR = {("yd", "m"): 1 / 0.9144, ("yd", "ft"): 1 / 3, ("m", "yd"): 0.9144, ("m", "ft"): 0.3048, ("in", "cm"): 1 / 2.54,
           ("cm", "in"): 2.54, ("kg", "lb"): 0.45359237}  # fmt: skip


def screens(ask: Ask) -> list[str]:
    """Tests named now (by name or by trigger), or in a short follow-up the one the last figures belong to."""
    named = [t.removeprefix("is-") for t in sorted(ask.triggers) if t.startswith("is-")]
    found = sorted(dict.fromkeys([*ask.question.screens, *named]), key=lambda screen: screen == "falls-history")
    if {"five-times-sit-to-stand", "30-s-chair-stand"} <= set(found):
        half = ask.said("half") or any(n.value == 30 for n in ask.numbers)
        found.remove("five-times-sit-to-stand" if half else "30-s-chair-stand")
    if found or not ask.short or not ask.before:
        return found
    last = {figure.quantity for figure in ask.before}
    return list(dict.fromkeys(t.screen for t in ask.knowledge.tables.values() if t.quantity in last))


def named_now(ask: Ask) -> bool:
    """Whether a test is named in this very question."""
    return any(m.kind == "screen" for m in ask.question.mentions) or any(t.startswith("is-") for t in ask.triggers)


def person_now(ask: Ask) -> bool:
    """Whether this very question says a sex or a condition (follow-ups such as 'men same age?', 'and for PD?')."""
    told = any(m.kind == "condition" for m in ask.question.mentions)
    return told or bool(sex_of([word.text for word in ask.question.words]))


def in_unit(number: Number, unit: str) -> float:
    """The number's value in the table's unit; a bare number is taken to be in it."""
    return number.value * _FACTOR.get((unit, number.unit), 1.0)


def results(ask: Ask, table: Table, unit: str = "") -> list[Number]:
    """Numbers of the question that can be results of this table's test, in text order."""
    unit = unit or table.unit
    units = _UNITS_OF.get(unit, ())
    fitting = [n for n in ask.numbers if n.unit in units and not _is_name(ask, n)]
    bare = [n for n in ask.numbers if n.unit == "" and _may_be_bare(ask, n, table)]
    if fitting:
        top, low = max(n.value for n in fitting), min(n.value for n in fitting)
        near = [n for n in bare if low / 2.5 <= n.value <= top * 2.5 and not n.spelled]
        bare = [replace(n, unit=fitting[0].unit) for n in near]
    both = sorted([*fitting, *bare], key=lambda n: n.at)
    if table.screen == "30-s-chair-stand" and len(both) > 1:
        both = [n for n in both if n.value != 30] or both
    return _tries(ask, [_signed(ask, n, table) for n in both], table)


def _tries(ask: Ask, found: list[Number], table: Table) -> list[Number]:
    """Several tries give one result: the mean for functional reach, else the best."""
    if len(found) < 2 or not ask.said("tries", "trials", "attempts", "goes", "try", "trial"):
        return found
    if table.screen == "functional-reach":
        return [replace(found[0], value=sum(n.value for n in found) / len(found))]
    return [(max if table.better == "higher" else min)(found, key=lambda n: n.value)]


def _signed(ask: Ask, number: Number, table: Table) -> Number:
    """Reach tests are minus for a gap."""
    if table.screen not in _SIGNED:
        return number
    gap = ask.near(number, *_GAP_WORDS, before=5, after=5) and not ask.said("overlap", "past", "beyond")
    typed = f"-{number.value:g}" in ask.question.text.replace("−", "-").replace("- ", "-")
    return Number(-abs(number.value), number.unit, number.at) if gap or typed else number


def _may_be_bare(ask: Ask, number: Number, table: Table) -> bool:
    if number.value > 1900 or number.value == ask.age or _is_name(ask, number):
        return False
    if number.spelled and (number.value < 3 or table.unit not in ("stands", "steps", "curls", "points")):
        return False
    index = ask.numbers.index(number)
    earlier = ask.numbers[index - 1] if index else None
    band = earlier is not None and earlier.value == ask.age and 0 < number.value - earlier.value <= 9
    return not (band and earlier is not None and number.at - earlier.at <= 2)


def _is_name(ask: Ask, number: Number) -> bool:
    """Whether the number belongs to a name (30 s chair stand, 5 x STS, 4 stage, H&Y 2) or counts something else."""
    for m in ask.question.mentions:
        inside = m.kind == "screen" and m.span[0] <= number.at < m.span[1]
        if inside and (number.at == m.span[0] or (m.id not in _NUMBER_IN_NAME and number.value in _NAME_VALUES)):
            return True
    words = [w.text for w in ask.question.words]
    before = words[number.at - 1] if number.at else ""
    end = number.at + number.width
    after = words[end] if end < len(words) else ""
    if after == "x" and end + 1 < len(words) and words[end + 1][0].isdigit():
        return False
    if number.unit == "m" and number.value <= LONGEST_COURSE:
        return True
    if before == "of" and number.at > 1 and words[number.at - 2] == "best":
        return True
    return (not number.unit and before in _NAMED_BEFORE) or after in _NAMED_AFTER


def asks_line(ask: Ask) -> bool:
    """Whether a cut-off, a norm or a verdict is asked for."""
    return ask.wants("ask-line")


def tables_for(ask: Ask, screen: str) -> list[Table]:
    """The screen's tables, the kind asked for (average, independence, eyes closed ...) first."""
    wanted = [t.removeprefix("prefer-") for t in ask.triggers if t.startswith("prefer-")]
    tables = norms.tables_of(ask.knowledge, screen)
    first = [w for w in wanted if w in _NARROW] or wanted
    return sorted(tables, key=lambda t: 0 if any(w in t.quantity for w in first) else 2 if "odds" in t.quantity else 1)
