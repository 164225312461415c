"""The drawing over a canvas that moves: painted anew for every frame, so plainly, all lines alike and without dashes.

Painted with all care, 250 winding lines (11 m) over a place of 1900 × 950 px take 45-60 ms of a processor, plainly 8.
"""

from functools import lru_cache

import numpy as np
from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.acetate import Acetate, Ink
from app.wall.mapping import Points
from app.wall.sight import Placed
from app.wall.trace import divided

TOLERANCE_MM, LONGEST_MM = 0.3, 20.0  # under a lens even a straight line bends
_RING_PX = 6.0


def paint_plainly(painter: QPainter, acetate: Acetate, placed: Placed) -> None:
    """At less than full strength crossings show through."""
    starts, ends = pieces_of(acetate.ink)
    there = np.hstack([placed.points(starts), placed.points(ends)])
    lines = list(map(QLineF, *there[np.isfinite(there).all(axis=1)].T.tolist()))
    width = look.px(acetate.weight_px) if acetate.weight_mm is None else acetate.weight_mm * placed.sight.zoom
    width = max(width, 1.0)
    painter.setOpacity(min(acetate.strength, 1.0))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    rims = ((marks.rim_for(acetate.colour), 2 * look.px(marks.RIM_PX)), (acetate.colour, 0.0))
    for ink, rim in rims if lines else ():
        painter.setPen(marks.pen(ink, width + rim, Qt.PenCapStyle.FlatCap))
        painter.drawLines(lines)
    landmarks = acetate.ink.drawing.landmarks
    if acetate.landmarks and landmarks:
        centres = placed.points([(each.x_mm, each.y_mm) for each in landmarks])
        seen = [QPointF(x, y) for x, y in centres[np.isfinite(centres).all(axis=1)].tolist()]
        marks.small_rings(painter, seen, look.px(_RING_PX), look.px(2.0), acetate.colour)


@lru_cache(maxsize=2)
def pieces_of(ink: Ink) -> tuple[Points, Points]:
    """Where the short straight pieces of all lines start and end, ``(n, 2)`` mm each."""
    lines = [divided(line, LONGEST_MM) for line in ink.drawing.polylines(TOLERANCE_MM) if len(line) > 1]
    if not lines:
        return np.empty((0, 2)), np.empty((0, 2))
    return np.concatenate([line[:-1] for line in lines]), np.concatenate([line[1:] for line in lines])
