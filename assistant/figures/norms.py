"""Published screen tables read for one client, and scores added up from their parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.errors import InputError
from assistant.rulebase.model import Knowledge, Row, Table


@dataclass(frozen=True)
class Reading:
    """A table's row for this client."""

    table: Table
    row: Row
    source: str


def tables_of(knowledge: Knowledge, screen: str) -> list[Table]:
    """All tables of a screen in file order."""
    return [table for table in knowledge.tables.values() if table.screen == screen]


def better_of(knowledge: Knowledge, screen: str) -> str:
    """Which way a screen's results get better, 'higher' or 'lower', by its first table; '' without one."""
    return next((table.better for table in tables_of(knowledge, screen)), "")


def changing(knowledge: Knowledge, screen: str, conditions: Sequence[str]) -> Table | None:
    """The table whose smallest real change holds for a client: one for the client's own condition, else a general one,
    else, where only those of other conditions are published, the largest."""
    tables = [table for table in tables_of(knowledge, screen) if table.change is not None]
    own = [table for table in tables if table.change_condition and table.change_condition in conditions]
    pick = own or [table for table in tables if not table.change_condition] or tables
    return max(pick, key=lambda table: table.change or 0.0, default=None)


def row_for(table: Table, age: float | None, sex: str, conditions: Sequence[str]) -> Reading | None:
    """The row that fits, one for a condition of the client before the general one; None when age or sex is needed."""
    fitting = [row for row in table.rows if _fits(row, age, sex, conditions)]
    fitting.sort(key=lambda row: 0 if row.condition else 1)
    if not fitting:
        return None
    row = fitting[0]
    return Reading(table, row, row.extra.get("source") or table.source)


def _fits(row: Row, age: float | None, sex: str, conditions: Sequence[str]) -> bool:
    if row.sex in ("female", "male") and row.sex != sex:
        return False
    if row.condition and row.condition not in conditions:
        return False
    if age is None:
        return row.age_min is None and row.age_max is None
    return (row.age_min is None or age >= row.age_min) and (row.age_max is None or age < row.age_max + 1)


def nearest_row(table: Table, age: float | None, sex: str, conditions: Sequence[str]) -> Reading | None:
    """Like row_for; an age below or above all rows takes the nearest one, an unknown age a row without age needs."""
    found = row_for(table, age, sex, conditions)
    if found or age is None:
        return found
    rows = [r for r in table.rows if r.sex in ("any", "", sex) and (not r.condition or r.condition in conditions)]
    if not rows:
        return None
    row = min(rows, key=lambda r: min(abs(age - (r.age_min or 0.0)), abs(age - (r.age_max or 200.0))))
    return Reading(table, row, row.extra.get("source") or table.source)


def band(table: Table, value: float) -> Row | None:
    """The row whose low to high holds the value (half a step of slack between bands)."""
    for row in table.rows:
        if row.low is not None and row.high is not None and row.low <= value <= row.high:
            return row
    return None


def sppb_balance(side: float, semi: float, tandem: float) -> int:
    """SPPB balance points (Guralnik 1994): side by side 10 s 1, semi-tandem 10 s 1, tandem 10 s 2, 3 to 9.99 s 1."""
    points = 1 if side >= 10 else 0
    if not points:
        return 0
    if semi < 10:
        return points
    return points + 1 + (2 if tandem >= 10 else 1 if tandem >= 3 else 0)


def sppb_gait(seconds: float, metres: float = 4.0) -> int:
    """SPPB points for the usual-pace walk, time scaled to 4 m: < 4.82 s 4, to 6.20 3, to 8.70 2, slower 1."""
    time = seconds * 4.0 / metres
    return 4 if time < 4.82 else 3 if time <= 6.20 else 2 if time <= 8.70 else 1


def sppb_chairs(seconds: float) -> int:
    """SPPB points for five chair stands: <= 11.19 s 4, to 13.69 3, to 16.69 2, to 60 1, longer or unable 0."""
    return 4 if seconds <= 11.19 else 3 if seconds <= 13.69 else 2 if seconds <= 16.69 else 1 if seconds <= 60 else 0


def sitting_rising(supports_down: float, supports_up: float, wobbles_down: float = 0, wobbles_up: float = 0) -> float:
    """Sitting-rising score (Brito 2012): 5 down + 5 up, less 1 per support and 0.5 per wobble, each half at least 0."""
    down = max(0.0, 5 - supports_down - 0.5 * wobbles_down)
    up = max(0.0, 5 - supports_up - 0.5 * wobbles_up)
    return down + up


def sppb_band(total: float) -> str:
    """The word for an SPPB total of 12."""
    return (
        "low (8 or less)"
        if total <= 8
        else "moderate, not low (low is 8 or less)"
        if total <= 9
        else "above the low line of 8"
    )


# Stay Independent (Rubenstein 2011): a fall and a cane or walker score 2, the other ten items 1.
STAY_INDEPENDENT = {
    "fell": 2, "aid": 2, "unsteady": 1, "furniture": 1, "worried": 1, "pushes": 1, "curb": 1, "toilet": 1, "feet": 1,
    "lightheaded": 1, "sleep": 1, "sad": 1,
}  # fmt: skip
# Three findings in Parkinson's (Paul 2013).
PARKINSONS_FALLS = {"fell": 6, "freezes": 3, "slow": 2}


def walk_expected(row: Row, age: float, stature: float, bmi: float) -> float:
    """Expected six-minute distance in metres by the table row's regression (Jenkins 2009), ages 45 to 95."""
    if not 45 <= age <= 95 or not 130 <= stature <= 210 or not 14 <= bmi <= 60:
        raise InputError("the walk equation covers ages 45 to 95, 130 to 210 cm, BMI 14 to 60", fix="check the numbers")
    factors = {
        key: float(value) for key, value in row.extra.items() if key in ("constant", "per_year", "per_cm", "per_bmi")
    }
    return factors["constant"] + factors["per_year"] * age + factors["per_cm"] * stature + factors["per_bmi"] * bmi


def is_real(before: float, after: float, smallest: float, timed: bool) -> bool:
    """Whether a change is real: times must pass the smallest change, counts and other results must reach it."""
    change = round(abs(after - before), 4)
    return change > smallest if timed else change >= smallest
