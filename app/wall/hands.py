"""What mouse, wheel, touch and keys wish of a picture: to move it, to come closer, to see it whole, to point at it."""

import math
import time
from typing import Protocol

from PySide6.QtCore import QEvent, QObject, QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QNativeGestureEvent, QTouchEvent, QWheelEvent
from PySide6.QtWidgets import QApplication

WHEEL_STEP = 1.25  # per notch of the wheel
KEY_STEP = 1.5
ARROW_PX, FAR_ARROW_PX = 60.0, 300.0
_NOTCH = 120.0  # Qt's angle delta of one notch
_TOUCH_SLACK_PX = 12.0

_ARROWS = {
    Qt.Key.Key_Left: QPointF(1, 0),
    Qt.Key.Key_Right: QPointF(-1, 0),
    Qt.Key.Key_Up: QPointF(0, 1),
    Qt.Key.Key_Down: QPointF(0, -1),
}
_CLOSER = (Qt.Key.Key_Plus, Qt.Key.Key_Equal)
_FURTHER = (Qt.Key.Key_Minus, Qt.Key.Key_Underscore)


class Grasp(Protocol):
    """What a press may take hold of instead of the picture. Points are those of the widget."""

    def take(self, at: QPointF) -> bool:
        """Take hold of what lies here, or say False: then it is the picture that is moved."""

    def move(self, at: QPointF) -> None:
        """What is held was moved here."""

    def drop(self, at: QPointF, *, moved: bool) -> None:
        """It was let go here; not ``moved``: it was only pressed."""

    def cancel(self) -> None:
        """It was let go by a pinch, or by the windowing system: as if it had not been taken."""


