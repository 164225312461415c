"""Which events draw and which move the picture, for mouse, pen and finger alike.

Drawn with: the left mouse button, a pen's tip, one finger. Moved with: the wheel, the middle button, Space and a drag,
two fingers. A second finger that comes soon after the first takes the beginning of a stroke back and moves the picture;
later it is a resting hand, and so is a finger beside a pen.
"""

import math
import time

from PySide6.QtCore import QEvent, QObject, QPointF, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPointingDevice, QTabletEvent, QTouchEvent

from app.wall.hands import Hands

_SOON_PX = 40.0
_PEN_RESTS_S = 1.0
_LEFT, _NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton


class Grip(QObject):
    """Give every event of the sheet to :meth:`take`; what is drawn comes out of the signals, the rest goes to hands."""

    pressed = Signal(QPointF, bool)  # where; whether it is the second press of a double click
    dragged = Signal(QPointF)
    released = Signal(QPointF)
    hovered = Signal(QPointF)
    taken_back = Signal()  # what was begun is not wanted
    left = Signal()

    def __init__(self, hands: Hands, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._hands = hands
        self._drawing = False
        self._carrying = False
        self._pinching = False
        self._finger = -1
        self._begun_at = QPointF()
        self._far = 0.0
        self._pen_at = -math.inf
        self.pen_is_turned = False
        """Whether the pen's other end is in use: it rubs out."""

    @property
    def drawing(self) -> bool:
        return self._drawing

    def take(self, event: QEvent) -> bool:
        """Use the event, or say False."""
        if isinstance(event, QTabletEvent):
            return self._pen(event)
        if isinstance(event, QTouchEvent):
            return self._touch(event)
        if isinstance(event, QMouseEvent):
            return self._mouse(event)
        if event.type() == QEvent.Type.Leave:
            self.left.emit()
        return self._hands.take(event)

    def let_go(self) -> None:
        """Whatever is being drawn is taken back."""
        if self._drawing:
            self._drawing = False
            self.taken_back.emit()

    def _pen(self, event: QTabletEvent) -> bool:
        self._pen_at = time.monotonic()
        kind, at = event.type(), event.position()
        if kind == QEvent.Type.TabletPress and event.button() == _LEFT:
            device = event.pointingDevice()
            self.pen_is_turned = device is not None and device.pointerType() == QPointingDevice.PointerType.Eraser
            self._begin(at, double=False)
        elif kind == QEvent.Type.TabletMove:
            self._go_on(at)
        elif kind == QEvent.Type.TabletRelease and event.button() == _LEFT:
            self._end(at)
            self.pen_is_turned = False
        event.accept()
        return True

    def _mouse(self, event: QMouseEvent) -> bool:
        kind, at, left = event.type(), event.position(), event.button() == _LEFT
        presses = (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonDblClick)
        if kind in presses and left and not self._hands.space_held and not self._carrying:
            self._begin(at, double=kind == QEvent.Type.MouseButtonDblClick)
            return True
        if self._drawing:
            if kind == QEvent.Type.MouseMove:
                self._go_on(at)
            elif kind == QEvent.Type.MouseButtonRelease and left:
                self._end(at)
            return True
        if kind in presses:
            self._carrying = True
        elif kind == QEvent.Type.MouseButtonRelease:
            self._carrying = False
        elif event.buttons() == _NONE:
            self.hovered.emit(at)
        if kind == QEvent.Type.MouseButtonDblClick and left:
            return True  # the hands would show the whole canvas
        return self._hands.take(event)

    def _touch(self, event: QTouchEvent) -> bool:
        points = event.points()
        over = event.type() in (QEvent.Type.TouchEnd, QEvent.Type.TouchCancel)
        if self._pinching:
            self._hands.take(event)
            self._pinching = not over
        elif over:
            if event.type() == QEvent.Type.TouchCancel:
                self.let_go()
            elif self._drawing:
                own = [point for point in points if point.id() == self._finger]
                self._end((own or points)[0].position())
        elif len(points) > 1 and not (self._drawing and self._far > _SOON_PX):
            self.let_go()
            self._pinching = True
            self._hands.take(event)
        elif self._drawing:
            own = [point for point in points if point.id() == self._finger]
            if own:
                self._go_on(own[0].position())
        elif event.type() == QEvent.Type.TouchBegin and time.monotonic() - self._pen_at > _PEN_RESTS_S:
            self._finger = points[0].id()
            self._begin(points[0].position(), double=False)
        event.accept()
        return True

    def _begin(self, at: QPointF, *, double: bool) -> None:
        self._drawing, self._begun_at, self._far = True, at, 0.0
        self.pressed.emit(at, double)

    def _go_on(self, at: QPointF) -> None:
        if not self._drawing:
            self.hovered.emit(at)
            return
        away = at - self._begun_at
        self._far = max(self._far, math.hypot(away.x(), away.y()))
        self.dragged.emit(at)

    def _end(self, at: QPointF) -> None:
        if self._drawing:
            self._drawing = False
            self.released.emit(at)
