"""A brush over the wall: the stroke that is being made, and how it looks until it is kept."""

import math

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from app import look
from app.stepping import MOST_STROKES
from app.wall import marks
from app.wall.sight import Placed

Point = tuple[float, float]

MANY = f"{MOST_STROKES} strokes lie over the picture already: clear them, or take some back, first."
_SPACING_SHARE = 1 / 6
"""Of the brush's width: nearer points of a stroke tell nothing."""
_LEAST_SPACING_MM = 0.2
_BAND_ALPHA = 110


class Brush:
    """``points``: of the stroke so far, mm, to a tenth; empty while there is none."""

    def __init__(self) -> None:
        self.points: list[Point] = []

    def take(self, at: Point) -> None:
        self.points = [_rounded(at)]

    def move(self, at: Point, width_mm: float) -> None:
        if self.points and math.dist(self.points[-1], at) >= max(_LEAST_SPACING_MM, _SPACING_SHARE * width_mm):
            self.points.append(_rounded(at))

    def drop(self, at: Point, *, moved: bool) -> tuple[Point, ...]:
        """The whole stroke; there is none any more."""
        points, end = self.points, _rounded(at)
        self.points = []
        return (*points, end) if points and moved and end != points[-1] else tuple(points)

    def cancel(self) -> None:
        self.points = []

    def paint(self, painter: QPainter, placed: Placed, width_mm: float, pointer: Point | None) -> None:
        """The stroke so far, as wide as it reaches, and the tip of the brush."""
        if self.points:
            points = placed.points(np.array(self.points))
            band = QColor(look.INK)
            band.setAlpha(_BAND_ALPHA)
            painter.setPen(marks.pen(band, placed.screen_px(width_mm, *self.points[0])))
            shape = QPolygonF([QPointF(x, y) for x, y in points.tolist()])
            if len(points) > 1:
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawPolyline(shape)
            else:
                painter.drawPoints(shape)
        if pointer is not None:
            radius = placed.screen_px(width_mm / 2, *pointer)
            marks.ring(painter, placed.point(*pointer), max(radius, 2.0), look.px(1.5))


def _rounded(at: Point) -> Point:
    return round(at[0], 1), round(at[1], 1)
