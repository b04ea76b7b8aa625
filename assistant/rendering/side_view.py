"""A set-up seen from the side, to scale on a grid of characters: step, pad, ramp, a segment figure and its pole.

A character cell is taken as twice as high as wide. The scene is given in centimetres, x forward and y up from the floor.
"""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass, replace

from assistant.units import length

ROWS = 24
ROW_SIZES = (6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 15.0, 20.0)  # cm that one row may stand for
BESIDE = 30  # columns that the key needs to stand beside the drawing
RULE_CM = 20.0
Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    """A stretch between two points: a segment of the body or a pole."""

    start: Point
    end: Point


@dataclass(frozen=True)
class Block:
    """A solid on the floor from x `left` to x `right`, its top running from `height_left` to `height_right`."""

    name: str
    left: float
    right: float
    height_left: float
    height_right: float


@dataclass(frozen=True)
class Scene:
    """A side view: what is drawn, and in `facts` what it shows in words (lengths and angles included)."""

    title: str
    body: tuple[Line, ...]
    feet: tuple[Line, ...]
    joints: tuple[Point, ...]
    head: Point
    blocks: tuple[Block, ...] = ()
    poles: tuple[Line, ...] = ()
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Marks:
    upright: str
    rising: str
    falling: str
    levels: str  # a level stroke low, in the middle and high in its cell
    pole: str
    joint: str
    head: str
    fills: tuple[str, ...]
    tops: str  # a cell filled by nothing, an eighth, two eighths, ... all


_UNICODE = _Marks("│", "╱", "╲", "_─‾", "┃", "o", "O", ("▒", "░", "▚"), " ▁▂▃▄▅▆▇█")
_ASCII = _Marks("|", "/", "\\", "_-'", "!", "o", "O", ("#", "%", "+"), "  __..==#")


class _Grid:
    """Cells of `cell` cm width and twice that height, the floor below the last row."""

    def __init__(self, left: float, right: float, top: float, cell: float) -> None:
        self.left, self.cell = left, cell
        self.columns = max(1, math.ceil((right - left) / cell)) + 1
        self.rows = max(1, math.ceil(top / (2 * cell)))
        self.cells = [[" "] * self.columns for _ in range(self.rows)]

    def column(self, x: float) -> int:
        """The column of an x in cm."""
        return int((x - self.left) / self.cell)

    def row(self, y: float) -> int:
        """The row of a height in cm; the floor itself lies in the last row."""
        return self.rows - 1 - int(max(0.0, y) / (2 * self.cell))

    def mark(self, column: int, row: int, char: str) -> None:
        """One character, dropped when outside."""
        if 0 <= row < self.rows and 0 <= column < self.columns:
            self.cells[row][column] = char

    def put(self, point: Point, char: str) -> None:
        """One character at a point in cm."""
        self.mark(self.column(point[0]), self.row(point[1]), char)


def side_view(scene: Scene, width: int, unicode: bool = True) -> list[str]:
    """The scene with a floor, a scale and its key; the key beside the drawing where the width allows, else below."""
    marks = _UNICODE if unicode else _ASCII
    grid = _grid(scene, width)
    for number, block in enumerate(scene.blocks):
        _fill(grid, block, marks.fills[number % len(marks.fills)], marks.tops)
    for line in scene.body:
        _stroke(grid, line, marks)
    for foot in scene.feet:
        _sole(grid, foot, marks)
    for pole in scene.poles:
        _stroke(grid, pole, replace(marks, upright=marks.pole))
    for point in scene.joints:
        grid.put(point, marks.joint)
    grid.put(scene.head, marks.head)
    drawn = ["".join(row).rstrip() for row in grid.cells]
    while drawn and not drawn[0]:
        drawn.pop(0)
    drawn += ["=" * grid.columns, _scale(grid.cell)]
    return [scene.title, *_with_key(drawn, _key(scene, marks), grid.columns, width)]


