"""A movement's ladder as a drawing: rails and rungs, feet on the present rung, broken rungs where it is closed.

Drawn from plain dataclasses with the width handed in. Every mark comes with its word, so that the ASCII twin and the
sentences of `ladder_words` tell the same.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

HERE, START, GOAL, CLOSED, NO_KIT = "here", "start", "goal", "closed", "no kit"
NARROWEST_RAIL = 24
GAP = 2
_RUNG = 6  # columns that a rung takes before its name


@dataclass(frozen=True)
class Rung:
    """A level: its name and its marks (HERE, START, GOAL, CLOSED, NO_KIT)."""

    name: str
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rail:
    """An axis with its rungs, easiest first."""

    name: str
    rungs: tuple[Rung, ...]


@dataclass(frozen=True)
class LadderView:
    """One movement's ladder: its title, its rails and the doors to neighbouring movements, harder and easier."""

    title: str
    rails: tuple[Rail, ...]
    doors_up: tuple[str, ...] = ()
    doors_down: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Strokes:
    plain: str
    here: str
    broken: str
    goal: str
    rail: str


_UNICODE = _Strokes("├───┤", "├●─●┤", "├╴ ╶┤", "├═══┤", "│   │")
_ASCII = _Strokes("|---|", "|o-o|", "|- -|", "|===|", "|   |")


def ladder(view: LadderView, width: int, unicode: bool = True) -> list[str]:
    """The ladder, hardest rung on top between its doors; rails side by side where the width allows, else stacked."""
    strokes = _UNICODE if unicode else _ASCII
    lines = _doors("ON TO", view.doors_up, width)
    groups = _groups(view.rails, width)
    most = max((len(group) for group in groups), default=1)
    share = (width - GAP * (most - 1)) // most
    for group in groups:
        if lines:
            lines.append("")
        lines += _beside([_rail(rail, share, strokes) for rail in group], share)
    down = _doors("BACK TO", view.doors_down, width)
    return [*lines, "", *down] if down else lines


def _doors(label: str, doors: Sequence[str], width: int) -> list[str]:
    indent = " " * (len(label) + 1)
    return [line for door in doors for line in textwrap.wrap(f"{label} {door}", width, subsequent_indent=indent)]


def _groups(rails: Sequence[Rail], width: int) -> list[Sequence[Rail]]:
    """Rails a row: as many as fit, spread evenly over the rows."""
    fitting = max(1, (width + GAP) // (NARROWEST_RAIL + GAP))
    rows = -(-len(rails) // fitting) if rails else 0
    each = -(-len(rails) // rows) if rows else 0
    return [rails[at : at + each] for at in range(0, len(rails), each)] if each else []


def _rail(rail: Rail, width: int, strokes: _Strokes) -> list[str]:
    lines = [rail.name.upper(), "harder"]
    for rung in reversed(rail.rungs):
        stroke = _stroke(rung, strokes)
        pieces = textwrap.wrap(_named(rung), max(8, width - _RUNG), break_on_hyphens=False) or [""]
        lines += [f"{stroke if number == 0 else strokes.rail} {piece}" for number, piece in enumerate(pieces)]
    return [*lines, "easier"]


def _stroke(rung: Rung, strokes: _Strokes) -> str:
    if HERE in rung.marks:
        return strokes.here
    if CLOSED in rung.marks or NO_KIT in rung.marks:
        return strokes.broken
    return strokes.goal if GOAL in rung.marks else strokes.plain


def _named(rung: Rung) -> str:
    return " ".join([*(mark.upper() for mark in rung.marks), rung.name])


def _beside(columns: Sequence[list[str]], width: int) -> list[str]:
    """Columns side by side: headings level at the top, feet level on the floor."""
    tall = max(len(column) for column in columns)
    filled = [[*column[:1], *[""] * (tall - len(column)), *column[1:]] for column in columns]
    gap = " " * GAP
    return [gap.join(cell.ljust(width) for cell in row).rstrip() for row in zip(*filled, strict=True)]


def ladder_words(view: LadderView) -> list[str]:
    """The same ladder in sentences, one an axis, for plain mode, pipes and screen readers."""
    lines = [f"{view.title}, each axis from its easiest rung to its hardest."]
    for rail in view.rails:
        told = [f"{number} {_told(rung)}" for number, rung in enumerate(rail.rungs, 1)]
        lines.append(f"{rail.name.capitalize()}: {'; '.join(told)}.")
    lines += [f"On to: {door}" for door in view.doors_up]
    return lines + [f"Back to: {door}" for door in view.doors_down]


def _told(rung: Rung) -> str:
    return f"{rung.name} ({', '.join(rung.marks)})" if rung.marks else rung.name
