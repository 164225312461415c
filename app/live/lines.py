"""The drawing over a canvas that moves: painted anew for every frame, so plainly, all lines alike and without dashes.

Painted with all care, 250 winding lines (11 m) over a place of 1900 × 950 px take 45-60 ms of a processor, plainly 8-9.

Drawn by the image library instead, in the thread that makes the picture, with dashes and all kinds of line, at twice
the size and reduced (its own smoothed lines are 3.6 px wide for 2, and 5.6 for 3 and for 4), they look as on the wall,
but take 17 ms a frame with the frame brought to its size, and 35-66 ms of processor time in all where plainly all take
26-34.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter

from app import look
from app.live.line_buffer import LineBuffer
from app.wall import marks
from app.wall.acetate import Acetate, Ink
from app.wall.mapping import Points
from app.wall.sight import Placed
from app.wall.trace import divided

TOLERANCE_MM, LONGEST_MM = 0.3, 20.0  # under a lens even a straight line bends
_RING_PX = 6.0


def paint_plainly(painter: QPainter, acetate: Acetate, placed: Placed) -> None:
    """At less than full strength crossings show through."""
    pieces = pieces_of(acetate.ink)
    there = np.hstack([placed.points(pieces.starts), placed.points(pieces.ends)])
    lines = pieces.buffer.lines(there[np.isfinite(there).all(axis=1)])
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


@dataclass(frozen=True, eq=False)
class Pieces:
    """Where the short straight pieces of all lines start and end, ``(n, 2)`` mm each, and room for them on screen."""

    starts: Points
    ends: Points
    buffer: LineBuffer


@lru_cache(maxsize=2)
def pieces_of(ink: Ink) -> Pieces:
    lines = [divided(line, LONGEST_MM) for line in ink.drawing.polylines(TOLERANCE_MM) if len(line) > 1]
    starts, ends = (
        np.concatenate([np.empty((0, 2)), *(line[part] for line in lines)]) for part in (slice(-1), slice(1, None))
    )
    return Pieces(starts, ends, LineBuffer(len(starts)))
