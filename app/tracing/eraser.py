"""The eraser: rubs out what lies under a round brush; what is gone is seen to go."""

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QImage, QPainter, QPen, QTransform

from app import look
from app.tracing.board import Board
from app.tracing.brush import BrushTool
from app.wall import marks
from app.wall.mapping import Points
from app.wall.sight import Placed

RADII_MM = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0)


class Eraser(BrushTool):
    """Shows the sheet without lines along its way; cuts the lines when the hand is lifted."""

    name = "trace_eraser"
    word = "Eraser"
    hint = "Rub over the lines; they are cut at the brush’s edge."

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.radius_mm = RADII_MM[2]
        self._bare: QImage | None = None

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        self._bare = self.board.bare_frame()
        super().press(at, double=double, shift=shift)

    def done(self, path: Points) -> None:
        from core.drawing.erase import erase

        drawing = erase(self.board.drawing, path, radius_mm=self.radius_mm)
        if drawing is not self.board.drawing:
            self.board.commit(drawing, "rubbed out")

    def take_back(self) -> None:
        super().take_back()
        self._bare = None

    def set_radius(self, radius_mm: float) -> None:
        """The size of the brush, mm on the canvas."""
        self.radius_mm = radius_mm
        self.board.refresh()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        radius = self.radius_mm * placed.sight.zoom
        if self.stroke is not None and self._bare is not None:
            brush = QBrush(self._bare)
            ratio = self._bare.devicePixelRatio()
            brush.setTransform(QTransform.fromScale(1 / ratio, 1 / ratio))
            pen = QPen(marks.pen(self.board.colour, 2 * radius))
            pen.setBrush(brush)
            self.stroke.paint(painter, placed, self.board.sheet.exposed, pen)
        if self.at is not None:
            marks.ring(painter, self.at, radius, look.px(1.5), look.INK)

    def grown(self, rect: QRectF) -> QRectF:
        reach = self.radius_mm * self.board.sheet.sight.zoom + look.px(4.0)
        return rect.adjusted(-reach, -reach, reach, reach)
