"""Numbered areas: where a value has strayed."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QColor, QPainter

from app import look
from app.wall import marks
from app.wall.mapping import Mapping
from app.wall.sight import Placed
from app.wall.trace import Trace, closed_trace


@dataclass(frozen=True, eq=False)
class NumberedArea:
    """``outlines``: polygons ``(N, 2)`` mm; a polygon within another is a hole. ``label_at``: mm, else found within."""

    number: str
    outlines: tuple[NDArray[np.float64], ...]
    colour: QColor | None = None
    label_at: tuple[float, float] | None = None


@dataclass(frozen=True, eq=False)
class NumberedAreas:
    """Outlines with their number; the ``chosen`` one is drawn heavier and its number light on dark."""

    areas: tuple[NumberedArea, ...]
    chosen: str | None = None

    def paint(self, painter: QPainter, placed: Placed) -> None:
        for area in self.areas:
            width = look.px(4.0 if area.number == self.chosen else 2.0)
            marks.stroke_trace(painter, _outline(area, placed.mapping), placed, width, area.colour or look.INK)
        for area in self.areas:
            at = placed.point(*(area.label_at or point_within(area.outlines)))
            marks.badge(painter, at, area.number, dark=area.number == self.chosen)


@lru_cache(maxsize=256)
def _outline(area: NumberedArea, mapping: Mapping) -> Trace:
    return closed_trace(area.outlines, mapping)


def point_within(outlines: Sequence[NDArray[np.float64]]) -> tuple[float, float]:
    """A point well inside polygons ``(N, 2)``, and in none of their holes: the middle of the widest span at the height
    of the first one's centre."""
    y = float(outlines[0][:, 1].mean())
    starts = np.concatenate(outlines)
    ends = np.concatenate([np.roll(outline, -1, axis=0) for outline in outlines])
    crossing = (starts[:, 1] <= y) != (ends[:, 1] <= y)
    if not crossing.any():
        return float(outlines[0][:, 0].mean()), y
    a, b = starts[crossing], ends[crossing]
    x = np.sort(a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
    spans = x[1::2] - x[0::2]
    widest = int(np.argmax(spans))
    return float(x[2 * widest] + spans[widest] / 2), y