def _grid(scene: Scene, width: int) -> _Grid:
    points = [scene.head, *(p for line in (*scene.body, *scene.feet, *scene.poles) for p in (line.start, line.end))]
    edges = [x for block in scene.blocks for x in (block.left, block.right)]
    left, right = min([x for x, _ in points] + edges) - 10, max([x for x, _ in points] + edges) + 10
    top = max(y for _, y in points) + 4
    for size in ROW_SIZES:
        if top / size <= ROWS and (right - left) / (size / 2) < width - 1:
            break
    return _Grid(left, right, top, size / 2)


def _stroke(grid: _Grid, line: Line, marks: _Marks) -> None:
    """A straight line, one character a row when it is steep, one a column when it is not."""
    across = (line.end[0] - line.start[0]) / grid.cell
    up = (line.end[1] - line.start[1]) / (2 * grid.cell)
    slant = marks.rising if across * up > 0 else marks.falling
    count = max(1, math.ceil(max(abs(across), abs(up))))
    steep = abs(up) >= abs(across) * 0.7
    before = None
    for number in range(count + 1):
        share = number / count
        x = line.start[0] + (line.end[0] - line.start[0]) * share
        y = line.start[1] + (line.end[1] - line.start[1]) * share
        place = grid.column(x), grid.row(y)
        if steep:
            char = marks.upright if before is None or before[0] == place[0] else slant
        else:
            char = marks.levels[min(2, int(y / (2 * grid.cell) % 1 * 3))]
        grid.mark(*place, char)
        before = place


def _sole(grid: _Grid, foot: Line, marks: _Marks) -> None:
    """A foot flat on its surface: on top of a block it stands in the first free row."""
    for column in range(grid.column(foot.start[0]), grid.column(foot.end[0]) + 1):
        row = grid.row(foot.start[1])
        while row > 0 and grid.cells[row][column] in {*marks.fills, *marks.tops} - {" "}:
            row -= 1
        grid.mark(column, row, marks.levels[0])


def _fill(grid: _Grid, block: Block, fill: str, tops: str) -> None:
    tall = 2 * grid.cell
    column = grid.column(block.left)
    last = max(column, grid.column(block.right) - 1)
    for place in range(column, last + 1):
        share = (place - column + 0.5) / (last - column + 1)
        height = block.height_left + (block.height_right - block.height_left) * share
        whole = int(height / tall)
        for row in range(whole):
            grid.mark(place, grid.rows - 1 - row, fill)
        eighths = round((height / tall - whole) * 8)
        if eighths:
            grid.mark(place, grid.rows - 1 - whole, tops[eighths])


def _scale(cell: float) -> str:
    columns = round(RULE_CM / cell)
    return f"|{'-' * max(1, columns - 2)}| {length(RULE_CM)}, same scale up and across"


def _key(scene: Scene, marks: _Marks) -> list[str]:
    named = [f"{marks.fills[n % len(marks.fills)]} {block.name}" for n, block in enumerate(scene.blocks)]
    pole = [f"{marks.pole} pole"] if scene.poles else []
    return [f"{marks.head} head, {marks.joint} joints", *pole, *named, "", *scene.facts]


def _with_key(drawn: list[str], key: list[str], columns: int, width: int) -> list[str]:
    beside = width - columns - 2 >= BESIDE
    room = width - columns - 2 if beside else width
    told = [piece for text in key for piece in (textwrap.wrap(text, room, subsequent_indent="  ") or [""])]
    if not beside:
        return [*drawn, "", *told]
    tall = max(len(drawn), len(told))
    left = [""] * (tall - len(drawn)) + drawn
    right = told + [""] * (tall - len(told))
    return [f"{a.ljust(columns)}  {b}".rstrip() for a, b in zip(left, right, strict=True)]


def side_view_words(scene: Scene) -> str:
    """The scene in sentences: what stands where, with every length and angle of the drawing."""
    kit = ", ".join(block.name for block in scene.blocks)
    parts = [f"{scene.title}{f', with {kit}' if kit else ''}", *scene.facts]
    return " ".join(f"{part.rstrip('.')}." for part in parts)
