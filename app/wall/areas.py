"""Numbered areas: where a value has strayed."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath

from app import look
from app.wall import marks
from app.wall.acetate import divided
from app.wall.sight import Placed

_LONGEST_CHORD_MM = 5.0


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
            path = self._path(area, placed)
            if path.boundingRect().intersects(placed.viewport):
                marks.stroke(
                    painter, path, look.px(4.0 if area.number == self.chosen else 2.0), area.colour or look.INK
                )
        for area in self.areas:
            at = placed.point(*(area.label_at or point_within(area.outlines)))
            marks.badge(painter, at, area.number, dark=area.number == self.chosen)

    @staticmethod
    def _path(area: NumberedArea, placed: Placed) -> QPainterPath:
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.OddEvenFill)
        for outline in area.outlines:
            closed = np.concatenate([outline, outline[:1]])
            corners = outline if placed.mapping.is_flat else divided(closed, _LONGEST_CHORD_MM)
            path.addPolygon(placed.polygon(corners))
            path.closeSubpath()
        return path


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
