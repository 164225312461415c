"""What tools that follow the hand have in common: a stroke from press to release, a brush about the pointer."""

from PySide6.QtCore import QPointF, QRectF

from app.tracing.board import Board
from app.tracing.stroke import Stroke
from app.tracing.tool import Tool
from app.wall.mapping import Points


class StrokeTool(Tool):
    """Gathers the hand's way; :meth:`done` gets it when the hand is lifted."""

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.stroke: Stroke | None = None

    def done(self, path: Points) -> None:
        """The hand has gone along ``path`` ``(n, 2)`` mm."""

    def grown(self, rect: QRectF) -> QRectF:
        """The part of the screen that a way within ``rect`` paints on."""
        return rect

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        self.stroke = Stroke()
        self.go_on(at)

    def drag(self, at: QPointF, *, shift: bool) -> None:
        if self.stroke is not None:
            self.go_on(at)

    def release(self, at: QPointF) -> None:
        if self.stroke is None:
            return
        self.go_on(at)
        path = self.stroke.points
        self.take_back()
        self.done(path)

    def take_back(self) -> None:
        if self.stroke is not None:
            extent = self.stroke.extent(self.board.placed)
            self.stroke = None
            self.board.refresh(self.grown(extent))

    def go_on(self, at: QPointF) -> None:
        """The stroke in hand grows to a point of the screen."""
        assert self.stroke is not None
        placed = self.board.placed
        mm = placed.mm_at(at)
        if mm is not None and (changed := self.stroke.add(at, mm, placed)) is not None:
            self.board.refresh(self.grown(changed))


class BrushTool(StrokeTool):
    """Knows where the pointer is, to show the brush there."""

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.at: QPointF | None = None

    def go_on(self, at: QPointF) -> None:
        super().go_on(at)
        self.hover(at)

    def hover(self, at: QPointF | None) -> None:
        for each in (self.at, at):
            if each is not None:
                self.board.refresh(self.grown(QRectF(each, each)))
        self.at = at

    def put_down(self) -> None:
        super().put_down()
        self.hover(None)
