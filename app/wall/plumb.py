"""Plumb and level lines: one upright and one across, through a point of the canvas, in every hanging."""

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.sight import Placed
from app.wall.squaring import stroke_segments
from core.drawing.proportion import Point
from core.size import Size

_WIDTH_PX = 2.0
_RING_PX = 8.0
_AWAY_PX = 6.0


def paint_plumb(painter: QPainter, placed: Placed, at: Point, size: Size) -> None:
    """The lines through a point of the canvas; nothing when it lies off the canvas."""
    if 0.0 <= at[0] <= size.width_mm and 0.0 <= at[1] <= size.height_mm:
        x, y = at
        lines = np.array([[x, 0.0, x, size.height_mm], [0.0, y, size.width_mm, y]])
        stroke_segments(painter, placed, lines, look.px(_WIDTH_PX))


def paint_pin(painter: QPainter, placed: Placed, at: Point, size: Size, words: str, *, held: bool) -> None:
    """Lines that stay, with a ring where they cross, to be taken hold of, and where that is in words."""
    paint_plumb(painter, placed, at, size)
    centre = placed.point(*at)
    if not placed.viewport.contains(centre):
        return
    marks.ring(painter, centre, look.px(_RING_PX), look.px(3.0 if held else 2.0))
    font = look.font("note")
    plate = marks.text_rect(words, font)
    away = look.px(_RING_PX) + _AWAY_PX
    plate.moveTopLeft(centre + QPointF(away, away))
    room = placed.viewport
    if plate.right() > room.right():
        plate.moveRight(centre.x() - away)
    if plate.bottom() > room.bottom():
        plate.moveBottom(centre.y() - away)
    plate.moveLeft(max(plate.left(), room.left() + 2.0))
    plate.moveTop(max(plate.top(), room.top() + 2.0))
    marks.plate(painter, plate, words, font)
