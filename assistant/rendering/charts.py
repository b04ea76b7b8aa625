"""Two small charts: help against depth, and a client's results over time with the target. Words beside each."""

from __future__ import annotations

import itertools
import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.units import plain

HELP_ROWS, HISTORY_ROWS = 8, 7
WIDEST_PLOT = 60
MARKS = "ox+*"


@dataclass(frozen=True)
class HelpLine:
    """One kind of help: its name and (depth in cm, percent of body weight) points by growing depth."""

    name: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class HelpChart:
    """Share of body weight taken by each kind of help, from standing (0 cm) to the deepest point."""

    title: str
    lines: tuple[HelpLine, ...]


@dataclass(frozen=True)
class History:
    """A client's results in time order as (day, value), with the target; `better` is "higher", "lower" or "" (not known)."""

    title: str
    unit: str
    points: tuple[tuple[str, float], ...]
    target: float | None = None
    better: str = "higher"


class _Plot:
    """A grid for x from `left` to `right` and y from `low` to `high`, with the y numbers in front."""

    def __init__(self, width: int, rows: int, x: tuple[float, float], y: tuple[float, float]) -> None:
        self.x, self.y, self.rows = x, y, rows
        self.front = max(len(plain(value)) for value in y) + 2
        self.columns = max(10, min(width, WIDEST_PLOT + self.front) - self.front - 1)
        self.cells = [[" "] * self.columns for _ in range(rows)]

    def place(self, x: float, y: float) -> tuple[int, int]:
        """Column and row of a point."""
        across = (x - self.x[0]) / ((self.x[1] - self.x[0]) or 1.0)
        up = (y - self.y[0]) / ((self.y[1] - self.y[0]) or 1.0)
        return round(across * (self.columns - 1)), self.rows - 1 - round(up * (self.rows - 1))

    def put(self, x: float, y: float, char: str) -> None:
        """One character; where two lines meet stands a `=`."""
        column, row = self.place(x, y)
        if 0 <= row < self.rows and 0 <= column < self.columns:
            taken = self.cells[row][column]
            self.cells[row][column] = "=" if char in MARKS and taken in MARKS and taken != char else char

    def lines(self, unicode: bool) -> list[str]:
        """The rows with the axis; the highest and lowest y number beside theirs."""
        upright, corner, level = ("│", "└", "─") if unicode else ("|", "+", "-")
        numbers = {0: plain(self.y[1]), self.rows - 1: plain(self.y[0])}
        drawn = [
            f"{numbers.get(n, '').rjust(self.front - 1)} {upright}{''.join(row)}".rstrip()
            for n, row in enumerate(self.cells)
        ]
        return [*drawn, f"{' ' * self.front}{corner}{level * self.columns}"]

    def under(self, left: str, right: str) -> str:
        """A line under the axis with a word at each end."""
        return f"{' ' * (self.front + 1)}{left}{right.rjust(self.columns - len(left))}".rstrip()


def help_chart(chart: HelpChart, width: int, unicode: bool = True) -> list[str]:
    """Help in percent of body weight against depth, a mark of its own for each line and a key."""
    deepest = max((x for line in chart.lines for x, _ in line.points), default=1.0)
    most = max((y for line in chart.lines for _, y in line.points), default=1.0)
    plot = _Plot(width, HELP_ROWS, (0.0, deepest), (0.0, max(5.0, math.ceil(most / 5) * 5)))
    for number, line in enumerate(chart.lines):
        for column in range(plot.columns):
            depth = deepest * column / (plot.columns - 1)
            if line.points[0][0] - 1e-9 <= depth <= line.points[-1][0] + 1e-9:
                plot.put(depth, _between(line.points, depth), MARKS[number % len(MARKS)])
    key = [f"{MARKS[number % len(MARKS)]} {line.name}" for number, line in enumerate(chart.lines)]
    joined = f"percent of body weight; {', '.join(key)}{', = both' if len(key) > 1 else ''}"
    foot = plot.under("standing", f"{plain(deepest)} cm down")
    return [*textwrap.wrap(chart.title, width), *plot.lines(unicode), foot, *textwrap.wrap(joined, width)]


