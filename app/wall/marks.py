"""Strokes and labels that can be read on any ground: dark with a light rim, or the other way round."""

import math
from collections.abc import Sequence
from functools import cache, lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPainterPath, QPen, QPolygonF

from app import look
from app.picture import layer
from app.wall.sight import Placed
from app.wall.trace import Trace

RIM_PX = 1.5
_PLATE_ALPHA = 225

_PHASES = 4  # places within a pixel, each way, at which small rings are painted


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
    stroke_traces(painter, [(trace, width_px, look.px(RIM_PX))], placed, colour)


def stroke_traces(
    painter: QPainter, traces: Sequence[tuple[Trace, float, float]], placed: Placed, colour: QColor = look.INK
) -> None:
    """The same for several, each with its width and its rim's on the screen: no rim lies over another's line."""
    to_screen = placed.picture_to_screen
    seen = [_seen(painter, trace, placed, width_px + 2 * rim_px) for trace, width_px, rim_px in traces]
    if not any(seen):
        return
    painter.save()
    painter.setTransform(to_screen, combine=True)
    for ink, rims in ((rim_for(colour), 2.0), (colour, 0.0)):
        for (trace, width_px, rim_px), indices in zip(traces, seen, strict=True):
            in_picture = (width_px + rims * rim_px) / to_screen.m11()
            painter.setPen(pen(ink, in_picture, Qt.PenCapStyle.FlatCap))
            painter.drawLines([piece for index in indices for piece in trace.lapped(index, in_picture)])
    painter.restore()


def plain_trace(painter: QPainter, trace: Trace, placed: Placed, width_px: float, colour: QColor) -> None:
    """Stroke what can be seen of a trace, without a rim: over a ground that is pale all over."""
    seen, in_picture = _seen(painter, trace, placed, width_px), width_px / placed.picture_to_screen.m11()
    painter.save()
    painter.setTransform(placed.picture_to_screen, combine=True)
    painter.setPen(pen(colour, in_picture, Qt.PenCapStyle.FlatCap))
    painter.drawLines([piece for index in seen for piece in trace.lapped(index, in_picture)])
    painter.restore()


def _seen(painter: QPainter, trace: Trace, placed: Placed, reach_px: float) -> list[int]:
    """Which lines of a trace are seen, so much further than they reach themselves."""
    room = painter.clipBoundingRect() & placed.viewport if painter.hasClipping() else placed.viewport
    grown = room.adjusted(-reach_px, -reach_px, reach_px, reach_px)
    return trace.seen_in(placed.picture_to_screen.inverted()[0].mapRect(grown))


def small_rings(
    painter: QPainter, centres: list[QPointF], radius: float, width_px: float, colour: QColor = look.INK
) -> None:
    """Many rings alike, true to an eighth of a pixel: painted once for each place within a pixel, and then stamped."""
    ratio = painter.device().devicePixelRatioF()
    half = math.ceil(radius + width_px + look.px(RIM_PX)) + 1
    for centre in centres:
        (x, right), (y, down) = (divmod(round(at * ratio * _PHASES), _PHASES) for at in (centre.x(), centre.y()))
        stamp = _ring_stamp(half, radius, width_px, look.scale(), colour.rgba(), ratio, (right, down))
        painter.drawImage(QPointF(x / ratio - half, y / ratio - half), stamp)


@lru_cache(maxsize=8 * _PHASES**2)
def _ring_stamp(
    half: int, radius: float, width_px: float, scale: float, rgba: int, ratio: float, phase: tuple[int, int]
) -> QImage:
    """A ring about the middle of a see-through picture; ``scale``, that of the type, tells rims apart."""
    centre = QPointF(half, half) + QPointF(*phase) / (_PHASES * ratio)

    def paint(painter: QPainter) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ring(painter, centre, radius, width_px, QColor.fromRgba(rgba))

    return layer(2 * half + 1, 2 * half + 1, ratio, paint)


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
