"""Every published number that the knowledge and the code use, held against the value as printed; sources in tests/published.

What no published value is at hand for is listed in unheld.yaml: a number that gets one has to leave that list, a new one
has to be held or listed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from assistant.figures import change, geometry, heart, load, norms, poles
from assistant.rulebase.loading import Rulebase
from assistant.rulebase.model import Row, StaticFigure, Table
from assistant.units import CM_PER_IN, KG_PER_LB

FOLDER = Path(__file__).parent / "published"
CELLS = ("value", "low", "high")


def _read(name: str) -> Any:
    return yaml.safe_load((FOLDER / f"{name}.yaml").read_text("utf-8"))


TABLES: list[dict[str, Any]] = _read("tables")
CHANGES: list[dict[str, Any]] = _read("changes")
FACTS: dict[str, dict[str, Any]] = _read("figures")
CODE: list[dict[str, Any]] = _read("code")
EXAMPLES: list[dict[str, Any]] = _read("worked_examples")
UNHELD: dict[str, Any] = _read("unheld")


# -- tables of the tests -------------------------------------------------------------------------------------------------


def _cells(told: Any) -> dict[str, float]:
    """A published cell: a value, [low, high], or the cells by name."""
    if isinstance(told, dict):
        return {key: float(value) for key, value in told.items()}
    if isinstance(told, list):
        return {"low": float(told[0]), "high": float(told[1])}
    return {"value": float(told)}


def _published_rows(rows: Any) -> Iterator[tuple[Callable[[Row], bool] | int, dict[str, float]]]:
    """(how to find the row, its published cells)."""
    if isinstance(rows, list):
        yield from ((number, _cells(each)) for number, each in enumerate(rows))
        return
    for who, told in rows.items():
        ages = told if isinstance(told, dict) and all("-" in str(key) for key in told) else {"": told}
        for age, cell in ages.items():
            low, _, high = str(age).partition("-")

            def fits(row: Row, who: str = who, low: str = low, high: str = high) -> bool:
                person = who in (row.condition, "" if row.condition else row.sex)
                return person and (not low or (row.age_min, row.age_max) == (float(low), float(high)))

            yield fits, _cells(cell)


def _found(table: Table, how: Callable[[Row], bool] | int) -> Row:
    if isinstance(how, int):
        return table.rows[how]
    rows = [row for row in table.rows if how(row)]
    assert len(rows) == 1, (table.id, rows)
    return rows[0]


def _cell(row: Row, name: str) -> float | None:
    if name in CELLS:
        value: float | None = getattr(row, name)
        return value
    return float(row.extra[name])


@pytest.mark.parametrize("told", TABLES, ids=[each["table"] for each in TABLES])
def test_a_table_holds_the_published_values(rulebase: Rulebase, told: dict[str, Any]) -> None:
    table = rulebase.knowledge.tables[told["table"]]
    assert table.source == told["source"]
    rows = list(_published_rows(told["rows"]))
    assert len(rows) == len(table.rows), "every row is published"
    for how, cells in rows:
        row = _found(table, how)
        assert {name: _cell(row, name) for name in cells} == pytest.approx(cells), (told["published"], row)


@pytest.mark.parametrize("told", CHANGES, ids=[each["table"] for each in CHANGES])
def test_a_smallest_real_change_is_the_published_one(rulebase: Rulebase, told: dict[str, Any]) -> None:
    table = rulebase.knowledge.tables[told["table"]]
    assert (table.change, table.change_source) == (told["change"], told["source"]), told["published"]


def test_every_table_and_change_is_held_or_listed(rulebase: Rulebase) -> None:
    tables = rulebase.knowledge.tables
    held = {each["table"] for each in TABLES}
    assert len(held) == len(TABLES)
    assert set(tables) - held == set(UNHELD["tables"])
    changes = {table.id for table in tables.values() if table.change is not None}
    assert changes - {each["table"] for each in CHANGES} == set(UNHELD["changes"])


# -- numbers of the advice -----------------------------------------------------------------------------------------------


def _numbers(figure: StaticFigure) -> list[float]:
    return [each for each in (figure.value, figure.low, figure.high) if each is not None]


def _facts(figure: StaticFigure) -> list[list[float]]:
    """The published numbers for this source, quantity and unit, in the figure's unit; one list a fact."""
    facts = FACTS.get(figure.source, {"facts": []})["facts"]
    return [
        [float(each["is"]) * float(each.get("as", 1.0)) for each in fact["numbers"]]
        for fact in facts
        if fact["quantity"] == figure.quantity and str(fact["unit"]) == figure.unit
    ]


def _unheld(figure: StaticFigure) -> list[float]:
    """Numbers of the figure that no one fact prints; a setting inside a published range counts as held by it."""
    best = _numbers(figure)
    for printed in _facts(figure):

        def is_printed(number: float, printed: list[float] = printed) -> bool:
            return any(abs(number - each) <= 0.011 * max(1.0, abs(number)) for each in printed)

        inside = all(end is not None and is_printed(end) for end in (figure.low, figure.high))
        left = [n for n in _numbers(figure) if not is_printed(n) and not (inside and n == figure.value)]
        best = min(best, left, key=len)
    return best


def _cited(rulebase: Rulebase) -> Iterator[tuple[str, StaticFigure]]:
    """Figures that name a published source; what common practice or our own derivation gives is no published value."""
    for entry in rulebase.knowledge.entries.values():
        for figure in entry.figures:
            if figure.source != "common-practice" and not figure.source.startswith("project-"):
                yield entry.id, figure


