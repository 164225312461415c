"""What fingers do on the pictures and on the words: stroke to the next thing, tap, press long; two fingers are the
wall's own (see :mod:`app.wall.hands`)."""

import math
from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QPointF, QTimer, Signal
from PySide6.QtGui import QTouchEvent
from PySide6.QtWidgets import QWidget

SLACK_PX = 12.0
STROKE_PX = 60.0
"""A stroke is as long as this at least, and twice as long across as it is high."""
LONG_MS = 500
GESTURES = (
    "Stroke left or right, or tap the left or right third: next, before. Two fingers: closer; then one finger moves. "
    "Press long: the drawing lifts."
)


class Fingers(QObject):
    """Filters the touches of the widgets it is given. ``moves``: whether one finger moves the pictures now."""

    stepped = Signal(int)  # 1 the next thing, -1 the one before
    pressed_long = Signal(bool)  # a finger lies still; and has gone again
    moved = Signal(float, float)  # px

    def __init__(self, over: QWidget, moves: Callable[[], bool]) -> None:
        super().__init__(over)
        self._over, self._moves = over, moves
        self._began: QPointF | None = None
        self._last = QPointF()
        self._left_slack = self._is_long = self._several = False
        self.still = QTimer(self)
        self.still.setSingleShot(True)
        self.still.setInterval(LONG_MS)
        self.still.timeout.connect(self._lies_still)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QTouchEvent):
            return super().eventFilter(watched, event)
        return self._take(event)

    def rest(self) -> None:
        """Forget the finger that lies there."""
        self.still.stop()
        self._began = None
        if self._is_long:
            self._is_long = False
            self.pressed_long.emit(False)

    def _take(self, event: QTouchEvent) -> bool:
        points, kind = event.points(), event.type()
        over = kind in (QEvent.Type.TouchEnd, QEvent.Type.TouchCancel)
        if kind == QEvent.Type.TouchBegin:
            self._several = False
        if len(points) > 1 and not over:
            self._several = True
            self.rest()
        if self._several:
            self._several = not over
            return False  # the sheet's own hands pinch
        at = self._over.mapFromGlobal(points[0].globalPosition())
        if kind == QEvent.Type.TouchBegin:
            self._press(at)
        elif over:
            self._lift(at, done=kind == QEvent.Type.TouchEnd)
        else:
            self._drag(at)
        event.accept()
        return True

    def _press(self, at: QPointF) -> None:
        self.rest()
        self._began = self._last = at
        self._left_slack = False
        self.still.start()

    def _drag(self, at: QPointF) -> None:
        if self._began is None:
            return
        away = at - self._began
        if not self._left_slack and math.hypot(away.x(), away.y()) >= SLACK_PX:
            self._left_slack = True
            self.still.stop()
        if self._left_slack and not self._is_long and self._moves():
            step = at - self._last
            self.moved.emit(step.x(), step.y())
        self._last = at

    def _lift(self, at: QPointF, *, done: bool) -> None:
        began, was_long = self._began, self._is_long
        self._drag(at)
        self.rest()
        if began is None or was_long or not done:
            return
        away = at - began
        if not self._left_slack:
            third = at.x() / max(self._over.width(), 1)
            by = 1 if third > 2 / 3 else -1 if third < 1 / 3 else 0
        elif not self._moves() and abs(away.x()) >= max(STROKE_PX, 2 * abs(away.y())):
            by = 1 if away.x() < 0 else -1
        else:
            by = 0
        if by:
            self.stepped.emit(by)

    def _lies_still(self) -> None:
        self._is_long = True
        self.pressed_long.emit(True)
