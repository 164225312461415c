"""How the transfer sheets of a painting are wanted: plain values, kept with the painting."""

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from typing import Any

from core.drawing.drawing import Drawing
from core.drawing.sheet_request import LINE_WEIGHT_MM, MARGIN_MM, OVERLAP_MM, SheetRequest
from core.drawing.squaring import Squaring
from core.errors import PainterError
from core.size import PAPERS, Size

SETTING = "transfer sheets"
MOST_COUNT = 24
DPI = 300.0


class Grid(StrEnum):
    """Which squaring grid is printed."""

    NONE = "none"
    PROPORTION = "proportion"  # the one laid over the pictures
    OWN = "own"


@dataclass(frozen=True)
class Choice:
    """``without``: layers that are not printed. ``columns``, ``rows``, ``thirds``, ``diagonals``: of a grid of its own.
    ``dpi``: of a picture."""

    paper: Size = PAPERS["A4"]
    overlap_mm: float = OVERLAP_MM
    margin_mm: float = MARGIN_MM
    weight_mm: float = LINE_WEIGHT_MM
    whole_canvas: bool = False
    mirrored: bool = False
    film: bool = False
    dots: bool = False
    grid: Grid = Grid.NONE
    columns: int = 4
    rows: int = 4
    thirds: bool = False
    diagonals: bool = False
    without: tuple[str, ...] = ()
    dpi: float = DPI

    def request(self, drawing: Drawing, proportion: Squaring) -> SheetRequest:
        """What core is asked for; ``proportion``: the grid laid over the pictures."""
        there = dict.fromkeys(line.layer for line in drawing.lines)
        left = tuple(layer for layer in there if layer not in self.without)
        return SheetRequest(
            drawing,
            paper=self.paper,
            margin_mm=self.margin_mm,
            overlap_mm=self.overlap_mm,
            line_weight_mm=self.weight_mm,
            layers=None if len(left) == len(there) else left,
            mirrored=self.mirrored,
            film=self.film,
            dots=self.dots,
            squaring=self._squaring(proportion),
            whole_canvas=self.whole_canvas,
        )

    def to_json(self) -> dict[str, Any]:
        data = {each.name: getattr(self, each.name) for each in fields(self)}
        paper = [self.paper.width_mm, self.paper.height_mm]
        return data | {"paper": paper, "grid": str(self.grid), "without": list(self.without)}

    @classmethod
    def from_json(cls, data: Any) -> "Choice":
        """What was kept; each part that cannot be read is as it is at first."""
        chosen = cls()
        for name, read in _READ.items():
            try:
                chosen = replace(chosen, **{name: read(data[name])})
            except (KeyError, TypeError, ValueError, PainterError):
                continue
        return chosen

    def _squaring(self, proportion: Squaring) -> Squaring | None:
        if self.grid is Grid.PROPORTION:
            return proportion
        if self.grid is Grid.OWN:
            return Squaring(columns=self.columns, rows=self.rows, thirds=self.thirds, diagonals=self.diagonals)
        return None


def _length(value: Any) -> float:
    if isinstance(value, bool) or not (math.isfinite(value) and 0.0 <= value <= 10_000.0):
        raise ValueError("not a length")
    return float(value)


def _yes_or_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise TypeError("neither yes nor no")
    return value


def _count(value: Any) -> int:
    return min(max(int(value), 1), MOST_COUNT)


def _paper(value: Any) -> Size:
    width, height = value
    return Size(_length(width), _length(height))


def _names(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise TypeError("not a list of names")
    return tuple(str(name) for name in value)


_READ: dict[str, Callable[[Any], Any]] = (
    dict.fromkeys(("overlap_mm", "margin_mm", "weight_mm", "dpi"), _length)
    | dict.fromkeys(("whole_canvas", "mirrored", "film", "dots", "thirds", "diagonals"), _yes_or_no)
    | dict.fromkeys(("columns", "rows"), _count)
    | {"paper": _paper, "grid": Grid, "without": _names}
)