def test_every_number_of_the_advice_is_held_or_listed(rulebase: Rulebase) -> None:
    found = {f"{entry} {figure.quantity}": left for entry, figure in _cited(rulebase) if (left := _unheld(figure))}
    listed = {name: [float(each) for each in numbers] for name, numbers in UNHELD["figures"].items()}
    assert found == listed


def test_no_published_fact_is_left_unused(rulebase: Rulebase) -> None:
    used = {(figure.source, figure.quantity) for _, figure in _cited(rulebase)}
    told = {(source, fact["quantity"]) for source, each in FACTS.items() for fact in each["facts"]}
    assert told <= used
    assert set(FACTS) <= set(rulebase.knowledge.sources)


def test_most_published_numbers_are_held(rulebase: Rulebase) -> None:
    """The share held must not fall: seven in ten of the advice, and nearly all cells of the tables."""
    numbers = [(len(_numbers(figure)), len(_unheld(figure))) for _, figure in _cited(rulebase)]
    assert 1 - sum(left for _, left in numbers) / sum(all_ for all_, _ in numbers) >= 0.7
    cells = {
        t.id: sum(getattr(r, c) is not None for r in t.rows for c in CELLS) for t in rulebase.knowledge.tables.values()
    }
    assert sum(cells[each["table"]] for each in TABLES) / sum(cells.values()) >= 0.97


# -- numbers of the code -------------------------------------------------------------------------------------------------

IN_CODE: dict[str, float] = {
    "thigh": geometry.THIGH, "shank": geometry.SHANK, "ankle": geometry.ANKLE, "hip": geometry.HIP,
    "shoulder": geometry.SHOULDER, "upper-arm": geometry.UPPER_ARM, "hand": poles.HAND, "wrist-height": poles.WRIST_HEIGHT,
    "forearm-and-grip": geometry.FOREARM, "pole-multiplier": poles.WALKING, "pole-multiplier-low": poles.WALKING_LOW,
    "pole-multiplier-high": poles.WALKING_HIGH, "cane-slope": (poles.cane(180) - poles.cane(160)) / 20,
    "cane-constant-cm": poles.cane(160) - 0.45 * 160, "riser-us-in": geometry.RISER_US / 2.54,
    "riser-uk-cm": geometry.RISER_UK, "two-by-four-thick-in": geometry.DRESSED[2], "two-by-four-wide-in": geometry.DRESSED[4],
    "two-by-eight-wide-in": geometry.DRESSED[8], "one-by-thick-in": geometry.DRESSED[1], "next-load-low": load.NEXT_LOW,
    "next-load-high": load.NEXT_HIGH, "power-low": load.POWER_LOW, "power-high": load.POWER_HIGH, "inch-cm": CM_PER_IN,
    "pound-kg": KG_PER_LB, "small-change-gait-speed": change.SMALL["gait-speed"], "small-change-sppb": change.SMALL["sppb"],
    "small-change-six-minute-walk": change.SMALL["six-minute-walk"], "moderate-reserve-low": heart.MODERATE[0],
    "moderate-reserve-high": heart.MODERATE[1],
}  # fmt: skip


@pytest.mark.parametrize("told", CODE, ids=[each["name"] for each in CODE])
def test_a_constant_is_the_published_one(told: dict[str, Any]) -> None:
    assert IN_CODE[told["name"]] == pytest.approx(told["is"], abs=3e-4), told["published"]


def test_every_constant_of_the_list_is_looked_up() -> None:
    assert set(IN_CODE) == {each["name"] for each in CODE}


def test_the_load_chart_is_the_printed_one() -> None:
    """NSCA training load chart; 11 and 15 repetitions from Haff & Triplett (2016), Essentials, 4th ed. (memory)."""
    printed = {1: 100, 2: 95, 3: 93, 4: 90, 5: 87, 6: 85, 7: 83, 8: 80, 9: 77, 10: 75, 12: 70}
    assert {reps: load.CHART[reps] for reps in printed} == printed
    assert {reps: share for reps, share in load.CHART.items() if reps not in printed} == {11: 73, 15: 65}


def _from_chart(weight: float, reps: float) -> float:
    return weight / load.percent_for(int(reps)) * 100


CALLS: dict[str, Callable[..., float]] = {
    "epley": load.epley, "brzycki": load.brzycki, "tanaka": load.tanaka, "fox": load.fox, "karvonen": load.karvonen,
    "stepping": load.stepping_oxygen, "walking": load.walking_oxygen, "load-from-chart": _from_chart,
    "eight-rep-max": lambda weight, reps: _from_chart(weight, reps) * load.percent_for(8) / 100,
    "reserve": load.reserve_from_effort, "cane": poles.cane, "walking-pole": lambda stature: poles.walking_pole(stature).length,
    "seat": geometry.seat, "lumber": geometry.lumber_stack, "step-up-knee": geometry.step_knee, "gait-points": norms.sppb_gait,
    "chair-points": norms.sppb_chairs, "sitting-rising": norms.sitting_rising, "ramp": geometry.slope,
}  # fmt: skip


@pytest.mark.parametrize("told", EXAMPLES, ids=[f"{each['call']}-{each['with']}" for each in EXAMPLES])
def test_a_worked_example(told: dict[str, Any]) -> None:
    assert CALLS[told["call"]](*told["with"]) == pytest.approx(told["gives"], abs=told["within"]), told["published"]
