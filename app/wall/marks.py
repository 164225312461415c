"""Strokes and labels that can be read on any ground: dark with a light rim, or the other way round."""

from functools import cache

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from app import look
from app.wall.sight import Placed
from app.wall.trace import Trace

RIM_PX = 1.5
_PLATE_ALPHA = 225

# The sides of a regular polygon that looks round: (20, 4), from x, y to x, y on the unit circle.
_TURNS = np.exp(2j * np.pi * np.arange(21) / 20)
_ROUND = np.column_stack([_TURNS[:-1].real, _TURNS[:-1].imag, _TURNS[1:].real, _TURNS[1:].imag])


def pen(colour: QColor, width_px: float, cap: Qt.PenCapStyle = Qt.PenCapStyle.RoundCap) -> QPen:
    """A pen of a width in screen units, which a dense screen has several pixels for."""
    return QPen(colour, width_px, Qt.PenStyle.SolidLine, cap, Qt.PenJoinStyle.RoundJoin)


def rim_for(colour: QColor) -> QColor:
    """The light or dark neutral that sets a colour off best."""
    return _rim_for(colour.rgb())


@cache
def _rim_for(rgb: int) -> QColor:
    return max((look.INK, look.PAPER), key=lambda ground: look.contrast(QColor(rgb), ground))


def stroke(painter: QPainter, path: QPainterPath, width_px: float, colour: QColor = look.INK) -> None:
    """Stroke a path twice: its rim, then itself."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen(rim_for(colour), width_px + 2 * look.px(RIM_PX)))
    painter.drawPath(path)
    painter.setPen(pen(colour, width_px))
    painter.drawPath(path)


def stroke_trace(painter: QPainter, trace: Trace, placed: Placed, width_px: float, colour: QColor = look.INK) -> None:
    """Stroke what can be seen of a trace: all of its rim, then all of itself."""
    to_screen = placed.picture_to_screen
    reach = width_px + 2 * look.px(RIM_PX)
    seen = trace.seen_in(to_screen.inverted()[0].mapRect(placed.viewport.adjusted(-reach, -reach, reach, reach)))
    if not seen:
        return
    painter.save()
    painter.setTransform(to_screen, combine=True)
    for ink, width in ((rim_for(colour), reach), (colour, width_px)):
        in_picture = width / to_screen.m11()
        painter.setPen(pen(ink, in_picture, Qt.PenCapStyle.FlatCap))
        painter.drawLines([piece for index in seen for piece in trace.lapped(index, in_picture)])
    painter.restore()


def small_rings(
    painter: QPainter, centres: list[QPointF], radius: float, width_px: float, colour: QColor = look.INK
) -> None:
    """Many rings of a few pixels at once, as polygons that look round."""
    middles = np.array([(centre.x(), centre.y()) * 2 for centre in centres]).reshape(-1, 1, 4)
    pieces = [QLineF(*piece) for piece in (middles + radius * _ROUND).reshape(-1, 4).tolist()]
    for ink, width in ((rim_for(colour), width_px + 2 * look.px(RIM_PX)), (colour, width_px)):
        painter.setPen(pen(ink, width, Qt.PenCapStyle.SquareCap))
        painter.drawLines(pieces)


def ring(painter: QPainter, centre: QPointF, radius: float, width_px: float, colour: QColor = look.INK) -> None:
    path = QPainterPath()
    path.addEllipse(centre, radius, radius)
    stroke(painter, path, width_px, colour)


def square(painter: QPainter, centre: QPointF, half: float, width_px: float) -> None:
    """An open square filled with paper: what was placed by hand."""
    rect = QRectF(centre.x() - half, centre.y() - half, 2 * half, 2 * half)
    painter.fillRect(rect, look.PAPER)
    path = QPainterPath()
    path.addRect(rect)
    stroke(painter, path, width_px)


def outline(painter: QPainter, polygon: QPolygonF) -> None:
    """A closed thin line, dark and light side by side."""
    path = QPainterPath()
    path.addPolygon(polygon)
    path.closeSubpath()
    stroke(painter, path, 1.0)


def text_rect(text: str, font: QFont, pad: float = 5.0) -> QRectF:
    """How much room a plate with this text takes, from (0, 0)."""
    measured = QFontMetricsF(font)
    return QRectF(0, 0, measured.horizontalAdvance(text) + 2 * pad, measured.height() + pad)


def plate(painter: QPainter, rect: QRectF, text: str, font: QFont, *, dark: bool = False) -> None:
    """A text on a small nearly opaque plate."""
    ground, ink = (look.INK, look.PAPER) if dark else (look.PAPER, look.INK)
    ground = QColor(ground)
    ground.setAlpha(_PLATE_ALPHA)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ground)
    painter.drawRoundedRect(rect, 4, 4)
    painter.setPen(ink)
    painter.setFont(font)
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, text)


def badge_rect(centre: QPointF, text: str) -> QRectF:
    """Where a badge lies about ``centre``."""
    size = text_rect(text, look.font("strong"), 4.0)
    side = max(size.width(), size.height())
    return QRectF(centre.x() - side / 2, centre.y() - size.height() / 2, side, size.height())


def badge(painter: QPainter, centre: QPointF, text: str, *, dark: bool = True) -> QRectF:
    """A number on a round plate about ``centre``; gives back where it lies."""
    rect = badge_rect(centre, text)
    ground, ink = (look.INK, look.PAPER) if dark else (look.PAPER, look.INK)
    painter.setPen(pen(ink, 1.5))
    painter.setBrush(ground)
    painter.drawRoundedRect(rect, rect.height() / 2, rect.height() / 2)
    painter.setFont(look.font("strong"))
    painter.setPen(ink)
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, text)
    return rect
