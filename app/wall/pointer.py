"""The cross that shows the same point of the canvas in every hanging, and what is written beside it."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath, QRegion

from app import look
from app.wall import marks

_GAP_PX = 7.0
_ARM_PX = 26.0
_WIDTH_PX = 2.0


def paint_cross(painter: QPainter, at: QPointF) -> None:
    """Four arms about an open middle, so that the point itself is not covered."""
    path = QPainterPath()
    for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        path.moveTo(at + QPointF(dx, dy) * look.px(_GAP_PX))
        path.lineTo(at + QPointF(dx, dy) * look.px(_ARM_PX))
    marks.stroke(painter, path, look.px(_WIDTH_PX))


def cross_region(at: QPointF) -> QRegion:
    """What a cross at this point covers: two thin bars."""
    reach, half = look.px(_ARM_PX) + 4.0, look.px(_WIDTH_PX) + 3.0
    across = QRectF(at.x() - reach, at.y() - half, 2 * reach, 2 * half).toAlignedRect()
    down = QRectF(at.x() - half, at.y() - reach, 2 * half, 2 * reach).toAlignedRect()
    return QRegion(across) | QRegion(down)


def paint_words(painter: QPainter, at: QPointF, lines: Sequence[str], room: QRectF) -> None:
    """A plate beside the cross: the first line large, the others small under it."""
    for line, role, rect in _plates(at, lines, room):
        marks.plate(painter, rect, line, look.font(role))


def words_region(at: QPointF, lines: Sequence[str], room: QRectF) -> QRegion:
    """What they cover."""
    covered = QRegion()
    for _, _, rect in _plates(at, lines, room):
        covered |= QRegion(rect.adjusted(-2, -2, 2, 2).toAlignedRect())
    return covered


def _plates(at: QPointF, lines: Sequence[str], room: QRectF) -> list[tuple[str, str, QRectF]]:
    """Each line with its font and its place: right of the cross and under its arm, or where there is room."""
    away = look.px(_GAP_PX) + 4.0
    roles = ["figure", *["strong"] * (len(lines) - 1)][: len(lines)]
    rects = [marks.text_rect(line, look.font(role)) for role, line in zip(roles, lines, strict=True)]
    wide, high = max((r.width() for r in rects), default=0.0), sum(r.height() for r in rects)
    leftwards = at.x() + away + wide > room.right() and at.x() - away - wide >= room.left()
    upwards = at.y() + away + high > room.bottom() and at.y() - away - high >= room.top()
    left = min(max(at.x() - away - wide if leftwards else at.x() + away, room.left()), room.right() - wide)
    top = min(max(at.y() - away - high if upwards else at.y() + away, room.top()), room.bottom() - high)
    for rect in rects:
        rect.moveTopLeft(QPointF(left + (wide - rect.width() if leftwards else 0.0), top))
        top += rect.height()
    return list(zip(lines, roles, rects, strict=True))