class Hands(QObject):
    """Give every event of a widget to :meth:`take`; it answers True for those it has used.

    ``grasp`` is asked at every press with the left button or one finger, but not while Space is held.
    """

    panned = Signal(float, float)  # screen px
    zoomed = Signal(float, object)  # factor; about a QPointF, or None for the middle
    fit_wished = Signal()
    pointed = Signal(QPointF)
    left = Signal()
    clicked = Signal(QPointF)
    grip_changed = Signal()  # the picture was gripped, let go, or can be gripped by every drag

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._pressed: QPointF | None = None
        self._last = QPointF()
        self._moved = False
        self._spread = 0.0
        self._tapped_at = -math.inf
        self._space_held = False
        self.grasp: Grasp | None = None
        self._taken = False

    @property
    def space_held(self) -> bool:
        """Whether every drag moves the picture, wherever it begins."""
        return self._space_held

    def hold_space(self, held: bool) -> None:
        if held != self._space_held:
            self._space_held = held
            self.grip_changed.emit()

    @property
    def dragging(self) -> bool:
        return self._pressed is not None and self._moved and not self._taken

    def take(self, event: QEvent) -> bool:
        """Use the event, or say False."""
        kind = event.type()
        if isinstance(event, QWheelEvent):
            return self._wheel(event)
        if isinstance(event, QTouchEvent):
            return self._touch(event)
        if isinstance(event, QNativeGestureEvent):
            return self._gesture(event)
        if isinstance(event, QMouseEvent):
            return self._mouse(event)
        if kind == QEvent.Type.Leave:
            self.left.emit()
        return False

    def take_key(self, event: QKeyEvent) -> bool:
        """The keys + − 0 and the arrows (further with Shift), and Space, which makes every drag move the picture."""
        key = Qt.Key(event.key())
        bare = event.modifiers() & ~(Qt.KeyboardModifier.ShiftModifier | Qt.KeyboardModifier.KeypadModifier)
        if bare != Qt.KeyboardModifier.NoModifier:
            return False
        if key in _CLOSER or key in _FURTHER:
            self.zoomed.emit(KEY_STEP if key in _CLOSER else 1 / KEY_STEP, None)
        elif key == Qt.Key.Key_0:
            self.fit_wished.emit()
        elif key in _ARROWS:
            far = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            step = _ARROWS[key] * (FAR_ARROW_PX if far else ARROW_PX)
            self.panned.emit(step.x(), step.y())
        elif key == Qt.Key.Key_Space:
            self.hold_space(True)
        else:
            return False
        return True

    def release_key(self, event: QKeyEvent) -> bool:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self.hold_space(False)
            return True
        return False

    def _wheel(self, event: QWheelEvent) -> bool:
        notches = event.angleDelta().y() / _NOTCH
        if notches:
            self.zoomed.emit(WHEEL_STEP**notches, event.position())
        return True

    def _gesture(self, event: QNativeGestureEvent) -> bool:
        if event.gestureType() != Qt.NativeGestureType.ZoomNativeGesture:
            return False
        self.zoomed.emit(max(0.2, 1.0 + event.value()), event.position())
        return True

    def _mouse(self, event: QMouseEvent) -> bool:
        kind, at = event.type(), event.position()
        carrying = event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton)
        if kind == QEvent.Type.MouseMove:
            self._drag(at, QApplication.startDragDistance())
        elif kind == QEvent.Type.MouseButtonDblClick and event.button() == Qt.MouseButton.LeftButton:
            self._press(at)
            if not self._taken:
                self._pressed = None
                self.fit_wished.emit()
        elif kind == QEvent.Type.MouseButtonPress and carrying:
            self._press(at, picture_only=event.button() != Qt.MouseButton.LeftButton)
        elif kind == QEvent.Type.MouseButtonRelease and carrying:
            self._release(at, click=event.button() == Qt.MouseButton.LeftButton and not self.space_held)
        return carrying or kind == QEvent.Type.MouseMove

    def _touch(self, event: QTouchEvent) -> bool:
        points = [point.position() for point in event.points()]
        if event.type() in (QEvent.Type.TouchEnd, QEvent.Type.TouchCancel):
            self._lift_finger(points[0], cancelled=event.type() == QEvent.Type.TouchCancel)
        elif len(points) == 1:
            if self._pressed is None:
                self._press(points[0])
            self._drag(points[0], _TOUCH_SLACK_PX)
        else:
            self._pinch(points[0], points[1], fresh=event.type() == QEvent.Type.TouchBegin)
        return True

    def _pinch(self, one: QPointF, other: QPointF, *, fresh: bool) -> None:
        middle, apart = (one + other) / 2, one - other
        spread = max(math.hypot(apart.x(), apart.y()), 1.0)
        if self._spread and not fresh:
            step = middle - self._last
            self.panned.emit(step.x(), step.y())
            self.zoomed.emit(spread / self._spread, middle)
        self._last, self._spread, self._moved = middle, spread, True
        self._pressed = None
        self._cancel()

    def _lift_finger(self, at: QPointF, *, cancelled: bool) -> None:
        if cancelled:
            self._cancel()
        tapped = self._pressed is not None and not self._moved and not cancelled and not self._taken
        self._spread = 0.0
        self._release(at, click=tapped)
        if not tapped:
            return
        now = time.monotonic()
        if now - self._tapped_at <= QApplication.doubleClickInterval() / 1000:
            self.fit_wished.emit()
        self._tapped_at = now

    def _press(self, at: QPointF, *, picture_only: bool = False) -> None:
        self._cancel()
        self._pressed, self._last, self._moved, self._spread = at, at, False, 0.0
        asked = self.grasp if not (picture_only or self._space_held) else None
        self._taken = asked is not None and asked.take(at)
        self.pointed.emit(at)

    def _drag(self, at: QPointF, slack: float) -> None:
        if self._pressed is not None:
            away = at - self._pressed
            if not self._moved and math.hypot(away.x(), away.y()) >= slack:
                self._moved = True
                self.grip_changed.emit()
            if self._moved and self._taken and self.grasp is not None:
                self.grasp.move(at)
            elif self._moved:
                step = at - self._last
                self._last = at
                self.panned.emit(step.x(), step.y())
        self.pointed.emit(at)

    def _cancel(self) -> None:
        if self._taken and self.grasp is not None:
            self.grasp.cancel()
        self._taken = False

    def _release(self, at: QPointF, *, click: bool) -> None:
        if self._taken and self._pressed is not None:
            self._taken = False
            if self.grasp is not None:
                self.grasp.drop(at, moved=self._moved)
        elif self._pressed is not None and not self._moved and click:
            self.clicked.emit(at)
        self._pressed = None
        self.grip_changed.emit()
