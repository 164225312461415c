"""The points of a line: choose a line, drag its nodes and handles, put nodes in and take them out, join ends."""

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPainterPath

from app import look
from app.tracing.board import OFF_CANVAS, Board
from app.tracing.tool import Tool
from app.wall import marks
from app.wall.kinds import Kind
from app.wall.line_work import paint_line
from app.wall.sight import Placed
from core.drawing import edit, nodes
from core.drawing.drawing import Drawing, Line
from core.drawing.edit import End

_NODE_PX, _HANDLE_PX, _JOIN_PX = 6.0, 4.5, 15.0
_MARGIN_PX = 24.0
_SLACK_PX = 3.0


@dataclass(frozen=True)
class _Held:
    """A point in hand: which, where the hand went down, and whether it has moved."""

    point: int
    pressed_at: QPointF
    moved: bool = False


class Points(Tool):
    """Works on one chosen line and one chosen node of it."""

    name = "trace_points"
    word = "Points"
    hint = (
        "Press a line to see its points; drag them. Double-click adds a point or takes one out. "
        "An end dragged onto an end joins it."
    )

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self._line: Line | None = None
        self._node: int | None = None
        self._held: _Held | None = None
        self._live: Line | None = None  # the chosen line as the hand has it
        self._joins: End | None = None

    @property
    def chosen(self) -> int | None:
        """The index of the chosen line, or None."""
        return next((k for k, line in enumerate(self.board.drawing.lines) if line is self._line), None)

    @property
    def chosen_node(self) -> int | None:
        """The number of the chosen node of that line, or None."""
        return self._node if self._line is not None else None

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        x, y = self.board.mm_at(at)
        point = self._point_near(x, y)
        if double and self._line is not None:
            self._put_in_or_take_out(point, x, y)
        elif point is not None:
            self._held = _Held(point, at)
            if point % 3 == 0:
                self._choose(self._line, point // 3)
        else:
            found = self.board.picker.line(x, y, self.board.reach_mm)
            self._choose(None if found is None else self.board.drawing.lines[found.line], None)

    def drag(self, at: QPointF, *, shift: bool) -> None:
        held, line, index = self._held, self._line, self.chosen
        if held is None or line is None or index is None:
            return
        away = at - held.pressed_at
        if not held.moved and away.manhattanLength() < _SLACK_PX:
            return
        if not held.moved:
            self._held = replace(held, moved=True)
            self.board.shown.emit(edit.remove_lines(self.board.drawing, [index]))
        before = self._rect()
        x, y = self.board.mm_at(at)
        self._joins = self._end_near(held.point, index, x, y)
        if self._joins is not None:
            x, y = self._joins.place(self.board.drawing).tolist()
        elif held.point % 3 == 0:
            x, y = self.board.inside(*self.board.snapped_place(x, y))
        self._live = nodes.moved(line, held.point, np.array([x, y]))
        self.board.refresh(before, self._rect())

    def release(self, at: QPointF) -> None:
        held, live, index, joins = self._held, self._live, self.chosen, self._joins
        self._held = self._live = self._joins = None
        if held is None or live is None or index is None:
            return
        if joins is None:
            self._put_on_canvas(index, live)
            return
        drawing = edit.replace_line(self.board.drawing, index, live)
        own = End(index, at_start=held.point == 0)
        joined = edit.join(drawing, own, joins)
        self._line, self._node = joined.lines[index - (joins.line < index)], None
        self.board.commit(joined, "closed a line" if joins.line == index else "joined two lines")

    def take_back(self) -> None:
        moved = self._held is not None and self._held.moved
        self._held = self._live = self._joins = None
        if moved:
            self.board.shown.emit(self.board.drawing)

    def put_down(self) -> None:
        super().put_down()
        self._choose(None, None)

    def drawing_changed(self) -> None:
        self._held = self._live = self._joins = None
        if self.chosen is None:
            self._line = self._node = None
        elif self._line is not None and self._node is not None and 3 * self._node >= len(self._line.points):
            self._node = None
        self.board.chosen_changed.emit()

    def key(self, event: QKeyEvent) -> bool:
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self._line is not None:
            if self._node is not None:
                self.take_out_point()
            else:
                self.remove_line()
            return True
        if event.key() == Qt.Key.Key_Escape and self._line is not None:
            self._choose(None, None)
            return True
        return False

    def take_out_point(self) -> None:
        """Without the chosen node."""
        index, node = self.chosen, self._node
        if index is not None and node is not None:
            self._node = None
            self._put(index, edit.delete_node(self.board.drawing, index, node), "took out a point")

    def remove_line(self) -> None:
        """Without the chosen line."""
        index = self.chosen
        if index is not None:
            self.board.commit(edit.remove_lines(self.board.drawing, [index]), "removed a line")

    def make(self, kind: Kind) -> bool:
        """The chosen line becomes one of this kind; False when none is chosen."""
        index = self.chosen
        if index is None:
            return False
        if self.board.drawing.lines[index].layer != kind.layer:
            made = f"made a line {'an' if kind.layer[0] in 'aeiou' else 'a'} {kind.layer}"
            self._put(index, edit.set_layer(self.board.drawing, [index], kind.layer), made)
        return True

    def paint(self, painter: QPainter, placed: Placed) -> None:
        line = self._live or self._line
        if line is None:
            return
        if self._live is not None:
            paint_line(painter, line, placed, self.board.colour)
        self._paint_handles(painter, placed, line)
        last = (len(line.points) - 1) // 3
        for node, (x, y) in enumerate(placed.points(line.points[::3]).tolist()):
            if not (line.closed and node == last):
                _square(painter, QPointF(x, y), look.px(_NODE_PX), dark=self._is_chosen_node(node, last))
        if self._joins is not None:
            at = placed.point(*self._joins.place(self.board.drawing).tolist())
            marks.ring(painter, at, look.px(_JOIN_PX), look.px(2.5))

    def _paint_handles(self, painter: QPainter, placed: Placed, line: Line) -> None:
        arms, knobs = QPainterPath(), []
        for handle in self._handles(line):
            node = 3 * (handle // 3) if handle % 3 == 1 else handle + 1
            (x, y), (node_x, node_y) = placed.points(line.points[[handle, node]]).tolist()
            arms.moveTo(node_x, node_y)
            arms.lineTo(x, y)
            knobs.append(QPointF(x, y))
        marks.stroke(painter, arms, look.px(1.0))
        for knob in knobs:
            marks.ring(painter, knob, look.px(_HANDLE_PX), look.px(1.5))

    def _handles(self, line: Line) -> list[int]:
        """The handles that are shown: those of the curves beside the chosen node."""
        if self._node is None:
            return []
        count = (len(line.points) - 1) // 3
        curves = {self._node - 1, self._node}
        curves = {curve % count for curve in curves} if line.closed else curves & set(range(count))
        return sorted(handle for curve in curves for handle in (3 * curve + 1, 3 * curve + 2))

    def _is_chosen_node(self, node: int, last: int) -> bool:
        return self._node is not None and node == (self._node % last if self._closed else self._node)

    @property
    def _closed(self) -> bool:
        return self._line is not None and self._line.closed

    def _point_near(self, x_mm: float, y_mm: float) -> int | None:
        from core.drawing.pick import point_of

        line = self._line
        if line is None:
            return None
        among = [*range(0, len(line.points) - (1 if line.closed else 0), 3), *self._handles(line)]
        return point_of(line, x_mm, y_mm, self.board.reach_mm, among=among)

    def _end_near(self, point: int, index: int, x_mm: float, y_mm: float) -> End | None:
        """Another free end near enough to be joined to the end in hand."""
        line = self.board.drawing.lines[index]
        if line.closed or point not in (0, len(line.points) - 1):
            return None
        return self.board.picker.end(x_mm, y_mm, self.board.reach_mm, but=(End(index, at_start=point == 0),))

    def _put_in_or_take_out(self, point: int | None, x_mm: float, y_mm: float) -> None:
        self._held = None
        index = self.chosen
        if point is not None and point % 3 == 0:
            self._node = point // 3
            self.take_out_point()
            return
        found = self.board.picker.line(x_mm, y_mm, self.board.reach_mm)
        if point is not None or index is None or found is None or found.line != index:
            return
        if found.place != int(found.place):
            self._node = int(found.place) + 1
            self._put(index, edit.insert_node(self.board.drawing, index, found.place), "put in a point")

    def _put_on_canvas(self, index: int, moved: Line) -> None:
        """Commit the chosen line as the hand left it; where it leaves the canvas now, it is cut."""
        from core.drawing.on_canvas import on_canvas

        parts = on_canvas(moved, self.board.drawing.size)
        if not parts:
            self.board.said.emit(OFF_CANVAS)
            self.board.shown.emit(self.board.drawing)
            return
        self._line = max(parts, key=lambda part: part.length_mm)
        if parts != (moved,):
            self._node = None
        self.board.commit(edit.replace_line(self.board.drawing, index, *parts), "moved a point")

    def _put(self, index: int, drawing: Drawing, label: str) -> None:
        """Commit a drawing whose line ``index`` stays the chosen one."""
        gone = len(drawing.lines) < len(self.board.drawing.lines)
        self._line = None if gone else drawing.lines[index]
        self.board.commit(drawing, label)

    def _choose(self, line: Line | None, node: int | None) -> None:
        if line is not self._line or node != self._node:
            self._line, self._node = line, node
            self.board.refresh()
            self.board.chosen_changed.emit()

    def _rect(self) -> QRectF:
        line = self._live or self._line
        return QRectF() if line is None else self.board.rect_about(line.points, look.px(_MARGIN_PX))


def _square(painter: QPainter, centre: QPointF, half: float, *, dark: bool) -> None:
    ground, ink = (look.INK, look.PAPER) if dark else (look.PAPER, look.INK)
    painter.setPen(marks.pen(ink, look.px(1.5)))
    painter.setBrush(ground)
    painter.drawRect(QRectF(centre.x() - half, centre.y() - half, 2 * half, 2 * half))
