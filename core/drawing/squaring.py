"""Squaring up: the grid by which a picture is carried from one surface to another, as lines on the canvas in mm.

Cells are counted from the top left: columns by letters, rows by numbers (common practice, no source).
"""

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.errors import DrawingError
from core.size import Size

MOST_CELLS = 100
"""Along a side: more cannot be told apart on a canvas, nor counted."""

_SAME_MM = 1e-6
_SAME_SLOPE = 1e-9

Line = tuple[float, float, float, float]
"""From x, y to x, y, mm."""


class Kind(StrEnum):
    """What a line of the grid is. Where several fall together, the first of these stands for them all."""

    BORDER = "border"
    HALF = "half"
    THIRD = "third"
    CELL = "cell"
    DIAGONAL = "diagonal"
    CELL_DIAGONAL = "cell diagonal"


@dataclass(frozen=True)
class Squaring:
    """What is wanted: ``columns`` × ``rows`` cells, or square cells of ``cell_mm`` where that is given.

    Square cells are laid from the top left; what is left over is a narrower column at the right and a lower row at the
    bottom. 0 columns or rows: no cells that way. ``halves`` and ``thirds`` divide the whole canvas both ways;
    ``diagonals`` run from corner to corner of the canvas, ``cell_diagonals`` of each cell.
    """

    columns: int = 4
    rows: int = 4
    cell_mm: float | None = None
    halves: bool = False
    thirds: bool = False
    diagonals: bool = False
    cell_diagonals: bool = False

    def held_to(self, size: Size) -> "Squaring":
        """The same with no more cells than a grid over this canvas may have."""
        cell_mm = self.cell_mm
        if cell_mm is not None:
            cell_mm = max(cell_mm, max(size.width_mm, size.height_mm) / MOST_CELLS)
        columns, rows = (min(max(count, 0), MOST_CELLS) for count in (self.columns, self.rows))
        return replace(self, columns=columns, rows=rows, cell_mm=cell_mm)


@dataclass(frozen=True)
class EdgeLabel:
    """The name of a column, to stand at the middle of it at the top edge, or of a row, at the left edge; mm."""

    text: str
    x_mm: float
    y_mm: float
    names_column: bool


@dataclass(frozen=True, eq=False)
class Grid:
    """``segments``: ``(n, 4)`` float64 read-only, x, y to x, y in mm; ``kinds``: what each is.

    ``cell_mm``: width and height of a whole cell; None without cells. ``left_over_mm``: width of the last column and
    height of the last row where square cells do not come out even, else 0.
    """

    size: Size
    segments: NDArray[np.float64]
    kinds: tuple[Kind, ...]
    labels: tuple[EdgeLabel, ...]
    cell_mm: tuple[float, float] | None
    left_over_mm: tuple[float, float]

    def of(self, *kinds: Kind) -> NDArray[np.float64]:
        """The segments ``(n, 4)`` of some kinds."""
        return self.segments[[kind in kinds for kind in self.kinds]]


def squaring_grid(size: Size, wanted: Squaring) -> Grid:
    """The lines of a grid over a canvas. Raises DrawingError when the cells would be too many to be of use."""
    columns = _cuts(size.width_mm, wanted.columns, wanted.cell_mm)
    rows = _cuts(size.height_mm, wanted.rows, wanted.cell_mm)
    upright = _strongest(size.width_mm, columns, wanted)
    level = _strongest(size.height_mm, rows, wanted)
    w, h = size.width_mm, size.height_mm
    lines = [((x, 0.0, x, h), kind) for x, kind in upright] + [((0.0, y, w, y), kind) for y, kind in level]
    whole = [(0.0, 0.0, w, h), (0.0, h, w, 0.0)] if wanted.diagonals else []
    lines += [(line, Kind.DIAGONAL) for line in whole]
    if wanted.cell_diagonals:
        slanting = _cell_diagonals(columns, rows)
        lines += [(line, Kind.CELL_DIAGONAL) for line in slanting if not any(_same(line, other) for other in whole)]
    segments = np.array([line for line, _ in lines], dtype=np.float64).reshape(-1, 4)
    segments.setflags(write=False)
    has_cells = len(columns) > 2 or len(rows) > 2
    return Grid(
        size=size,
        segments=segments,
        kinds=tuple(kind for _, kind in lines),
        labels=_labels(columns, rows) if has_cells else (),
        cell_mm=(columns[1], rows[1]) if has_cells else None,
        left_over_mm=(_left_over(columns), _left_over(rows)),
    )


