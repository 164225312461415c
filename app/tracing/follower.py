"""Following an edge: press along it here and there, and the line runs along the edge in between."""

import math
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter

from app import look
from app.tracing.board import OFF_CANVAS, Board
from app.tracing.pen import fitted
from app.tracing.tool import Tool
from app.wall import marks
from app.wall.line_work import paint_line
from app.wall.mapping import Points
from app.wall.sight import Placed
from core.drawing.drawing import Line

if TYPE_CHECKING:
    from core.drawing.follow import Way

_DOT_PX, _MARGIN_PX = 5.0, 16.0
NO_EDGES = "The reference is still being looked at; its edges can be followed in a moment."


class Follower(Tool):
    """A press begins the line and each further press goes on; a double press, Enter or its beginning ends it."""

    name = "trace_follow"
    word = "Follow"
    hint = "Press along an edge: the line follows it. A double press or Enter ends the line; Esc gives it up."

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self._pressed: list[tuple[float, float]] = []
        self._done: list[Points] = []  # the way from each place that was pressed to the next
        self._way: Way | None = None
        self._ahead: Points | None = None  # from the last of them to the pointer

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        if self.board.edges is None:
            self.board.said.emit(NO_EDGES)
        elif double and self._pressed:
            self._end(closed=False)
        elif len(self._pressed) > 1 and self._is_beginning(at):
            self._go_to(self._pressed[0])
            self._end(closed=True)
        elif not (self._pressed or self.board.is_on_canvas(*self.board.mm_at(at))):
            self.board.said.emit(OFF_CANVAS)
        else:
            place = self.board.inside(*self.board.snapped_place(*self.board.mm_at(at)))
            if not self._pressed or math.dist(place, self._pressed[-1]) > self.board.mm(2.0):
                self._go_to(place)

    def drag(self, at: QPointF, *, shift: bool) -> None:
        self.hover(at)

    def hover(self, at: QPointF | None) -> None:
        if self._way is None:
            return
        before = self._rect()
        self._ahead = None if at is None else self._way.to(*self.board.snapped_place(*self.board.mm_at(at)))
        self.board.refresh(before, self._rect())

    def take_back(self) -> None:
        rect = self._rect()
        self._pressed, self._done, self._way, self._ahead = [], [], None, None
        self.board.refresh(rect)

    def drawing_changed(self) -> None:
        self.take_back()

    def key(self, event: QKeyEvent) -> bool:
        if not self._pressed:
            return False
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._end(closed=False)
        elif event.key() == Qt.Key.Key_Escape:
            self.take_back()
        elif event.key() == Qt.Key.Key_Backspace:
            self._go_back()
        else:
            return False
        return True

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if parts := self._parts():
            line = Line.through(_joined(parts), layer=self.board.kind.layer)
            paint_line(painter, line, placed, self.board.colour)
        for x, y in self._pressed:
            marks.ring(painter, placed.point(x, y), look.px(_DOT_PX), look.px(2.0))

    def _go_to(self, place: tuple[float, float]) -> None:
        from core.drawing.follow import Way

        assert self.board.edges is not None
        if self._way is not None:
            self._done.append(self._way.to(*place))
        self._pressed.append(place)
        self._way, self._ahead = Way(self.board.edges, *place), None
        self.board.refresh()

    def _go_back(self) -> None:
        """Without the last place that was pressed."""
        from core.drawing.follow import Way

        self._pressed, self._done = self._pressed[:-1], self._done[:-1]
        edges = self.board.edges
        self._way = Way(edges, *self._pressed[-1]) if self._pressed and edges is not None else None
        self._ahead = None
        self.board.refresh()

    def _end(self, *, closed: bool) -> None:
        done = self._done
        self.take_back()
        if done:
            points = _joined(done)
            line = fitted(self.board, points[:-1] if closed else points, closed=closed)
            self.board.draw(line, "followed an edge")

    def _is_beginning(self, at: QPointF) -> bool:
        begin = self.board.placed.point(*self._pressed[0])
        return math.hypot(at.x() - begin.x(), at.y() - begin.y()) <= look.px(_MARGIN_PX)

    def _parts(self) -> list[Points]:
        """The way so far, and on to the pointer."""
        return [*self._done, *([self._ahead] if self._ahead is not None else [])]

    def _rect(self) -> QRectF:
        parts = self._parts()
        if self._pressed:
            parts.append(np.array(self._pressed))
        return self.board.rect_about(np.concatenate(parts), look.px(_MARGIN_PX)) if parts else QRectF()


def _joined(parts: list[Points]) -> Points:
    """One course of several, each of which begins where the one before ends."""
    return np.concatenate([parts[0], *(part[1:] for part in parts[1:])])
