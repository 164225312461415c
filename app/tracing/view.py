"""The view of the tracing page: the reference, large, with the lines over it, and the tool in the hand."""

from functools import partial

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QKeyEvent, QPainter
from PySide6.QtWidgets import QWidget

from app import look
from app.picture import Picture
from app.tracing.board import Board
from app.tracing.grip import Grip
from app.tracing.sheet import TraceSheet
from app.tracing.tool import Tool, shift_held
from app.wall import marks
from app.wall.acetate import Acetate, Ink, changed_region
from app.wall.hanging import Hanging, Overlay
from app.wall.kinds import CONTOUR
from app.wall.mapping import Mapping
from app.wall.sheet_view import SheetView
from app.wall.sight import LEAST_OF_FIT, MOST_PX_PER_PX, Placed, Reach, Sight, centred, fit_zoom
from core.drawing.drawing import Drawing, Line
from core.size import Size

_MARGIN_PX = 12.0


class TraceView(SheetView):
    """Owns the sight; the board owns the drawing."""

    sheet: TraceSheet
    gave_up = Signal()  # Escape, with nothing in hand

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(TraceSheet, "The reference, to be traced", parent)
        self.board = Board(self.sheet, self)
        self.tool = Tool(self.board)
        self._turned_tool: Tool | None = None
        self._before_turning: Tool | None = None
        self._size = Size(400, 300)
        self._veil = _Veil(self._size, 0.0)
        self._colour = QColor(self.board.colour)
        self._ink, self._offer = Ink(Drawing(self._size)), Ink(Drawing(self._size))
        self.sheet.paint_over(self._paint_over)
        self.board.shown.connect(self._show_drawing)
        self.board.offer_changed.connect(self._show_offer)
        self.board.drawing_changed.connect(self._tell_tool)
        self._listen()

    def set_tools(self, first: Tool, turned: Tool) -> None:
        """``first``: in hand to begin with. ``turned``: in hand while a pen is used by its other end."""
        self._turned_tool = turned
        self.take_up(first)

    def take_up(self, tool: Tool) -> None:
        """Another tool is in the hand."""
        if tool is not self.tool:
            self.let_go()
            self.tool.put_down()
            self.tool = tool
            tool.taken_up()
            self.sheet.update()

    def let_go(self) -> None:
        """What is in hand is taken back."""
        if self.sheet.grip is not None:
            self.sheet.grip.let_go()
        self.tool.take_back()

    def set_canvas(self, size: Size) -> None:
        """Another canvas: everything is in its mm from now on."""
        if size != self._size:
            self._size = size
            self._veil = _Veil(size, self._veil.strength)

    def show_picture(self, picture: Picture, mapping: Mapping) -> None:
        """Hang the reference, or a better picture of it; the sight is kept."""
        self.board.bare = Hanging("Reference", picture, mapping, (self._veil,))
        self.sheet.show_hanging(self._hanging(picture, mapping))
        self._arrange()

    def fade(self, share: float) -> None:
        """How far the reference is held back, 0 (not at all) to 1."""
        self._veil = _Veil(self._size, share)
        if self.board.bare is not None:
            self.show_picture(self.board.bare.picture, self.board.bare.mapping)

    def fit(self) -> None:
        """Show the whole canvas."""
        self._look_at(centred(self._size.width_mm, self._size.height_mm, self._fit_zoom()), fitted=True)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.StyleChange, QEvent.Type.FontChange):
            self._arrange()
        super().changeEvent(event)

    def _take_key(self, event: QKeyEvent) -> bool:
        if event.key() == Qt.Key.Key_Escape:
            self._escape(event)
            return True
        return self.board.bare is not None and (self.tool.key(event) or super()._take_key(event))

    def _escape(self, event: QKeyEvent) -> None:
        if self.sheet.grip is not None and self.sheet.grip.drawing:
            self.let_go()
        elif not self.tool.key(event):
            self.gave_up.emit()

    def _listen(self) -> None:
        grip = self.sheet.grip
        assert isinstance(grip, Grip)
        grip.pressed.connect(self._press)
        grip.dragged.connect(lambda at: self.tool.drag(at, shift=_shift()))
        grip.released.connect(self._release)
        grip.hovered.connect(self._hover)
        grip.left.connect(self._hover)
        grip.taken_back.connect(self._take_back)

    def _press(self, at: QPointF, double: bool) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        grip = self.sheet.grip
        if grip is not None and grip.pen_is_turned and self._turned_tool is not None:
            self._before_turning = self.tool
            self.tool = self._turned_tool
        self.tool.press(at, double=double, shift=_shift())

    def _tell_tool(self) -> None:
        self.tool.drawing_changed()

    def _hover(self, at: QPointF | None = None) -> None:
        self.tool.hover(at)

    def _release(self, at: QPointF) -> None:
        self.tool.release(at)
        self._turn_back()

    def _take_back(self) -> None:
        self.tool.take_back()
        self._turn_back()

    def _turn_back(self) -> None:
        if self._before_turning is not None:
            self.tool.hover(None)
            self.tool, self._before_turning = self._before_turning, None

    def _look_at(self, sight: Sight, *, fitted: bool = False) -> None:
        bare = self.board.bare
        if bare is None:
            return
        self._fitted = fitted
        fit = self._fit_zoom()
        most = max(MOST_PX_PER_PX * bare.mapping.px_per_mm, fit)
        self.sheet.look_at(Reach(self._size.width_mm, self._size.height_mm, fit * LEAST_OF_FIT, most).hold(sight))

    def _fit_zoom(self) -> float:
        assert self.board.bare is not None
        room = QRectF(self.sheet.rect())
        return fit_zoom(self.board.bare.mapping, self._size.width_mm, self._size.height_mm, room, _MARGIN_PX)

    def _arrange(self) -> None:
        if self.board.bare is not None:
            super()._arrange()

    def _show_drawing(self, drawing: Drawing) -> None:
        """Only what differs is painted anew."""
        before, self._ink = self._ink, self._ink.after(drawing)
        same_colour, self._colour = self._colour == self.board.colour, QColor(self.board.colour)
        bare = self.board.bare
        if bare is None:
            return
        hanging = self._hanging(bare.picture, bare.mapping)
        if same_colour and drawing.landmarks == before.drawing.landmarks:
            contour_px = look.px(CONTOUR.width_px)
            self.sheet.mend(hanging, changed_region(self._ink, before, self.sheet.placed(), contour_px))
        else:
            self.sheet.show_hanging(hanging)

    def _show_offer(self, lines: tuple[Line, ...]) -> None:
        bare = self.board.bare
        if bare is not None and lines != self._offer.drawing.lines:
            self._offer = self._offer.after(Drawing(self._size, lines))
            self.sheet.show_hanging(self._hanging(bare.picture, bare.mapping))

    def _hanging(self, picture: Picture, mapping: Mapping) -> Hanging:
        """Lines that are offered stand out from the painter's own by being light where those are dark, or dark.

        Landmarks have an acetate of their own, so that one that is moved leaves the lines as they are.
        """
        colour = self.board.colour
        bare_lines = partial(Acetate, weight_px=CONTOUR.width_px, landmarks=False)
        overlays: list[Overlay] = [self._veil]
        if self._offer.drawing.lines:
            overlays.append(bare_lines(self._offer, colour=marks.rim_for(colour)))
        overlays.append(bare_lines(self._ink, colour=colour))
        if marked := self._ink.drawing.landmarks:
            overlays.append(Acetate.of(Drawing(self._size, (), marked), colour=colour))
        return Hanging("Reference", picture, mapping, tuple(overlays))

    def _paint_over(self, painter: QPainter, placed: Placed) -> None:
        self.tool.paint(painter, placed)


class _Veil:
    """A sheet of paper over the reference, more or less see-through."""

    def __init__(self, size: Size, strength: float) -> None:
        self._size, self.strength = size, strength

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.strength > 0.0:
            corner, opposite = placed.point(0.0, 0.0), placed.point(self._size.width_mm, self._size.height_mm)
            painter.setOpacity(self.strength)
            painter.fillRect(QRectF(corner, opposite), look.PAPER)


def _shift() -> bool:
    return shift_held(QGuiApplication.keyboardModifiers())
