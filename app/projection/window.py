"""The projected window: without a frame, black, filling the projector's screen, and worked by keys and mouse."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QCloseEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent, QScreen
from PySide6.QtWidgets import QWidget

from app.projection.foot import paint_handles, paint_head, paint_keys
from app.projection.keys import name_of
from app.projection.projector import Projector
from app.projection.state import Mode

_GRASP_PX = 60.0
_NUDGE_PX, _FAR_PX, _NEAR_PX = 1.0, 10.0, 0.25
_WAYS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


def _is_shortcut(event: QKeyEvent) -> bool:
    """Ctrl is for the program's own keys; Ctrl with Alt is how some keyboards write signs."""
    held = event.modifiers()
    return bool(held & Qt.KeyboardModifier.ControlModifier) and not held & Qt.KeyboardModifier.AltModifier


class ProjectionWindow(QWidget):
    """Shows what the projector shows, and nothing else of the program. ``closed`` once it has gone."""

    closed = Signal()

    def __init__(self, projector: Projector, parent: QWidget) -> None:
        super().__init__(parent, Qt.WindowType.Window | Qt.WindowType.FramelessWindowHint)
        self._projector = projector
        self._held: QPointF | None = None
        self.setWindowTitle("Projection")
        self.setAccessibleName("The projected picture")
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.CrossCursor)
        projector.changed.connect(self.update)

    def open_on(self, screen: QScreen) -> None:
        """Fill a screen, and take the keyboard."""
        self.setScreen(screen)
        self.setGeometry(screen.geometry())
        self.showFullScreen()
        self._follow_size()
        self.raise_()
        self.activateWindow()
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def take_key(self, event: QKeyEvent) -> bool:
        """Do what a key does; False when it does nothing here."""
        name, shift = name_of(event.key()), bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if name == "" or _is_shortcut(event):
            return False
        projector, key = self._projector, event.key()
        if name == "nudge":
            way = _WAYS[Qt.Key(key)]
            alt = bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
            step = _NEAR_PX if alt else _FAR_PX if shift else _NUDGE_PX
            projector.nudge(way[0] * step, way[1] * step)
        else:
            self._does(name, key)()
        return True

    def event(self, event: QEvent) -> bool:
        """Tab chooses the next corner: there is nothing else here to go to."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            by = {Qt.Key.Key_Tab: 1, Qt.Key.Key_Backtab: -1}.get(Qt.Key(event.key()))
            if by is not None:
                chosen = self._projector.corner
                self._projector.choose_corner((0 if by > 0 else 3) if chosen is None else (chosen + by) % 4)
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if not self.take_key(event):
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of the corner at hand."""
        at, corners = event.position(), self._corners()
        if event.button() != Qt.MouseButton.LeftButton or not corners:
            return
        nearest = min(range(4), key=lambda index: (corners[index] - at).manhattanLength())
        if (corners[nearest] - at).manhattanLength() <= _GRASP_PX:
            self._held = at
            self._projector.choose_corner(nearest)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            by = (event.position() - self._held) * self.devicePixelRatioF()
            self._held = event.position()
            self._projector.nudge(by.x(), by.y())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held = None

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._follow_size()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, projector = QPainter(self), self._projector
        painter.fillRect(self.rect(), Qt.GlobalColor.black)
        image = projector.image()
        if image is not None:
            painter.save()
            share = 1.0 / self.devicePixelRatioF()
            painter.scale(share, share)
            painter.drawImage(0, 0, image)
            painter.restore()
        throw = projector.throw
        if throw.mode in (Mode.MARKS, Mode.DARK):
            if projector.sentence:
                paint_head(painter, QRectF(self.rect()), "", projector.sentence)
            return  # nothing but the pattern may fall on the canvas while it is photographed
        room = QRectF(self.rect())
        if throw.help:
            paint_keys(painter, room)
        paint_head(painter, room, projector.status if throw.help else "", projector.sentence or projector.missing)
        corners = self._corners()
        if corners and (projector.corner is not None or throw.mode is Mode.CORNERS):
            middle = (corners[0] + corners[1] + corners[2] + corners[3]) / 4
            paint_handles(painter, corners, projector.corner, middle)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._projector.save()
        super().closeEvent(event)
        self.closed.emit()

    def _follow_size(self) -> None:
        share = self.devicePixelRatioF()
        self._projector.use_screen(self.screen().name(), round(self.width() * share), round(self.height() * share))

    def _does(self, name: str, key: int) -> Callable[[], object]:
        """What the key of a name in the table does."""
        projector = self._projector
        found: dict[str, Callable[[], object]] = {
            "corner": partial(projector.choose_corner, key - Qt.Key.Key_1),
            "done": partial(projector.choose_corner, None),
            "walk": partial(projector.walk, 1 if key == Qt.Key.Key_PageUp else -1),
            "brightness": partial(projector.brighten, -1 if key == Qt.Key.Key_Minus else 1),
            "weight": partial(projector.weigh, 1 if key == Qt.Key.Key_W else -1),
            "help": projector.toggle_help,
            "close": self.close,
        }
        return found.get(name, partial(self._show_mode, name))

    def _show_mode(self, name: str) -> None:
        if name == Mode.STEP and self._projector.throw.mode is not Mode.STEP:
            self._projector.walk(0)
        else:
            self._projector.show_mode(Mode(name))

    def _corners(self) -> list[QPointF]:
        """Where the four corners lie in the window; a pixel's centre is half a pixel in."""
        projection = self._projector.projection
        if projection is None:
            return []
        share = 1.0 / self.devicePixelRatioF()
        return [QPointF((x + 0.5) * share, (y + 0.5) * share) for x, y in projection.corners_px]
