"""The straight line: from where the hand goes down to where it is lifted."""

import math

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app import look
from app.tracing.board import Board
from app.tracing.tool import Tool
from app.wall.line_work import paint_line
from app.wall.sight import Placed
from core.drawing.drawing import Line

LEAST_PX = 4.0
_EIGHTH = math.pi / 4
_MARGIN_PX = 6.0


class Straight(Tool):
    """Draws one straight line; with Shift upright, level or half way between."""

    name = "trace_straight"
    word = "Straight"
    hint = "Press where the line begins and let go where it ends. Shift keeps it upright, level or half way between."

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self._from: tuple[float, float] | None = None
        self._to = (0.0, 0.0)

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        self._from = self._to = self.board.snapped_place(*self.board.mm_at(at))

    def drag(self, at: QPointF, *, shift: bool) -> None:
        if self._from is None:
            return
        before = self._rect()
        wanted = self.board.mm_at(at)
        self._to = _to_eighths(self._from, wanted) if shift else self.board.snapped_place(*wanted)
        self.board.refresh(before, self._rect())

    def release(self, at: QPointF) -> None:
        if self._from is None:
            return
        rect, (begin, end) = self._rect(), (self._from, self._to)
        self._from = None
        self.board.refresh(rect)
        if math.dist(begin, end) >= self.board.mm(LEAST_PX):
            self.board.draw(Line.through(np.array([begin, end]), layer=self.board.kind.layer), "drew a straight line")

    def take_back(self) -> None:
        if self._from is not None:
            rect = self._rect()
            self._from = None
            self.board.refresh(rect)

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self._from is not None and self._from != self._to:
            line = Line.through(np.array([self._from, self._to]), layer=self.board.kind.layer)
            paint_line(painter, line, placed, self.board.colour)

    def _rect(self) -> QRectF:
        return self.board.rect_about(np.array([self._from, self._to]), look.px(_MARGIN_PX))


def _to_eighths(begin: tuple[float, float], end: tuple[float, float]) -> tuple[float, float]:
    """The end turned about the beginning to the nearest eighth of a turn."""
    length = math.dist(begin, end)
    turn = round(math.atan2(end[1] - begin[1], end[0] - begin[0]) / _EIGHTH) * _EIGHTH
    return begin[0] + length * math.cos(turn), begin[1] + length * math.sin(turn)