def column_name(index: int) -> str:
    """A, B, … Z, AA, AB and so on, of a column counted from 0."""
    if index < 0:
        raise ValueError("columns are counted from 0")
    name = ""
    index += 1
    while index:
        index, letter = divmod(index - 1, 26)
        name = chr(ord("A") + letter) + name
    return name


def _cuts(side_mm: float, count: int, cell_mm: float | None) -> list[float]:
    """Where cells begin and end along a side, from 0 to its length."""
    if cell_mm is not None and not (math.isfinite(cell_mm) and cell_mm > 0.0):
        raise DrawingError("The cells of a grid need a size of more than 0 mm.")
    if count < 0 or (side_mm / cell_mm if cell_mm is not None else count) > MOST_CELLS + _SAME_MM:
        raise DrawingError(f"A grid has at most {MOST_CELLS} cells along a side: take larger cells.")
    if cell_mm is None:
        return [*(side_mm * i / max(count, 1) for i in range(max(count, 1))), side_mm]
    whole = math.floor(side_mm / cell_mm + _SAME_MM)
    cuts = [cell_mm * i for i in range(whole + 1)]
    if side_mm - cuts[-1] > _SAME_MM:
        return [*cuts, side_mm]
    return [*cuts[:-1], side_mm]


def _strongest(side_mm: float, cuts: list[float], wanted: Squaring) -> list[tuple[float, Kind]]:
    """Every place that is cut along a side, once, as the first kind that falls on it."""
    found = [(0.0, Kind.BORDER), (side_mm, Kind.BORDER)]
    halves = [(side_mm / 2, Kind.HALF)] if wanted.halves else []
    thirds = [(side_mm / 3, Kind.THIRD), (side_mm * 2 / 3, Kind.THIRD)] if wanted.thirds else []
    for at, kind in [*halves, *thirds, *((cut, Kind.CELL) for cut in cuts)]:
        if all(abs(at - other) > _SAME_MM for other, _ in found):
            found.append((at, kind))
    return sorted(found)


def _same(one: Line, other: Line) -> bool:
    return all(abs(a - b) <= _SAME_MM for a, b in zip(one, other, strict=True))


def _cell_diagonals(columns: list[float], rows: list[float]) -> list[Line]:
    height = rows[-1]
    rising = _falling(columns, [height - y for y in reversed(rows)])
    return [*_falling(columns, rows), *((x, height - y, u, height - v) for x, y, u, v in rising)]


def _falling(columns: list[float], rows: list[float]) -> list[Line]:
    """The diagonals of all cells from top left to bottom right; those that go on in the next cell are one line."""
    across, down = len(columns) - 1, len(rows) - 1
    found: list[Line] = []
    for i, j in [*((i, 0) for i in range(across)), *((0, j) for j in range(1, down))]:
        begun, steep = (columns[i], rows[j]), 0.0
        for k in range(min(across - i, down - j)):
            left, top = columns[i + k], rows[j + k]
            right, bottom = columns[i + k + 1], rows[j + k + 1]
            here = (bottom - top) / (right - left)
            if k and abs(here - steep) > _SAME_SLOPE:
                found.append((*begun, left, top))
                begun = (left, top)
            steep = here
            if k == min(across - i, down - j) - 1:
                found.append((*begun, right, bottom))
    return found


def _labels(columns: list[float], rows: list[float]) -> tuple[EdgeLabel, ...]:
    across = [
        EdgeLabel(column_name(i), (a + b) / 2, 0.0, names_column=True) for i, (a, b) in enumerate(pairwise(columns))
    ]
    down = [EdgeLabel(str(i), 0.0, (a + b) / 2, names_column=False) for i, (a, b) in enumerate(pairwise(rows), start=1)]
    return tuple(across + down)


def _left_over(cuts: list[float]) -> float:
    last, usual = cuts[-1] - cuts[-2], cuts[1] - cuts[0]
    return last if usual - last > _SAME_MM else 0.0
