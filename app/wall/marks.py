"""Strokes and labels that can be read on any ground: dark with a light rim, or the other way round."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from app import look

RIM_PX = 1.5
_PLATE_ALPHA = 225


def pen(colour: QColor, width_px: float) -> QPen:
    """A round pen; the painter is in screen units, which a dense screen has several pixels for."""
    return QPen(colour, width_px, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)


def rim_for(colour: QColor) -> QColor:
    """The light or dark neutral that sets a colour off best."""
    return max((look.INK, look.PAPER), key=lambda ground: look.contrast(colour, ground))


def stroke(painter: QPainter, path: QPainterPath, width_px: float, colour: QColor = look.INK) -> None:
    """Stroke a path twice: its rim, then itself."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen(rim_for(colour), width_px + 2 * look.px(RIM_PX)))
    painter.drawPath(path)
    painter.setPen(pen(colour, width_px))
    painter.drawPath(path)


def ring(painter: QPainter, centre: QPointF, radius: float, width_px: float, colour: QColor = look.INK) -> None:
    path = QPainterPath()
    path.addEllipse(centre, radius, radius)
    stroke(painter, path, width_px, colour)


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


def badge(painter: QPainter, centre: QPointF, text: str, *, dark: bool = True) -> QRectF:
    """A number on a round plate about ``centre``; gives back where it lies."""
    font = look.font("strong")
    size = text_rect(text, font, 4.0)
    side = max(size.width(), size.height())
    rect = QRectF(centre.x() - side / 2, centre.y() - size.height() / 2, side, size.height())
    ground, ink = (look.INK, look.PAPER) if dark else (look.PAPER, look.INK)
    painter.setPen(pen(ink, 1.5))
    painter.setBrush(ground)
    painter.drawRoundedRect(rect, rect.height() / 2, rect.height() / 2)
    painter.setFont(font)
    painter.setPen(ink)
    painter.drawText(rect, Qt.AlignmentFlag.AlignCenter, text)
    return rect
