"""The widget that shows one picture under a sight, with what is laid over it.

Picture and overlays are painted once per change into a frame of the widget's own size; the pointer and the ring of a
place are painted over that frame, so that moving them costs only the few pixels they cover.
"""

from collections import OrderedDict
from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QImage, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from app.picture import painted
from app.wall.acetate import Acetate
from app.wall.hands import Hands
from app.wall.hanging import Hanging
from app.wall.place import Place
from app.wall.pointer import cross_region, paint_cross, paint_words, words_region
from app.wall.sight import Placed, Sight

_FRAMES_KEPT = 2  # the picture and the one it blinks with
REST_MS = 120  # after which a sight that has not changed is taken to rest


class Sheet(QWidget):
    """A hanging's picture. What the hands wish comes out of :attr:`hands`; whoever owns the sight answers."""

    resized = Signal()

    hanging: Hanging | None = None  # also for the events that come before the widget is complete

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.hands = Hands(self)
        self.sight = Sight(0.0, 0.0, 1.0)
        self._acetate_lifted = False
        self._pointer_mm: tuple[float, float] | None = None
        self.at_pointer: tuple[str, ...] = ()
        self._place: Place | None = None
        self._foreground: Callable[[QPainter, Placed], None] | None = None
        self._pulse = 1.0
        self._frames: OrderedDict[tuple[Any, ...], QImage] = OrderedDict()
        self._is_moving = False
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._sharpen)
        self.setMouseTracking(True)
        self.setAttribute(Qt.WidgetAttribute.WA_AcceptTouchEvents)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._show_grip()
        self.hands.grip_changed.connect(self._show_grip)

    def show_hanging(self, hanging: Hanging | None) -> None:
        self.hanging = hanging
        self.update()

    def look_at(self, sight: Sight) -> None:
        if sight != self.sight:
            self.sight = sight
            self._is_moving = True
            self.update()

    def lift_acetate(self, lifted: bool) -> None:
        if lifted != self._acetate_lifted:
            self._acetate_lifted = lifted
            self.update()

    def point_at(self, mm: tuple[float, float] | None, lines: tuple[str, ...] = ()) -> None:
        """Move the cross to a point of the canvas, with these lines beside it, or take it away."""
        if (mm, lines) == (self._pointer_mm, self.at_pointer):
            return
        for point, written in ((self._pointer_mm, self.at_pointer), (mm, lines)):
            if point is not None and self.hanging is not None:
                at = self.placed().point(*point)
                self.update(cross_region(at) | words_region(at, written, QRectF(self.rect())))
        self._pointer_mm, self.at_pointer = mm, lines

    def ring_place(self, place: Place | None, pulse: float = 1.0) -> None:
        """Draw the ring of a place at a moment of its pulse (1 at rest), or take it away."""
        for each in (self._place, place):
            if each is not None and self.hanging is not None:
                self.update(each.region(self.placed()))
        self._place, self._pulse = place, pulse

    def paint_over(self, foreground: Callable[[QPainter, Placed], None]) -> None:
        """Have this painted over the picture at every update, without a new frame."""
        self._foreground = foreground

    def placed(self) -> Placed:
        """How the picture lies in this widget now; only while something hangs."""
        assert self.hanging is not None
        return Placed(
            self.hanging.mapping, self.sight, QRectF(self.rect()), self.devicePixelRatioF(), is_moving=self._is_moving
        )

    def event(self, event: QEvent) -> bool:
        if event.type() in (QEvent.Type.StyleChange, QEvent.Type.FontChange, QEvent.Type.PaletteChange):
            self._frames.clear()
        if self.hanging is not None and self.hands.take(event):
            return True
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._frames.clear()
        self.resized.emit()

    def hideEvent(self, event: QHideEvent) -> None:
        if self._rest.isActive():
            self._rest.stop()
            self._come_to_rest()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        if self.hanging is None:
            painter.fillRect(event.rect(), look.shades().colour("surround"))
            return
        painter.drawImage(QPointF(0, 0), self._frame(self.hanging))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        placed = self.placed()
        if self._place is not None:
            self._place.paint(painter, placed, self._pulse)
        if self._foreground is not None:
            self._foreground(painter, placed)
        if self._pointer_mm is not None:
            at = placed.point(*self._pointer_mm)
            paint_cross(painter, at)
            paint_words(painter, at, self.at_pointer, QRectF(self.rect()))

    def _show_grip(self) -> None:
        if self.hands.dragging:
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        else:
            self.setCursor(Qt.CursorShape.OpenHandCursor if self.hands.space_held else Qt.CursorShape.CrossCursor)

    def _frame(self, hanging: Hanging) -> QImage:
        ratio = self.devicePixelRatioF()
        key = (hanging, self.sight, self.width(), self.height(), ratio, self._acetate_lifted)
        if key not in self._frames:
            self._frames[key] = painted(self.width(), self.height(), ratio, lambda p: self._paint_frame(p, hanging))
            self._is_moving = self._rest.isActive()
        self._frames.move_to_end(key)
        while len(self._frames) > _FRAMES_KEPT:
            self._frames.popitem(last=False)
        return self._frames[key]

    def _paint_frame(self, painter: QPainter, hanging: Hanging) -> None:
        placed = self.placed()
        painter.fillRect(self.rect(), look.shades().colour("surround"))
        hanging.picture.paint(painter, placed.picture_to_screen, placed.viewport, placed.device_pixel_ratio)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for overlay in hanging.overlays:
            if not (self._acetate_lifted and isinstance(overlay, Acetate)):
                painter.save()
                overlay.paint(painter, placed)
                painter.restore()
        if self._rough_acetate() is not None:
            self._rest.start(REST_MS)

    def _rough_acetate(self) -> Acetate | None:
        """One that is seen, and not as sharp as it can be."""
        if self.hanging is None or self._acetate_lifted or not self._is_moving:
            return None
        placed = self.placed()
        acetates = (each for each in self.hanging.overlays if isinstance(each, Acetate))
        return next((each for each in acetates if not each.is_sharp(placed)), None)

    def _sharpen(self) -> None:
        """The sight rests: go on with one acetate after another, between events, until all are as they should be."""
        acetate = self._rough_acetate()
        if acetate is not None:
            acetate.sharpen(self.placed())
            self._rest.start(0)
        else:
            self._come_to_rest()

    def _come_to_rest(self) -> None:
        self._is_moving = False
        self._frames.clear()
        self.update()
