"""The reference with the frame that crops it: drag the frame to move it, a corner of it to size it."""

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QTransform, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.crop import Crop
from app.picture import Picture

_GRIP_PX = 14.0
_REACH_PX = 26.0
_MARGIN = 16.0
_KEYS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


class CropView(QWidget):
    """Shows a photo of any pixel size; the crop is in its own pixels even when the picture is a smaller copy."""

    cropped = Signal(object)  # Crop

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._picture: Picture | None = None
        self._crop: Crop | None = None
        self._held: int | None = None  # 0-3 a corner, 4 the whole frame
        self._last = QPointF()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(QSize(260, 200))
        self.setAccessibleName("Crop of the reference")
        self.setAccessibleDescription(
            "Arrow keys move the frame; plus and minus size it; 0 makes it as large as it goes."
        )

    @property
    def crop(self) -> Crop | None:
        return self._crop

    def show_photo(self, picture: Picture | None, crop: Crop | None) -> None:
        self._picture, self._crop = picture, crop
        self.update()

    def set_crop(self, crop: Crop) -> None:
        """Show another frame, and tell."""
        if crop != self._crop:
            self._crop = crop
            self.cropped.emit(crop)
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), look.SURROUND)
        if self._picture is None or self._crop is None:
            return
        photo = self._photo_rect()
        scale = photo.width() / self._picture.width
        to_screen = QTransform(scale, 0, 0, scale, photo.x(), photo.y())
        self._picture.paint(painter, to_screen, photo, self.devicePixelRatioF())
        frame = self._frame()
        veil = QColor(look.SURROUND)
        veil.setAlpha(190)
        for part in _around(photo, frame):
            painter.fillRect(part, veil)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for width, colour in ((5.0, look.INK), (2.0, look.PAPER)):
            painter.setPen(QPen(colour, width))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(frame)
        painter.setPen(QPen(look.INK, 2))
        painter.setBrush(look.PAPER)
        for corner in self._grips():
            painter.drawRect(QRectF(corner.x() - _GRIP_PX / 2, corner.y() - _GRIP_PX / 2, _GRIP_PX, _GRIP_PX))
        if self.hasFocus():
            painter.setPen(QPen(look.INK, 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(2, 2, -2, -2))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._held = self._under(event.position())
        self._last = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is None or self._crop is None:
            self._point(self._under(event.position()))
        elif self._held == 4:
            scale = self._scale()
            moved = (event.position() - self._last) / scale
            self._last = event.position()
            self.set_crop(self._crop.moved(moved.x(), moved.y()))
        else:
            at = (event.position() - self._photo_rect().topLeft()) / self._scale()
            self.set_crop(self._crop.corner_moved(self._held, at.x(), at.y()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = None

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self._crop is not None:
            self.set_crop(self._crop.scaled(1.05 ** (event.angleDelta().y() / 120)))
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        crop = self._crop
        if crop is None:
            super().keyPressEvent(event)
            return
        key, step = Qt.Key(event.key()), crop.widest / 200
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier and key in _KEYS:
            step *= 10
        if key in _KEYS:
            dx, dy = _KEYS[key]
            self.set_crop(crop.moved(dx * step, dy * step))
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.set_crop(crop.scaled(1.02))
        elif key == Qt.Key.Key_Minus:
            self.set_crop(crop.scaled(1 / 1.02))
        elif key == Qt.Key.Key_0:
            self.set_crop(Crop.largest(crop.photo_width, crop.photo_height, crop.aspect))
        else:
            super().keyPressEvent(event)

    def _photo_rect(self) -> QRectF:
        assert self._crop is not None
        room = QRectF(self.rect()).adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
        scale = min(room.width() / self._crop.photo_width, room.height() / self._crop.photo_height)
        shown = QRectF(0, 0, self._crop.photo_width * scale, self._crop.photo_height * scale)
        shown.moveCenter(room.center())
        return shown

    def _scale(self) -> float:
        assert self._crop is not None
        return self._photo_rect().width() / self._crop.photo_width

    def _frame(self) -> QRectF:
        assert self._crop is not None
        photo, scale = self._photo_rect(), self._scale()
        return QRectF(
            photo.x() + self._crop.left * scale,
            photo.y() + self._crop.top * scale,
            self._crop.width * scale,
            self._crop.height * scale,
        )

    def _grips(self) -> tuple[QPointF, ...]:
        frame = self._frame()
        return (frame.topLeft(), frame.topRight(), frame.bottomRight(), frame.bottomLeft())

    def _under(self, at: QPointF) -> int | None:
        if self._crop is None or self._picture is None:
            return None
        near = [(math.hypot((at - grip).x(), (at - grip).y()), index) for index, grip in enumerate(self._grips())]
        distance, corner = min(near)
        if distance <= _REACH_PX:
            return corner
        return 4 if self._frame().contains(at) else None

    def _point(self, part: int | None) -> None:
        shapes = {
            None: Qt.CursorShape.ArrowCursor,
            4: Qt.CursorShape.SizeAllCursor,
            0: Qt.CursorShape.SizeFDiagCursor,
            2: Qt.CursorShape.SizeFDiagCursor,
        }
        self.setCursor(shapes.get(part, Qt.CursorShape.SizeBDiagCursor))


def _around(photo: QRectF, frame: QRectF) -> tuple[QRectF, ...]:
    return (
        QRectF(photo.left(), photo.top(), photo.width(), frame.top() - photo.top()),
        QRectF(photo.left(), frame.bottom(), photo.width(), photo.bottom() - frame.bottom()),
        QRectF(photo.left(), frame.top(), frame.left() - photo.left(), frame.height()),
        QRectF(frame.right(), frame.top(), photo.right() - frame.right(), frame.height()),
    )
