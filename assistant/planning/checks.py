"""Checks of a start rule: true, false, or None where the result is not known."""

from __future__ import annotations

from collections.abc import Iterable

from assistant.figures import norms
from assistant.planning.person import Person
from assistant.rulebase.model import Knowledge, Row, Table
from assistant.rulebase.session_model import Case, Check

SEXES = ("female", "male")
_ON_THE_LINE = ("or longer", "or more", "or slower", "or lower", "or larger")


def holds(check: Check, person: Person, knowledge: Knowledge) -> bool | None:
    """Whether the check holds for this client."""
    if check.trained:
        return _trained(check, person, knowledge)
    result = person.results.get(check.screen)
    if result is None:
        return None
    if check.least is not None:
        return result >= check.least
    if check.under is not None:
        return result < check.under
    met = clears(knowledge.tables[check.line], person, result)
    return None if met is None else met == check.met


def _trained(check: Check, person: Person, knowledge: Knowledge) -> bool:
    noted = person.rungs.get(check.trained)
    ladder = knowledge.subjects[check.trained].ladder
    if noted is None or ladder is None:
        return False
    axes = {axis.id: axis for axis in ladder.axes}
    return all(axes[name].index(noted.get(name, "")) >= axes[name].index(level) for name, level in check.at)


def clears(table: Table, person: Person, result: float) -> bool | None:
    """Whether a result is on the good side of the table's line. With age or sex unknown every row that may be the
    client's must agree, else None."""
    rows = [row for row in _rows(table, person) if row.value is not None]
    verdicts = {_good(table, row.value or 0.0, result) for row in rows}
    return verdicts.pop() if len(verdicts) == 1 else None


def _rows(table: Table, person: Person) -> Iterable[Row]:
    sexes = (person.sex,) if person.sex else SEXES
    if person.age is None:
        return [row for row in table.rows if (row.sex in sexes or row.sex in ("", "any")) and not row.condition]
    found = (norms.nearest_row(table, person.age, sex, person.has) for sex in sexes)
    return [reading.row for reading in found if reading]


def _good(table: Table, line: float, result: float) -> bool:
    if result == line:
        return not any(words in table.meaning for words in _ON_THE_LINE)
    return (result > line) == (table.better == "higher")


def applies(case: Case, person: Person, knowledge: Knowledge) -> bool:
    """Whether a case is known to apply."""
    if case.every:
        return all(holds(check, person, knowledge) for check in case.every)
    return any(holds(check, person, knowledge) for check in case.some)
