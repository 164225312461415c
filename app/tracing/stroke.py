"""A stroke in progress: grows point by point, and paints only the pieces that are exposed."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from app.wall.mapping import Points
from app.wall.sight import Placed, Sight

_PIECE = 24  # points of a piece
LEAST_STEP_PX = 0.5


class Stroke:
    """Its points are kept in mm, so that it stays in place when the picture moves under it."""

    def __init__(self) -> None:
        self._mm: list[tuple[float, float]] = []
        self._pieces: list[QPolygonF] = []
        self._bounds: list[QRectF] = []
        self._sight: Sight | None = None

    @property
    def points(self) -> Points:
        """``(n, 2)`` mm."""
        return np.array(self._mm, dtype=np.float64).reshape(-1, 2)

    def add(self, at: QPointF, mm: tuple[float, float], placed: Placed) -> QRectF | None:
        """Go on to a point; gives the part of the screen between it and the one before, or None when it is too near."""
        self._follow(placed)
        before = self._pieces[-1].last() if self._pieces else at
        step = at - before
        if self._mm and step.manhattanLength() < LEAST_STEP_PX:
            return None
        self._mm.append(mm)
        self._append(at)
        return QRectF(before, at).normalized()

    def extent(self, placed: Placed) -> QRectF:
        """The part of the screen all of it lies in."""
        self._follow(placed)
        whole = QRectF()
        for bounds in self._bounds:
            whole = whole.united(bounds)
        return whole

    def paint(self, painter: QPainter, placed: Placed, exposed: QRectF, *pens: QPen) -> None:
        """All of it with the first pen, then with the next; each piece only where ``exposed``."""
        self._follow(placed)
        reach = max(pen.widthF() for pen in pens)
        room = exposed.adjusted(-reach, -reach, reach, reach)
        seen = [piece for piece, bounds in zip(self._pieces, self._bounds, strict=True) if bounds.intersects(room)]
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for pen in pens:
            painter.setPen(pen)
            for piece in seen:
                if piece.size() > 1:
                    painter.drawPolyline(piece)
                else:
                    painter.drawPoint(piece.first())

    def _append(self, at: QPointF) -> None:
        if not self._pieces or self._pieces[-1].size() >= _PIECE:
            joint = [self._pieces[-1].last()] if self._pieces else []
            self._pieces.append(QPolygonF([*joint, at]))
            self._bounds.append(_bounds(self._pieces[-1]))
        else:
            self._pieces[-1].append(at)
            self._bounds[-1] = _bounds(self._pieces[-1])

    def _follow(self, placed: Placed) -> None:
        """Lay the points out anew when the picture has moved."""
        if placed.sight == self._sight:
            return
        self._sight = placed.sight
        self._pieces, self._bounds = [], []
        if self._mm:
            for x, y in placed.points(self._mm).tolist():
                self._append(QPointF(x, y))


def _bounds(piece: QPolygonF) -> QRectF:
    """Never empty, so that a point or an upright line meets what it lies in."""
    return piece.boundingRect().adjusted(-0.5, -0.5, 0.5, 0.5)
