"""The pen: a stroke of the hand becomes a smooth line."""

import numpy as np
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app import look
from app.tracing.board import Board
from app.tracing.brush import StrokeTool
from app.wall import marks
from app.wall.mapping import Points
from app.wall.sight import Placed
from core.drawing.drawing import Line

LEAST_PX = 4.0  # a shorter stroke is a slip of the hand
CLOSES_PX, CLOSES_FROM_PX = 12.0, 60.0
STEP_PX, JITTER_PX = 1.5, 7.0  # a mouse tells whole pixels: what it adds is taken out over this much of its way
TREMBLE_PX = 0.8  # how far the line may leave the hand's way, on the screen …
LEAST_MM, MOST_MM = 0.05, 0.5  # … and on the canvas


class Pen(StrokeTool):
    """Draws freehand; a stroke that ends where it began is closed."""

    name = "trace_pen"
    word = "Pen"
    hint = "Draw along what you see. A stroke that comes back to its start becomes a closed line."

    def done(self, path: Points) -> None:
        line = self._line(path)
        if line is not None:
            self.board.draw(line, "drew a line")

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.stroke is not None:
            kind, colour = self.board.kind, self.board.colour
            width = look.px(kind.width_px)
            rim = marks.pen(marks.rim_for(colour), width + 2 * look.px(marks.RIM_PX) * kind.share)
            self.stroke.paint(painter, placed, self.board.sheet.exposed, rim, marks.pen(colour, width))

    def grown(self, rect: QRectF) -> QRectF:
        reach = look.px(self.board.kind.width_px / 2 + marks.RIM_PX) + 2.0
        return rect.adjusted(-reach, -reach, reach, reach)

    def _line(self, points: Points) -> Line | None:
        """The smooth line of a stroke ``(n, 2)`` mm; None for a slip of the hand."""
        from core.drawing.smooth_stroke import smooth_stroke

        length = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        if len(points) < 2 or length < self.board.mm(LEAST_PX):
            return None
        gap = float(np.linalg.norm(points[-1] - points[0]))
        closed = length > self.board.mm(CLOSES_FROM_PX) and gap <= self.board.mm(look.px(CLOSES_PX))
        even = smooth_stroke(points, closed=closed, step_mm=self.board.mm(STEP_PX), reach_mm=self.board.mm(JITTER_PX))
        return fitted(self.board, self.board.snapped_stroke(even, closed=closed), closed=closed)


def fitted(board: Board, points: Points, *, closed: bool) -> Line:
    """The smooth line through points ``(n, 2)`` mm, as near to them as is seen at this zoom."""
    from core.drawing.fit_curve import fit_curve

    tolerance = min(max(board.mm(TREMBLE_PX), LEAST_MM), MOST_MM)
    return Line(fit_curve(points, tolerance_mm=tolerance, closed=closed), closed=closed, layer=board.kind.layer)