def _between(points: Sequence[tuple[float, float]], x: float) -> float:
    for (x1, y1), (x2, y2) in itertools.pairwise(points):
        if x <= x2:
            return y1 + (y2 - y1) * (x - x1) / ((x2 - x1) or 1.0)
    return points[-1][1]


def help_words(chart: HelpChart) -> str:
    """The chart in sentences: help standing and at the bottom, and where it begins."""
    parts = [f"{chart.title}."]
    for line in chart.lines:
        name = line.name[:1].upper() + line.name[1:]
        (_, first), (deep, last) = line.points[0], line.points[-1]
        if abs(first - last) < 0.05:
            parts.append(f"{name}: an even {plain(last)}% of body weight at every depth.")
            continue
        begins = next((x for (x, y), (_, later) in itertools.pairwise(line.points) if later > y), 0.0)
        since = f", nothing above {plain(begins)} cm" if begins > 0 and first == 0 else ""
        parts.append(f"{name}: from {plain(first)}% standing to {plain(last)}% at {plain(deep)} cm down{since}.")
    return " ".join(parts)


def history_line(history: History, width: int, unicode: bool = True) -> list[str]:
    """Results as marks from left to right, the target as a dashed line with its word."""
    values = [value for _, value in history.points]
    words = textwrap.wrap(history_words(history), width)
    span = sorted({*values, *([history.target] if history.target is not None else [])})
    if not values or len(span) < 2:  # nothing rises or falls: the sentence says it all
        return words
    plot = _Plot(width, HISTORY_ROWS, (0.0, max(1.0, len(values) - 1.0)), (span[0], span[-1]))
    if history.target is not None:
        _, row = plot.place(0.0, history.target)
        label = f" target {plain(history.target)}"
        dashes = ("- " * plot.columns)[: plot.columns - len(label)]
        plot.cells[row] = list(dashes + label)
    for number, value in enumerate(values):
        _result(plot, number, value, len(values))
    first, last = history.points[0], history.points[-1]
    foot = plot.under(first[0], last[0] if len(values) > 1 else "")
    return [*plot.lines(unicode), foot, *words]


def _result(plot: _Plot, number: int, value: float, results: int) -> None:
    """A mark with its value beside it where there is room: right of it, at the right edge left of it."""
    plot.put(float(number), value, "o")
    text = plain(value)
    if plot.columns // results < len(text) + 3:
        return
    column, row = plot.place(float(number), value)
    start = column + 2 if column + 2 + len(text) <= plot.columns else column - 1 - len(text)
    plot.cells[row][start : start + len(text)] = list(text)


def history_words(history: History) -> str:
    """The history in one sentence: first, last, the change, and what is left to the target."""
    unit = f" {history.unit}" if history.unit else ""
    if not history.points:
        return f"{history.title}: no results yet."
    (first_day, first), (last_day, last) = history.points[0], history.points[-1]
    if len(history.points) == 1:
        told = f"{history.title}: {plain(last)}{unit} on {last_day}"
    else:
        told = (
            f"{history.title}: {plain(first)}{unit} on {first_day} to {plain(last)}{unit} on {last_day}, "
            f"{len(history.points)} results, {_change(last - first, history.better)}"
        )
    if history.target is None:
        return f"{told}."
    if not history.better:
        return f"{told}; target {plain(history.target)}{unit}."
    left = history.target - last if history.better == "higher" else last - history.target
    reached = "reached" if left <= 0 else f"{plain(left)} to go"
    return f"{told}; target {plain(history.target)}{unit}, {reached}."


def _change(change: float, better: str) -> str:
    if abs(change) < 0.05:
        return "no change"
    way = f"{plain(abs(change))} {'up' if change > 0 else 'down'}"
    good = (change > 0) == (better == "higher")
    return f"{way} ({'better' if good else 'worse'})" if better else way
