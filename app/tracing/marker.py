"""The landmark tool: names a point, moves it, gives it another name, takes it away."""

import math

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app import look
from app.tracing.board import OFF_CANVAS, Board
from app.tracing.naming import Naming
from app.tracing.tool import Tool
from app.wall import marks
from app.wall.pointer import paint_cross
from app.wall.sight import Placed
from core.drawing import edit
from core.errors import DrawingError

_RING_PX, _MARGIN_PX = 8.0, 40.0
_SLACK_PX = 4.0


class Marker(Tool):
    """A press on the picture places a landmark and asks for its name; a press on a landmark takes hold of it."""

    name = "trace_landmark"
    word = "Landmark"
    hint = "Press where a landmark is and name it. Drag a landmark to move it; press it to rename it or take it away."

    def __init__(self, board: Board, naming: Naming) -> None:
        super().__init__(board)
        self._naming = naming
        self._index: int | None = None  # of the landmark in hand; None for a new one
        self._place: tuple[float, float] | None = None
        self._pressed_at = QPointF()
        self._moved = False
        naming.named.connect(self._name)
        naming.removed.connect(self._remove)
        naming.given_up.connect(self.take_back)

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        self.take_back()
        x, y = self.board.mm_at(at)
        self._index = self.board.picker.landmark(x, y, self.board.reach_mm)
        self._pressed_at, self._moved = at, False
        if self._index is None:
            if not self.board.is_on_canvas(x, y):
                self.board.said.emit(OFF_CANVAS)
                return
            self._place = self.board.inside(*self.board.snapped_place(x, y))
        else:
            mark = self.board.drawing.landmarks[self._index]
            self._place = (mark.x_mm, mark.y_mm)
        self.board.refresh(self._rect())

    def drag(self, at: QPointF, *, shift: bool) -> None:
        if self._place is None:
            return
        away = at - self._pressed_at
        if not self._moved and math.hypot(away.x(), away.y()) < _SLACK_PX:
            return
        if not self._moved and self._index is not None:
            self.board.shown.emit(edit.remove_landmark(self.board.drawing, self._index))
        self._moved = True
        before = self._rect()
        self._place = self.board.inside(*self.board.snapped_place(*self.board.mm_at(at)))
        self.board.refresh(before, self._rect())

    def release(self, at: QPointF) -> None:
        if self._place is None:
            return
        marks_there = self.board.drawing.landmarks
        if self._index is not None and self._moved:
            index, place = self._index, self._place
            self._forget()
            moved = edit.move_landmark(self.board.drawing, index, *place)
            self.board.commit(moved, f"moved the landmark “{marks_there[index].name}”")
            return
        own = None if self._index is None else marks_there[self._index].name
        taken = [mark.name for mark in marks_there if mark.name != own]
        self._naming.ask(self.board.placed.point(*self._place), own, taken)

    def take_back(self) -> None:
        hidden = self._index is not None and self._moved
        self._forget()
        self._naming.hide()
        if hidden:
            self.board.shown.emit(self.board.drawing)

    def drawing_changed(self) -> None:
        self._forget()
        self._naming.hide()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self._place is not None:
            at = placed.point(*self._place)
            marks.ring(painter, at, look.px(_RING_PX), look.px(2.5), self.board.colour)
            paint_cross(painter, at)

    def _name(self, name: str) -> None:
        drawing, index, place = self.board.drawing, self._index, self._place
        if place is None:
            return
        try:
            if index is None:
                changed, label = edit.add_landmark(drawing, name, *place), f"placed the landmark “{name}”"
            else:
                changed, label = edit.rename_landmark(drawing, index, name), f"named a landmark “{name}”"
        except DrawingError as trouble:
            self._naming.say(str(trouble))
            return
        self._forget()
        self._naming.hide()
        if changed != drawing:
            self.board.commit(changed, label)

    def _remove(self) -> None:
        index = self._index
        self._forget()
        self._naming.hide()
        if index is not None:
            name = self.board.drawing.landmarks[index].name
            removed = edit.remove_landmark(self.board.drawing, index)
            self.board.commit(removed, f"took away the landmark “{name}”")

    def _forget(self) -> None:
        rect = self._rect()
        self._index = self._place = None
        self._moved = False
        self.board.refresh(rect)

    def _rect(self) -> QRectF:
        if self._place is None:
            return QRectF()
        at, reach = self.board.placed.point(*self._place), look.px(_MARGIN_PX)
        return QRectF(at.x() - reach, at.y() - reach, 2 * reach, 2 * reach)
