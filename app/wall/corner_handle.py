"""One of the four handles: a big target with an open middle, for mouse, finger and arrow keys."""

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPainterPath, QPaintEvent, QTouchEvent
from PySide6.QtWidgets import QWidget

from app import look
from app.wall import marks
from app.wall.hands import Hands
from app.wall.quad import NAMES

_RING_PX = 17.0
_DIRECTIONS = {
    Qt.Key.Key_Left: QPointF(-1, 0),
    Qt.Key.Key_Right: QPointF(1, 0),
    Qt.Key.Key_Up: QPointF(0, -1),
    Qt.Key.Key_Down: QPointF(0, 1),
}
STEP_PX, COARSE_PX, FINE_PX = 1.0, 10.0, 0.1


class CornerHandle(QWidget):
    """Says where it wishes to go; whoever owns the corners moves it."""

    grabbed = Signal()
    dragged = Signal(QPointF)  # where the corner should lie, in the parent's coordinates
    dropped = Signal()
    taken_back = Signal()  # Escape during a drag
    nudged = Signal(float, float)  # photo pixels
    focused = Signal(bool)

    _hold: QPointF | None = None

    def __init__(self, parent: QWidget, index: int, hands: Hands) -> None:
        super().__init__(parent)
        self._hands = hands
        self.setFixedSize(look.TARGET_PX + 12, look.TARGET_PX + 12)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_AcceptTouchEvents)
        self.setCursor(Qt.CursorShape.SizeAllCursor)
        self.setAccessibleName(f"{NAMES[index].capitalize()} corner of the canvas")

    @property
    def held(self) -> bool:
        """Whether it is being dragged."""
        return self._hold is not None

    def centre_on(self, at: QPointF, x_px: float, y_px: float) -> None:
        """Lie about a point of the parent, which is this pixel of the photo."""
        self.move(round(at.x() - self.width() / 2), round(at.y() - self.height() / 2))
        self.setAccessibleDescription(f"At photo pixel {x_px:.1f}, {y_px:.1f}. The arrow keys move it.")

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QTouchEvent):
            at = event.points()[0].position()
            if event.type() == QEvent.Type.TouchBegin:
                self.setFocus(Qt.FocusReason.MouseFocusReason)
                self._grab(at)
            elif event.type() == QEvent.Type.TouchUpdate:
                self._drag(at)
            else:
                self._drop()
            return True
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and not self._hands.space_held:
            self._grab(event.position())
        else:
            event.ignore()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self.held:
            self._drag(event.position())
        else:
            event.ignore()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self.held and event.button() == Qt.MouseButton.LeftButton:
            self._drop()
        else:
            event.ignore()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A second press is a press: it must not show the whole photo while a corner is being placed."""
        self.mousePressEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        direction = _DIRECTIONS.get(Qt.Key(event.key()))
        if direction is not None:
            step = direction * _step(event.modifiers())
            self.nudged.emit(step.x(), step.y())
        elif event.key() == Qt.Key.Key_Escape and self.held:
            self._hold = None
            self.taken_back.emit()
        else:
            event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        self.focused.emit(True)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._hands.hold_space(False)
        self.focused.emit(False)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = QRectF(self.rect()).center()
        marks.ring(painter, middle, _RING_PX, 3.0, look.PAPER)
        if self.hasFocus():
            marks.ring(painter, middle, _RING_PX + 6.5, 3.0, look.INK)
        ticks = QPainterPath()
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            ticks.moveTo(middle + QPointF(dx, dy) * 9.0)
            ticks.lineTo(middle + QPointF(dx, dy) * (_RING_PX - 2.0))
        marks.stroke(painter, ticks, 1.5, look.PAPER)

    def _grab(self, at: QPointF) -> None:
        # Where it was grabbed stays under the finger: the corner does not jump to it.
        self._hold = at - QRectF(self.rect()).center()
        self.grabbed.emit()

    def _drag(self, at: QPointF) -> None:
        if self._hold is not None:
            self.dragged.emit(QPointF(self.pos()) + at - self._hold)

    def _drop(self) -> None:
        if self._hold is not None:
            self._hold = None
            self.dropped.emit()


def _step(modifiers: Qt.KeyboardModifier) -> float:
    if modifiers & (Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier):
        return FINE_PX
    return COARSE_PX if modifiers & Qt.KeyboardModifier.ShiftModifier else STEP_PX
