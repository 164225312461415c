"""The sheet that is traced on: a wall's sheet whose drags draw, and whose frame is mended where a line has changed."""

from PySide6.QtCore import QEvent, QRectF
from PySide6.QtGui import QImage, QPainter, QPaintEvent, QRegion
from PySide6.QtWidgets import QWidget

from app.picture import painted
from app.tracing.grip import Grip
from app.wall.hanging import Hanging
from app.wall.sheet import Sheet


class TraceSheet(Sheet):
    """What is drawn on it comes out of :attr:`grip`."""

    grip: Grip | None = None  # also for the events that come before the widget is complete

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.exposed = QRectF()
        """The part that is being painted: what lies outside it need not be."""
        self.grip = Grip(self.hands, self)
        self.setTabletTracking(True)

    def event(self, event: QEvent) -> bool:
        if self.grip is not None and self.hanging is not None and self.grip.take(event):
            return True
        return super().event(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        self.exposed = QRectF(event.rect())
        super().paintEvent(event)

    def mend(self, hanging: Hanging, part: QRegion) -> None:
        """Show a hanging that differs from the one shown only within ``part``, painting no more than that."""
        key = next((k for k in reversed(self._frames) if k[0] is self.hanging and k[1] == self.sight), None)
        self.hanging = hanging
        if key is None:
            self.update()
            return
        frame = self._frames.pop(key)
        seen = part & self.rect()
        if not seen.isEmpty():
            painter = QPainter(frame)
            painter.setClipRegion(seen)
            self._paint_frame(painter, hanging)
            painter.end()
        self._frames[(hanging, *key[1:])] = frame
        self.update(seen)

    def frame_of(self, hanging: Hanging) -> QImage:
        """What the sheet would show of another hanging now."""
        ratio = self.devicePixelRatioF()
        return painted(self.width(), self.height(), ratio, lambda painter: self._paint_frame(painter, hanging))
