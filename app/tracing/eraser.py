"""The eraser: rubs out what lies under a round brush; what is gone is seen to go."""

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QImage, QPainter, QPen, QTransform

from app import look
from app.tracing.board import Board
from app.tracing.stroke import Stroke
from app.tracing.tool import Tool
from app.wall import marks
from app.wall.mapping import Points
from app.wall.sight import Placed
from core.drawing.drawing import Drawing

RADII_MM = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0)


class Eraser(Tool):
    """Shows the sheet without lines along its way; cuts the lines when the hand is lifted."""

    name = "trace_eraser"
    word = "Eraser"
    hint = "Rub over the lines; they are cut at the brush’s edge."

    def __init__(self, board: Board) -> None:
        super().__init__(board)
        self.radius_mm = RADII_MM[2]
        self._stroke: Stroke | None = None
        self._bare: QImage | None = None
        self._at: QPointF | None = None

    def press(self, at: QPointF, *, double: bool, shift: bool) -> None:
        self._stroke = Stroke()
        self._bare = self.board.bare_frame()
        self._go_on(at)

    def drag(self, at: QPointF, *, shift: bool) -> None:
        if self._stroke is not None:
            self._go_on(at)

    def release(self, at: QPointF) -> None:
        if self._stroke is None:
            return
        self._go_on(at)
        path = self._stroke.points
        self.take_back()
        drawing = self._without(path)
        if drawing is not self.board.drawing:
            self.board.commit(drawing, "rubbed out")

    def take_back(self) -> None:
        if self._stroke is not None:
            extent = self._stroke.extent(self.board.placed)
            self._stroke = self._bare = None
            self.board.refresh(self._grown(extent))

    def hover(self, at: QPointF | None) -> None:
        for each in (self._at, at):
            if each is not None:
                self.board.refresh(self._grown(QRectF(each, each)))
        self._at = at

    def put_down(self) -> None:
        super().put_down()
        self.hover(None)

    def set_radius(self, radius_mm: float) -> None:
        """The size of the brush, mm on the canvas."""
        self.radius_mm = radius_mm
        self.board.refresh()

    def paint(self, painter: QPainter, placed: Placed) -> None:
        radius = self.radius_mm * placed.sight.zoom
        if self._stroke is not None and self._bare is not None:
            brush = QBrush(self._bare)
            ratio = self._bare.devicePixelRatio()
            brush.setTransform(QTransform.fromScale(1 / ratio, 1 / ratio))
            pen = QPen(marks.pen(self.board.colour, 2 * radius))
            pen.setBrush(brush)
            self._stroke.paint(painter, placed, self.board.sheet.exposed, pen)
        if self._at is not None:
            marks.ring(painter, self._at, radius, look.px(1.5), look.INK)

    def _go_on(self, at: QPointF) -> None:
        assert self._stroke is not None
        placed = self.board.placed
        mm = placed.mm_at(at)
        if mm is not None and (changed := self._stroke.add(at, mm, placed)) is not None:
            self.board.refresh(self._grown(changed))
        self.hover(at)

    def _without(self, path: Points) -> Drawing:
        from core.drawing.erase import erase

        return erase(self.board.drawing, path, radius_mm=self.radius_mm)

    def _grown(self, rect: QRectF) -> QRectF:
        reach = self.radius_mm * self.board.sheet.sight.zoom + look.px(4.0)
        return rect.adjusted(-reach, -reach, reach, reach)
