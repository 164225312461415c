"""Suggested lines, offered over the reference, few or many: a brush takes them or leaves them out."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app import look
from app.tracing.board import Board
from app.tracing.brush import BrushTool
from app.wall import marks
from app.wall.mapping import Points
from app.wall.sight import Placed
from core.drawing.drawing import Drawing, Line

if TYPE_CHECKING:
    from core.drawing.suggest import Suggestion

BRUSH_PX = 14.0
_TRAIL_PX = 3.0
FEW = 0.4


class Suggester(BrushTool):
    """Offers what was found; takes or leaves out what the brush touches."""

    name = "trace_suggest"
    word = "Suggest"
    hint = "Brush over the lines you want, or want left out."

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.amount = FEW
        self.takes = True
        """Whether the brush takes lines, or leaves them out."""
        self._suggestion: Suggestion | None = None
        self._left_out: set[int] = set()  # the id of each; the suggestion holds the lines
        self._there: set[int] = set()
        self._there_in: Drawing | None = None  # the drawing that ``there`` was told of
        self._offered: tuple[Line, ...] = ()

    @property
    def offered(self) -> tuple[Line, ...]:
        """The lines that are offered now."""
        return self._offered

    def offer(self, suggestion: "Suggestion | None") -> None:
        """Offer other lines, or none."""
        self._suggestion = suggestion
        self._left_out.clear()
        self._there_in = None
        self._renew()

    def set_amount(self, amount: float) -> None:
        """From few lines (0) to all that were found (1)."""
        self.amount = amount
        self._renew()

    def take_all(self) -> None:
        """Everything that is offered becomes part of the drawing."""
        self._take(range(len(self._offered)))

    def taken_up(self) -> None:
        self._renew()

    def put_down(self) -> None:
        super().put_down()
        self._offered = ()
        self.board.offer_changed.emit(())

    def drawing_changed(self) -> None:
        self._renew()

    def done(self, path: Points) -> None:
        from core.drawing.suggest_brush import within_brush

        touched = [int(k) for k in within_brush(self._offered, path, self.board.mm(look.px(BRUSH_PX)))]
        if self.takes:
            self._take(touched)
        else:
            self._left_out.update(id(self._offered[k]) for k in touched)
            self._renew()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.stroke is not None:
            pens = [marks.pen(look.INK, look.px(2 * _TRAIL_PX)), marks.pen(look.PAPER, look.px(_TRAIL_PX))]
            self.stroke.paint(painter, placed, self.board.sheet.exposed, *pens)
        if self.at is not None:
            marks.ring(painter, self.at, look.px(BRUSH_PX), look.px(1.5))

    def grown(self, rect: QRectF) -> QRectF:
        reach = look.px(BRUSH_PX) + 4.0
        return rect.adjusted(-reach, -reach, reach, reach)

    def _take(self, indices: Sequence[int]) -> None:
        from core.drawing.edit import add_line

        drawing: Drawing = self.board.drawing
        for index in indices:
            drawing, _ = add_line(drawing, self._offered[index])
        if many := len(indices):
            self.board.commit(drawing, "took a suggested line" if many == 1 else f"took {many} suggested lines")

    def _drawn_already(self) -> set[int]:
        """The id of each line that was taken, or that the painter has drawn."""
        from core.drawing.drawn_already import drawn_already

        every = [] if self._suggestion is None else [each.line for each in self._suggestion.lines]
        there = drawn_already(every, self.board.drawing)
        return {id(line) for line, drawn in zip(every, there, strict=True) if drawn}

    def _renew(self) -> None:
        found = [] if self._suggestion is None else self._suggestion.at(self.amount)
        if self._there_in is not self.board.drawing:
            self._there_in, self._there = self.board.drawing, self._drawn_already()
        self._offered = tuple(line for line in found if id(line) not in self._left_out | self._there)
        self.board.offer_changed.emit(self._offered)
