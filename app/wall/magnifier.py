"""A round glass over the photo that shows a corner and its two edges, or any other point, at single pixels."""

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPaintEvent, QTransform
from PySide6.QtWidgets import QWidget

from app import look
from app.picture import Picture
from app.wall import marks
from app.wall.quad import Corners

DIAMETER_PX = 220
LEAST_TIMES, MOST_TIMES = 4.0, 8.0
_FRAME_PX = 4.0
_CROSS_GAP_PX = 10.0
_OPEN_PX = 16.0  # of the edges about the corner
MARGIN_PX = 16
KEEP_AWAY_PX = 48


class Magnifier(QWidget):
    """Lets everything through to what lies beneath; it never takes the mouse or the focus."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.times = 6.0
        self._picture: Picture | None = None
        self._corners: Corners = np.zeros((4, 2))
        self._corner = 0
        self._has_edges = True
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFixedSize(DIAMETER_PX, DIAMETER_PX)
        self.hide()

    def show_corner(self, picture: Picture, corners: Corners, corner: int) -> None:
        """Show this corner of ``corners`` (4, 2) photo pixels in the middle."""
        self._picture, self._corners, self._corner, self._has_edges = picture, corners, corner, True
        self._show()

    def show_point(self, picture: Picture, x_px: float, y_px: float) -> None:
        """Show a point of the photo, in its pixels, in the middle."""
        self._picture, self._corners, self._corner = picture, np.full((4, 2), (x_px, y_px)), 0
        self._has_edges = False
        self._show()

    def _show(self) -> None:
        self.show()
        self.raise_()
        self.update()

    def stay_out_of_the_way(self, room: QSize, handles: list[QPointF], active: int) -> None:
        """Move when the active handle comes near: clear of all handles if possible, at the top (a hand comes from
        below), and as far away as can be."""
        at = handles[active].toPoint()
        near = self.geometry().adjusted(-KEEP_AWAY_PX, -KEEP_AWAY_PX, KEEP_AWAY_PX, KEEP_AWAY_PX)
        berths = _berths(room)
        if self.geometry() in berths and not near.contains(at):
            return

        def worth(berth: QRect) -> tuple[bool, bool, int]:
            clear = not any(berth.contains(handle.toPoint()) for handle in handles)
            return clear, berth.top() == MARGIN_PX, (berth.center() - at).manhattanLength()

        self.setGeometry(max(berths, key=worth))

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._picture is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QRectF(self.rect()).center()
        radius = DIAMETER_PX / 2 - _FRAME_PX
        glass = QPainterPath()
        glass.addEllipse(middle, radius, radius)
        painter.save()
        painter.setClipPath(glass)
        painter.fillPath(glass, look.shades().colour("surround"))
        to_glass = self._to_glass(middle)
        ratio = self.devicePixelRatioF()
        self._picture.paint(painter, to_glass, QRectF(self.rect()), ratio)
        if self._has_edges:
            marks.stroke(painter, to_glass.map(self._edges()), 1.0)
        marks.stroke(painter, _cross_hair(middle, radius), 1.0, look.PAPER)
        painter.restore()
        marks.ring(painter, middle, radius, 2.5)

    def _to_glass(self, middle: QPointF) -> QTransform:
        x, y = self._corners[self._corner] + 0.5
        return QTransform(self.times, 0, 0, self.times, middle.x() - self.times * x, middle.y() - self.times * y)

    def _edges(self) -> QPainterPath:
        """The two edges, which leave the corner itself open to be seen."""
        before, corner, after = (QPointF(*(self._corners[(self._corner + step) % 4] + 0.5)) for step in (-1, 0, 1))
        path = QPainterPath()
        for end in (before, after):
            edge = QLineF(corner, end)
            path.moveTo(edge.pointAt(min(_OPEN_PX / self.times / max(edge.length(), 1e-9), 1.0)))
            path.lineTo(end)
        return path


def _berths(room: QSize) -> list[QRect]:
    """The four places where the glass can lie."""
    far_x, far_y = (side - DIAMETER_PX - MARGIN_PX for side in (room.width(), room.height()))
    return [QRect(x, y, DIAMETER_PX, DIAMETER_PX) for x in (MARGIN_PX, far_x) for y in (MARGIN_PX, far_y)]


def _cross_hair(middle: QPointF, radius: float) -> QPainterPath:
    path = QPainterPath()
    for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        path.moveTo(middle + QPointF(dx, dy) * _CROSS_GAP_PX)
        path.lineTo(middle + QPointF(dx, dy) * (radius / 3))
    return path
