"""The wall: one to three hangings under one shared zoom, pan and pointer, in mm on the canvas."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt, QVariantAnimation, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QStyle, QWidget

from app import look
from app.wall.grasp import CanvasTool, SheetGrasp
from app.wall.hanging import Hanging, Overlay
from app.wall.pane import Pane
from app.wall.place import PULSE_MS, Place
from app.wall.scale_bar import UNITS
from app.wall.sheet import Sheet
from app.wall.sight import LEAST_OF_FIT, MOST_PX_PER_PX, Placed, Reach, Sight, fit_zoom
from core.size import Size

MOST_HANGINGS = 3
BLINK_KEY = Qt.Key.Key_B
LIFT_KEY = Qt.Key.Key_A
_HELD = (BLINK_KEY, LIFT_KEY, Qt.Key.Key_Space)
GAP_PX = 6
FIT_MARGIN_PX = 10.0
_PLACE_SHARE = 1 / 3  # of the smaller side of a sheet that a place takes up after going to it


class WallView(QWidget):
    """Shows hangings; it owns the sight and the pointer, and no picture of its own making."""

    pointer_moved = Signal(float, float, int)  # mm, mm, which hanging the pointer is over
    pointer_left = Signal()
    clicked = Signal(float, float, int)
    selected_changed = Signal(int)
    view_changed = Signal()
    unit_changed = Signal(str)

    def __init__(self, size: Size | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._size = size or Size(400, 300)
        self._hangings: tuple[Hanging, ...] = ()
        self._panes: list[Pane] = []
        self._selected = 0
        self._blink: tuple[int, int] | None = None
        self._unit = "cm"
        self._sight = Sight(self._size.width_mm / 2, self._size.height_mm / 2, 1.0)
        self._fitted = True
        self._fit_zoom = 1.0
        self._place: Place | None = None
        self._tool: CanvasTool | None = None
        self._pointer_mm: tuple[float, float] | None = None
        self._at_pointer: Callable[[float, float], Sequence[tuple[str, ...]]] | None = None
        self._empty_text = "Nothing hangs on the wall yet."
        self._pulse = QVariantAnimation(self)
        self._pulse.setStartValue(0.0)
        self._pulse.setEndValue(1.0)
        self._pulse.setDuration(PULSE_MS)
        self._pulse.valueChanged.connect(self._ring)
        self.setAccessibleName("Wall")
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    @property
    def hangings(self) -> tuple[Hanging, ...]:
        return self._hangings

    @property
    def selected(self) -> int:
        return self._selected

    @property
    def sight(self) -> Sight:
        return self._sight

    @property
    def is_fitted(self) -> bool:
        """Whether the whole canvas is shown, and goes on being shown when the window changes its size."""
        return self._fitted

    @property
    def sheets(self) -> tuple[Sheet, ...]:
        """The widgets that show the pictures, in order."""
        return tuple(pane.sheet for pane in self._panes)

    def set_canvas(self, size: Size) -> None:
        """Another canvas: everything is in its mm from now on, and it is shown whole."""
        self._size = size
        self.clear_place()
        self._arrange()
        self.fit()

    def set_empty_text(self, text: str) -> None:
        """What is said when nothing hangs."""
        self._empty_text = text
        self.update()

    def set_unit(self, unit: str) -> None:
        """The unit of the scale bar: mm, cm or in."""
        if unit not in UNITS:
            raise ValueError(f"“{unit}” is not one of {', '.join(UNITS)}")
        self._unit = unit
        self._refresh_panes()
        self.unit_changed.emit(unit)

    def use(self, tool: CanvasTool) -> None:
        """Have a tool paint over every hanging on which lengths may be taken, and answer to presses there."""
        self._tool = tool
        for pane in self._panes:
            self._hand_over(pane)

    def write_at_pointer(self, lines: Callable[[float, float], Sequence[tuple[str, ...]]] | None) -> None:
        """Have lines written beside the pointer: for a point in mm those of each hanging, in order."""
        self._at_pointer = lines

    def repaint_tool(self) -> None:
        """What the tool paints has changed."""
        for pane in self._panes:
            pane.sheet.update()

    def hang(self, hangings: Sequence[Hanging]) -> None:
        """Hang none to three pictures side by side, where the sight is kept."""
        if len(hangings) > MOST_HANGINGS:
            raise ValueError(f"at most {MOST_HANGINGS} hangings, got {len(hangings)}")
        self._blink = None
        self._hangings = tuple(hangings)
        while len(self._panes) > len(self._hangings):
            pane = self._panes.pop()
            if pane.hasFocus() and self._panes:
                self._panes[-1].setFocus()
            pane.hide()
            pane.deleteLater()
        while len(self._panes) < len(self._hangings):
            self._panes.append(self._new_pane())
        self._selected = max(0, min(self._selected, len(self._hangings) - 1))
        self._refresh_panes()
        self._arrange()

    def rehang(self, index: int, hanging: Hanging) -> None:
        """Put another picture or other overlays in one place; nothing moves."""
        self._hangings = (*self._hangings[:index], hanging, *self._hangings[index + 1 :])
        self._refresh_panes()
        self._bring_into_reach()

    def set_overlays(self, index: int, overlays: Sequence[Overlay]) -> None:
        self.rehang(index, replace(self._hangings[index], overlays=tuple(overlays)))

    def select(self, index: int) -> None:
        """Choose the place that the looks act on."""
        if index != self._selected and 0 <= index < len(self._hangings):
            self._selected = index
            self._refresh_panes()
            self.selected_changed.emit(index)

    def blink(self, on: bool, pair: tuple[int, int] = (0, 1)) -> None:
        """While on, two hangings show each other's picture, each in its place."""
        wanted = pair if on and max(pair) < len(self._hangings) else None
        if wanted != self._blink:
            self._blink = wanted
            self._refresh_panes()

    def lift_acetate(self, lifted: bool) -> None:
        """While lifted, no acetate is shown."""
        for pane in self._panes:
            pane.sheet.lift_acetate(lifted)

    def fit(self) -> None:
        """Show the whole canvas."""
        self._fitted = True
        self._look_at(Sight(self._size.width_mm / 2, self._size.height_mm / 2, self._fit_zoom))

    def zoom_by(self, factor: float) -> None:
        """Come closer (above 1) or step back, about the middle."""
        self._look_at(replace(self._sight, zoom=self._sight.zoom * factor), fitted=False)

    def pan_by(self, dx_px: float, dy_px: float) -> None:
        """Move the pictures by this much of the screen."""
        if self._panes:
            self._look_at(self._placed(self._selected).panned(dx_px, dy_px), fitted=False)

    def look_at(self, sight: Sight) -> None:
        """Return to a sight that was taken from :attr:`sight`."""
        self._look_at(sight, fitted=False)

    def go_to(self, x_mm: float, y_mm: float, span_mm: float) -> None:
        """Bring a place of this diameter to the middle, closer if it is small, with a ring that pulses for a moment."""
        sides = [min(pane.sheet.width(), pane.sheet.height()) for pane in self._panes]
        zoom = min(sides, default=300) * _PLACE_SHARE / max(span_mm, 1.0)
        self._look_at(Sight(x_mm, y_mm, max(zoom, self._fit_zoom)), fitted=False)
        self._place = Place(x_mm, y_mm, span_mm)
        self._pulse.stop()
        moving = self.style().styleHint(QStyle.StyleHint.SH_Widget_Animation_Duration) > 0 and self.isVisible()
        self._ring(0.0 if moving else 1.0)
        if moving:
            self._pulse.start()

    def clear_place(self) -> None:
        """Take the ring of the place away."""
        self._pulse.stop()
        self._place = None
        self._ring(1.0)

    def sizeHint(self) -> QSize:
        return QSize(1200, 800)

    def minimumSizeHint(self) -> QSize:
        return QSize(360, 240)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.StyleChange, QEvent.Type.FontChange):
            self._arrange()
        super().changeEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _HELD and event.modifiers() == Qt.KeyboardModifier.NoModifier:
            if not event.isAutoRepeat():
                self._hold(event.key(), True)
        elif not (self._panes and self._panes[self._selected].sheet.hands.take_key(event)):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() in _HELD:
            if not event.isAutoRepeat():
                self._hold(event.key(), False)
        elif not (self._panes and self._panes[self._selected].sheet.hands.release_key(event)):
            super().keyReleaseEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), look.shades().colour("surround"))
        if not self._panes:
            painter.setFont(look.font("subheading"))
            painter.setPen(look.shades().colour("ink"))
            room = self.rect().adjusted(40, 40, -40, -40)
            painter.drawText(room, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, self._empty_text)

    def _hold(self, key: int, held: bool) -> None:
        if key == BLINK_KEY:
            self.blink(held)
        elif key == LIFT_KEY:
            self.lift_acetate(held)
        else:
            for pane in self._panes:
                pane.sheet.hands.hold_space(held)

    def _new_pane(self) -> Pane:
        pane = Pane(self)
        sheet, hands = pane.sheet, pane.sheet.hands
        pane.deserted.connect(self._let_go)
        pane.chosen.connect(lambda: self.select(self._panes.index(pane)))
        hands.panned.connect(lambda dx, dy: self._look_at(sheet.placed().panned(dx, dy), fitted=False))
        hands.zoomed.connect(lambda factor, about: self._zoom(pane, factor, about))
        hands.fit_wished.connect(self.fit)
        hands.pointed.connect(lambda at: self._point(pane, at))
        hands.left.connect(self._leave)
        hands.clicked.connect(lambda at: self._click(pane, at))
        self._hand_over(pane)
        pane.show()
        return pane

    def _hand_over(self, pane: Pane) -> None:
        if self._tool is not None:
            grasp = SheetGrasp(pane.sheet, self._tool)
            pane.sheet.hands.grasp = grasp
            pane.sheet.paint_over(grasp.paint)

    def _let_go(self) -> None:
        """A key that is held while the focus goes elsewhere is never released here."""
        self.blink(False)
        self.lift_acetate(False)
        for pane in self._panes:
            pane.sheet.hands.hold_space(False)

    def _shown_at(self, index: int) -> int:
        """Which of the hangings shows in a place: while blinking, the other of the two."""
        if self._blink is not None and index in self._blink:
            one, other = self._blink
            return other if index == one else one
        return index

    def _refresh_panes(self) -> None:
        shown = [self._hangings[self._shown_at(index)] for index in range(len(self._hangings))]
        scaled = next((index for index, hanging in enumerate(shown) if hanging.mapping.is_flat), None)
        for index, (pane, hanging) in enumerate(zip(self._panes, shown, strict=True)):
            if pane.hanging is not hanging:
                pane.show_hanging(hanging)
            pane.mark(selected=index == self._selected, among_several=len(self._panes) > 1)
            pane.show_scale(self._unit if index == scaled else "")
        self._show_pointer()
        self.setAccessibleDescription(", ".join(hanging.title for hanging in shown) or self._empty_text)
        self.update()

    def _arrange(self) -> None:
        """Side by side, or stacked where that shows the canvas larger."""
        if self._panes:
            beside, stacked = self._places(along=True), self._places(along=False)
            places = beside if self._fit_in(beside[0]) >= self._fit_in(stacked[0]) else stacked
            for pane, place in zip(self._panes, places, strict=True):
                pane.lie_in(place)
        self._bring_into_reach()

    def _bring_into_reach(self) -> None:
        """After a change of places or pictures: the whole canvas again if it was shown whole, else the same sight."""
        self._fit_zoom = self._fit()
        if self._fitted:
            self.fit()
        else:
            self._look_at(self._sight, fitted=False)

    def _places(self, *, along: bool) -> list[QRect]:
        # All of exactly one size, so that one layer of lines serves them all.
        count = len(self._panes)
        step = ((self.width() if along else self.height()) + GAP_PX) // count
        length = max(1, step - GAP_PX)
        if along:
            return [QRect(index * step, 0, length, self.height()) for index in range(count)]
        return [QRect(0, index * step, self.width(), length) for index in range(count)]

    def _fit_in(self, place: QRect) -> float:
        around = Pane.title_height() + Pane.foot_height()
        room = QRectF(0, 0, place.width(), max(1, place.height() - around))
        return fit_zoom(self._hangings[0].mapping, self._size.width_mm, self._size.height_mm, room, FIT_MARGIN_PX)

    def _fit(self) -> float:
        """The zoom at which the whole canvas shows in every place, as it lies in any of the pictures."""
        zooms = [
            fit_zoom(mapping, self._size.width_mm, self._size.height_mm, QRectF(pane.sheet.rect()), FIT_MARGIN_PX)
            for pane in self._panes
            for mapping in {hanging.mapping for hanging in self._hangings}
        ]
        return min(zooms, default=1.0)

    def _look_at(self, sight: Sight, *, fitted: bool | None = None) -> None:
        if fitted is not None:
            self._fitted = fitted
        fit = self._fit_zoom
        most = max((MOST_PX_PER_PX * hanging.mapping.px_per_mm for hanging in self._hangings), default=fit)
        held = Reach(self._size.width_mm, self._size.height_mm, fit * LEAST_OF_FIT, max(most, fit)).hold(sight)
        changed = held != self._sight
        self._sight = held
        for pane in self._panes:
            pane.sheet.look_at(held)
            pane.sight_changed()
        if changed:
            self.view_changed.emit()

    def _placed(self, index: int) -> Placed:
        return self._panes[index].sheet.placed()

    def _zoom(self, pane: Pane, factor: float, about: QPointF | None) -> None:
        if about is None:
            self.zoom_by(factor)
        else:
            self._look_at(pane.sheet.placed().zoomed(factor, about), fitted=False)

    def _point(self, pane: Pane, at: QPointF) -> None:
        mm = pane.sheet.placed().mm_at(at)
        self._pointer_mm = mm
        self._show_pointer()
        if mm is not None:
            self.pointer_moved.emit(*mm, self._panes.index(pane))

    def _leave(self) -> None:
        self._pointer_mm = None
        self._show_pointer()
        self.pointer_left.emit()

    def _show_pointer(self) -> None:
        """The cross in every hanging, with what is written beside it as things are now."""
        mm = self._pointer_mm
        told = () if mm is None or self._at_pointer is None else self._at_pointer(*mm)
        for index, pane in enumerate(self._panes):
            which = self._shown_at(index)
            pane.sheet.point_at(mm, told[which] if which < len(told) else ())

    def _click(self, pane: Pane, at: QPointF) -> None:
        pane.setFocus(Qt.FocusReason.MouseFocusReason)
        mm = pane.sheet.placed().mm_at(at)
        if mm is not None:
            self.clicked.emit(*mm, self._panes.index(pane))

    def _ring(self, pulse: float) -> None:
        for pane in self._panes:
            pane.sheet.ring_place(self._place, pulse)
