"""Arrows from where something should be to where it was painted."""

import math
from dataclasses import dataclass, field

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPolygonF

from app import look
from app.wall import marks
from app.wall.sight import Placed

_HEAD_PX = 13.0
_DOT_PX = 4.0
_BADGE_AWAY_PX = 20.0


@dataclass(frozen=True)
class DriftArrow:
    """From a point to another, both in mm on the canvas. ``by_hand``: it starts with an open square, not a dot."""

    number: str
    from_mm: tuple[float, float]
    to_mm: tuple[float, float]
    by_hand: bool = False


@dataclass(frozen=True, eq=False)
class DriftArrows:
    """``times``: how many times longer than true the arrows are drawn; when not 1 it is said on the picture.
    ``numbered``: each has its number beside it."""

    arrows: tuple[DriftArrow, ...]
    times: float = 1.0
    colour: QColor = field(default_factory=lambda: QColor(look.INK))
    chosen: str | None = None
    numbered: bool = True

    def paint(self, painter: QPainter, placed: Placed) -> None:
        room = placed.viewport.adjusted(-60, -60, 60, 60)
        seen = []
        for arrow in self.arrows:
            start, end = placed.point(*arrow.from_mm), placed.point(*self._tip(arrow))
            if room.contains(start) or room.contains(end):
                seen.append((arrow, self._paint_one(painter, arrow, start, end)))
        if self.numbered:
            self._paint_numbers(painter, seen)
        if self.times != 1.0 and self.arrows:
            self._say_times(painter, placed.viewport)

    def _tip(self, arrow: DriftArrow) -> tuple[float, float]:
        (x0, y0), (x1, y1) = arrow.from_mm, arrow.to_mm
        return x0 + (x1 - x0) * self.times, y0 + (y1 - y0) * self.times

    def _paint_one(self, painter: QPainter, arrow: DriftArrow, start: QPointF, end: QPointF) -> QPointF:
        """The arrow without its number; gives back where that belongs."""
        along = end - start
        length = math.hypot(along.x(), along.y())
        unit = along / length if length > 0.0 else QPointF(0, -1)
        heavy = arrow.number == self.chosen
        head = min(look.px(_HEAD_PX), length)
        shaft = QPainterPath(start)
        shaft.lineTo(end - unit * head)
        if not arrow.by_hand:
            shaft.addEllipse(start, look.px(_DOT_PX), look.px(_DOT_PX))
        shaft.addPath(_head(end, unit, head))
        marks.stroke(painter, shaft, look.px(4.0 if heavy else 2.5), self.colour)
        painter.fillPath(_head(end, unit, head), self.colour)
        if arrow.by_hand:
            marks.square(painter, start, look.px(_DOT_PX + 2.0), look.px(2.5))
        return start - unit * look.px(_BADGE_AWAY_PX)

    def _paint_numbers(self, painter: QPainter, seen: list[tuple[DriftArrow, QPointF]]) -> None:
        """As many as find room, the chosen one first, then as they come: none may cover another."""
        taken: list[QRectF] = []
        for arrow, at in sorted(seen, key=lambda each: each[0].number != self.chosen):
            heavy = arrow.number == self.chosen
            plate = marks.badge_rect(at, arrow.number)
            if heavy or not any(plate.intersects(other) for other in taken):
                taken.append(plate)
                marks.badge(painter, at, arrow.number, dark=heavy)

    def _say_times(self, painter: QPainter, viewport: QRectF) -> None:
        font = look.font("note")
        text = f"arrows {self.times:g} times as long"
        plate = marks.text_rect(text, font)
        plate.moveBottomLeft(viewport.bottomLeft() + QPointF(8, -8))
        marks.plate(painter, plate, text, font)


def _head(tip: QPointF, unit: QPointF, length: float) -> QPainterPath:
    back, side = tip - unit * length, QPointF(-unit.y(), unit.x()) * (length * 0.45)
    path = QPainterPath()
    path.addPolygon(QPolygonF([tip, back + side, back - side]))
    path.closeSubpath()
    return path
