"""A measure as it is drawn over the pictures: a line between two points of the canvas, with its figures."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath

from app import look
from app.wall import marks
from app.wall.sight import Placed
from app.wall.squaring import stroke_segments
from core.drawing.proportion import Point

_WIDTH_PX = 2.0
_TICK_PX = 9.0
_RING_PX = 10.0
_AWAY_PX = 8.0


@dataclass(frozen=True)
class ShownMeasure:
    """``number`` and ``words``, its figures, are written beside it; "" while there are none. ``caught``: its ends that
    lie on a landmark."""

    start: Point
    end: Point
    number: str = ""
    words: str = ""
    chosen: bool = False
    caught: tuple[Point, ...] = ()


def paint_measures(painter: QPainter, placed: Placed, measures: Sequence[ShownMeasure]) -> None:
    """All lines, then the figures: those of the chosen measure first, the others' where they find room, else only
    their numbers."""
    seen = [(shown, ends) for shown in measures if (ends := _paint_line(painter, placed, shown)) is not None]
    taken: list[QRectF] = []
    for shown, ends in sorted(seen, key=lambda each: not each[0].chosen):
        _paint_words(painter, placed.viewport, shown, *ends, taken)


def _paint_line(painter: QPainter, placed: Placed, shown: ShownMeasure) -> tuple[QPointF, QPointF] | None:
    """The line, a tick across each of its ends, and rings about the landmarks it was caught by; where its ends lie on
    the screen, or None when it is out of sight."""
    ends = placed.points([shown.start, shown.end])
    if not np.isfinite(ends).all():
        return None
    start, end = (QPointF(x, y) for x, y in ends.tolist())
    if not QRectF(start, end).normalized().adjusted(-1, -1, 1, 1).intersects(placed.viewport):
        return None
    width = look.px(_WIDTH_PX + (1.0 if shown.chosen else 0.0))
    stroke_segments(painter, placed, np.array([[*shown.start, *shown.end]]), width)
    marks.stroke(painter, _ticks(start, end), width)
    for each in shown.caught:
        marks.ring(painter, placed.point(*each), look.px(_RING_PX), look.px(2.0))
    return start, end


def _paint_words(
    painter: QPainter, room: QRectF, shown: ShownMeasure, start: QPointF, end: QPointF, taken: list[QRectF]
) -> None:
    font = look.font("strong" if shown.chosen else "note")
    for words in (f"{shown.number}   {shown.words}", shown.number):
        if not shown.words:
            return
        plate = marks.text_rect(words, font, 7.0)
        for side in (1.0, -1.0):
            plate.moveCenter(_beside(start, end, plate, side))
            held = _kept_in(plate, room)
            if not any(held.intersects(other) for other in taken):
                taken.append(held)
                marks.plate(painter, held, words, font, dark=shown.chosen)
                return


def _ticks(start: QPointF, end: QPointF) -> QPainterPath:
    """Across the ends, as on a ruler; crosses where the two fall together."""
    path = QPainterPath()
    along = end - start
    length = math.hypot(along.x(), along.y())
    half = look.px(_TICK_PX)
    across = QPointF(-along.y(), along.x()) * (half / length) if length > 1.0 else QPointF(half, 0.0)
    for at in (start, end):
        path.moveTo(at - across)
        path.lineTo(at + across)
    if length <= 1.0:
        path.moveTo(start - QPointF(0.0, half))
        path.lineTo(start + QPointF(0.0, half))
    return path


def _beside(start: QPointF, end: QPointF, plate: QRectF, side: float) -> QPointF:
    """Where the plate's middle goes, so that it lies beside the middle of the line and not on it: with ``side`` 1 above
    a level line and to the right of an upright one, with -1 opposite."""
    along = end - start
    length = max(math.hypot(along.x(), along.y()), 1.0)
    across = QPointF(-along.y(), along.x()) / length
    if across.x() < -1e-9 or (abs(across.x()) <= 1e-9 and across.y() > 0):
        across = -across
    reach = (abs(across.x()) * plate.width() + abs(across.y()) * plate.height()) / 2 + look.px(_AWAY_PX)
    return (start + end) / 2 + across * (side * reach)


def _kept_in(plate: QRectF, room: QRectF) -> QRectF:
    """Moved just so far that it can be read where the line itself is partly in sight."""
    moved = QRectF(plate)
    moved.moveLeft(min(max(moved.left(), room.left() + 2), max(room.right() - moved.width() - 2, room.left())))
    moved.moveTop(min(max(moved.top(), room.top() + 2), max(room.bottom() - moved.height() - 2, room.top())))
    return moved
