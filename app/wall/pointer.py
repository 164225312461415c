"""The cross that shows the same point of the canvas in every hanging."""

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
