"""The published line a client is on the way to, for drawing a history against it."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.figures import norms
from assistant.figures.screening import is_banded
from assistant.rulebase.model import Knowledge, Table

_NOT_A_GOAL = ("odds", "eyes-closed", "best", "fnih", "sdoc")


def target(
    knowledge: Knowledge, screen: str, age: float | None, sex: str, conditions: Sequence[str], value: float, unit: str
) -> float | None:
    """The nearest line of the screen, for this client and in `unit`, that `value` has not reached; when all are reached
    the furthest of them; None when no line is published for this client."""
    lines = [
        (line, table.better)
        for table in norms.tables_of(knowledge, screen)
        if table.unit == unit and _is_goal(table)
        for line in [_line(table, age, sex, conditions)]
        if line is not None
    ]
    if not lines:
        return None
    higher = lines[0][1] == "higher"
    ahead = [line for line, _ in lines if (line > value if higher else line < value)]
    reached = [line for line, _ in lines]
    if ahead:
        return min(ahead) if higher else max(ahead)
    return max(reached) if higher else min(reached)


def _is_goal(table: Table) -> bool:
    return not is_banded(table) and not any(word in table.quantity for word in _NOT_A_GOAL)


def _line(table: Table, age: float | None, sex: str, conditions: Sequence[str]) -> float | None:
    found = norms.row_for(table, age, sex, conditions)
    if found is None:
        return None
    low, high = found.row.low, found.row.high
    if low is not None and high is not None:
        return low if table.better == "higher" else high
    return found.row.value
