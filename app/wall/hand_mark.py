"""The mark with which a landmark is placed by hand on the canvas photo, and how it shows where the landmark belongs."""

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPainterPath

from app import look
from app.wall import marks
from app.wall.sight import Placed

RING_PX = 17.0
_DOT_PX = 4.0
_WIDTH_PX = 3.0
_LEADER_PX = 1.5
_PLATE_AWAY_PX = 10.0

Point = tuple[float, float]


def paint_hand(painter: QPainter, placed: Placed, at: Point, belongs: Point, *, held: bool) -> None:
    """A ring with an open middle where the landmark is painted, and a line to it from where it belongs, mm."""
    middle, start = placed.point(*at), placed.point(*belongs)
    leader = QPainterPath(start)
    leader.lineTo(middle)
    marks.stroke(painter, leader, look.px(_LEADER_PX))
    paint_belongs(painter, placed, belongs)
    radius = look.px(RING_PX)
    marks.ring(painter, middle, radius, look.px(_WIDTH_PX), look.PAPER)
    if held:
        marks.ring(painter, middle, radius + look.px(6.5), look.px(_WIDTH_PX), look.INK)
    ticks = QPainterPath()
    for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        ticks.moveTo(middle + QPointF(dx, dy) * look.px(4.0))
        ticks.lineTo(middle + QPointF(dx, dy) * (radius - look.px(2.0)))
    marks.stroke(painter, ticks, look.px(1.5), look.PAPER)


def paint_belongs(painter: QPainter, placed: Placed, belongs: Point) -> None:
    """A dot where the drawing has the landmark."""
    marks.ring(painter, placed.point(*belongs), look.px(_DOT_PX), look.px(2.0))


def paint_name(painter: QPainter, placed: Placed, at: Point, name: str) -> None:
    """The landmark's name beside a point."""
    font = look.font("strong")
    plate = marks.text_rect(name, font)
    plate.moveBottomLeft(placed.point(*at) + QPointF(1, -1) * look.px(_PLATE_AWAY_PX))
    plate.moveRight(min(plate.right(), placed.viewport.right() - 4))
    marks.plate(painter, plate, name, font)


def paint_advice(painter: QPainter, placed: Placed, sentence: str) -> None:
    """What the keys do, at the foot of the picture, clear of what else is said there."""
    font = look.font("note")
    plate = marks.text_rect(sentence, font)
    if plate.width() > placed.viewport.width() - 16:
        return
    plate.moveBottomRight(placed.viewport.bottomRight() - QPointF(8, plate.height() + 16))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    marks.plate(painter, plate, sentence, font, dark=True)
