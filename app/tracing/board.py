"""What every tool works with: the drawing as it is, the edges of the reference, and how both lie on the screen."""

import math
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, QPointF, QRectF, Signal
from PySide6.QtGui import QColor, QImage

from app import look
from app.tracing.sheet import TraceSheet
from app.wall.hanging import Hanging
from app.wall.kinds import CONTOUR, Kind
from app.wall.mapping import Points
from app.wall.sight import Placed
from core.drawing.drawing import Drawing, Line
from core.size import Size

if TYPE_CHECKING:
    from core.drawing.pick import Picker
    from core.drawing.snap import Edges

REACH_PX = 14.0  # how near is near enough, with a mouse or a pen
OFF_CANVAS = "That lies beside the canvas, so nothing was drawn."
SNAP_PX, LEAST_SNAP_MM, MOST_SNAP_MM = 8.0, 0.5, 4.0


class Board(QObject):
    """Tools read it and ask it to ``commit``; ``edited`` has the drawing kept, ``shown`` has it painted."""

    edited = Signal(object, str)  # Drawing, what was done
    shown = Signal(object)  # Drawing to be painted, which during a drag leaves out what is held
    drawing_changed = Signal()
    offer_changed = Signal(object)  # the lines that are offered, a tuple
    chosen_changed = Signal()  # what is chosen of it
    said = Signal(str)  # a passing sentence

    bare: Hanging | None = None
    """The reference without any lines, as it hangs now."""

    def __init__(self, sheet: TraceSheet, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.sheet = sheet
        self.drawing = Drawing(Size(400, 300))
        self.edges: Edges | None = None
        self.snapping = True
        self.kind: Kind = CONTOUR
        self.colour = QColor(look.INK)

    def show(self, drawing: Drawing) -> None:
        """The drawing is another now."""
        if drawing is not self.drawing:
            self.drawing = drawing
            self.__dict__.pop("picker", None)
            self.drawing_changed.emit()
        self.shown.emit(drawing)

    def commit(self, drawing: Drawing, label: str) -> None:
        """A tool has changed the drawing: it is shown at once, and kept."""
        self.show(drawing)
        self.edited.emit(drawing, label)

    def draw(self, line: Line, label: str) -> None:
        """Commit a new line, or as much of it as lies on the canvas."""
        from core.drawing.edit import add_line
        from core.drawing.on_canvas import on_canvas

        drawing = self.drawing
        for part in on_canvas(line, drawing.size):
            drawing, _ = add_line(drawing, part)
        if drawing is self.drawing:
            self.said.emit(OFF_CANVAS)
        else:
            self.commit(drawing, label)

    @cached_property
    def picker(self) -> "Picker":
        from core.drawing.pick import Picker

        return Picker(self.drawing)

    @property
    def placed(self) -> Placed:
        return self.sheet.placed()

    def mm_at(self, at: QPointF) -> tuple[float, float]:
        """The place on the canvas under a point of the screen."""
        return self.placed.mm_at(at) or (0.0, 0.0)

    def mm(self, px: float) -> float:
        """So much of the screen, in mm on the canvas."""
        return px / self.sheet.sight.zoom

    @property
    def reach_mm(self) -> float:
        return self.mm(look.px(REACH_PX))

    @property
    def snap_mm(self) -> float:
        """How far a place is brought to an edge: what the hand misses by on the screen, within sense on the canvas."""
        return min(max(self.mm(SNAP_PX), LEAST_SNAP_MM), MOST_SNAP_MM)

    def snapped_place(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """On the nearest strong edge of the reference, where snapping is on and there is one."""
        if self.edges is None or not self.snapping:
            return x_mm, y_mm
        from core.drawing.snap import snap_place

        return snap_place(self.edges, x_mm, y_mm, reach_mm=self.snap_mm)

    def snapped_stroke(self, points: Points, *, closed: bool) -> Points:
        """The same for a stroke ``(n, 2)`` mm."""
        if self.edges is None or not self.snapping:
            return points
        from core.drawing.snap import snap_stroke

        return snap_stroke(self.edges, points, reach_mm=self.snap_mm, closed=closed)

    def bare_frame(self) -> QImage:
        """What the sheet shows under the lines."""
        assert self.bare is not None
        return self.sheet.frame_of(self.bare)

    def rect_about(self, points: Points, margin_px: float) -> QRectF:
        """The part of the screen about places ``(n, 2)`` mm."""
        there = self.placed.points(points)
        (left, top), (right, bottom) = there.min(axis=0), there.max(axis=0)
        return QRectF(left, top, right - left, bottom - top).adjusted(-margin_px, -margin_px, margin_px, margin_px)

    def refresh(self, *rects: QRectF) -> None:
        """Paint these parts of the screen again; all of it when none is named."""
        if not rects:
            self.sheet.update()
        for rect in rects:
            self.sheet.update(rect.toAlignedRect())

    def is_on_canvas(self, x_mm: float, y_mm: float) -> bool:
        """Whether a place is on the canvas, or so near it that the hand meant its edge."""
        x, y = self.inside(x_mm, y_mm)
        return math.dist((x, y), (x_mm, y_mm)) <= self.reach_mm

    def inside(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """The nearest place on the canvas."""
        size = self.drawing.size
        return float(np.clip(x_mm, 0.0, size.width_mm)), float(np.clip(y_mm, 0.0, size.height_mm))
