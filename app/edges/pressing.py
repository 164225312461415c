"""Focal points and the brush on the wall: put, moved and widened by hand; brushed along an edge of the reference."""

import math
from dataclasses import replace
from enum import StrEnum

from PySide6.QtCore import Signal
from PySide6.QtGui import QPainter

from app import look
from app.brushing import MANY
from app.measures import onto
from app.stepping import MOST_STROKES
from app.view import Question
from app.wall.focus_rings import paint_focus
from app.wall.hanging import Hanging
from app.wall.sight import Placed
from app.wall_tool import PressTool
from core.edge.brief import Brushed, FocalPoint

Point = tuple[float, float]

HOLD_PX = 16.0
_NEEDS_CORNERS = "Place the canvas’s corners first: a focal point is put on the canvas laid flat, or on the reference."
_LOOK_ONLY = "This painting is open only to look, so its edges cannot be planned. Open it to work in it."
_ON_REFERENCE = "Brush along the edge in the reference: that is what is planned."
_LEAST_RADIUS_MM = 1.0


class For(StrEnum):
    """What the wall is pressed for."""

    FOCUS = "focus"
    BRUSH = "brush"


_ADVICE: dict[StrEnum, str] = {
    For.FOCUS: "press to put a focal point · drag its ring or its middle · Esc leaves",
    For.BRUSH: "brush along an edge · hold Space to move the picture · Esc leaves",
}


class EdgePressing(PressTool):
    """``focus_put``: a new one, mm. ``focus_set``: its index and what it is now. ``focus_pressed``: its index.
    ``brushed``: a stroke."""

    focus_put = Signal(float, float)
    focus_set = Signal(int, object, str)
    focus_pressed = Signal(int)
    brushed = Signal(object)

    advice = _ADVICE
    look_only = _LOOK_ONLY
    held: tuple[int, FocalPoint] | None = None
    _grip: Point | None = None  # from the middle to where it was taken; None: by its ring

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.held is not None:
            index, focus = self.held
            paint_focus(painter, placed, focus, index + 1, chosen=True)
        if self.at is For.BRUSH and self._over_reference(placed):
            self._brush.paint(painter, placed, self._studio.view.edges.brush_mm, self.pointer)
        super().paint(painter, placed)

    def take(self, at: Point, hanging: Hanging) -> bool:
        if self.at is For.FOCUS:
            return self._take_focus(at)
        if self.at is not For.BRUSH:
            return False
        if hanging.of_canvas:
            self._say(_ON_REFERENCE)
            return False
        if len(self._studio.edges.brief.brushed) >= MOST_STROKES:
            self._say(MANY)
            return False
        self._brush.take(at)
        self.wall.repaint_tool()
        return True

    def move(self, at: Point, hanging: Hanging) -> None:
        if self.held is not None:
            self.held = self.held[0], self._moved(self.held[1], at)
        else:
            self._brush.move(at, self._studio.view.edges.brush_mm)
        self.wall.repaint_tool()

    def drop(self, at: Point, hanging: Hanging, *, moved: bool) -> None:
        held, by_ring = self.held, self._grip is None
        stroke = self._brush.drop(at, moved=moved)
        self.cancel()
        if held is not None and moved:
            self.focus_set.emit(*held, "changed a focal point’s radius" if by_ring else "moved a focal point")
        elif held is not None:
            self.focus_pressed.emit(held[0])
        elif stroke:
            settings = self._studio.view.edges
            self.brushed.emit(Brushed(stroke, settings.brush_mm, settings.kind))

    def cancel(self) -> None:
        was_held = self.held is not None
        self.held, self._grip = None, None
        self._brush.cancel()
        self.wall.repaint_tool()
        if was_held:
            self._studio.wall_changed.emit()  # its ring lies over the pictures again

    def _take_focus(self, at: Point) -> bool:
        """The ring or the middle of a focal point that lies here, the last of them first."""
        hold_mm = look.px(HOLD_PX) / self.wall.sight.zoom
        foci = list(enumerate(self._studio.edges.brief.foci))
        for index, focus in reversed(foci):
            away = math.dist(at, (focus.x_mm, focus.y_mm))
            by_middle = away <= min(hold_mm, focus.radius_mm / 2)
            if by_middle or abs(away - focus.radius_mm) <= hold_mm:
                self.held = index, focus
                self._grip = (focus.x_mm - at[0], focus.y_mm - at[1]) if by_middle else None
                self._studio.wall_changed.emit()
                self.wall.repaint_tool()
                return True
        return False

    def _moved(self, focus: FocalPoint, at: Point) -> FocalPoint:
        size = self._studio.painting.size
        if self._grip is not None:
            x, y = onto((at[0] + self._grip[0], at[1] + self._grip[1]), size)
            return replace(focus, x_mm=round(x, 1), y_mm=round(y, 1))
        most = math.hypot(size.width_mm, size.height_mm)
        radius = min(max(math.dist(at, (focus.x_mm, focus.y_mm)), _LEAST_RADIUS_MM), most)
        return replace(focus, radius_mm=round(radius, 1))

    def _over_reference(self, placed: Placed) -> bool:
        return any(not hanging.of_canvas and hanging.mapping is placed.mapping for hanging in self.wall.hangings)

    def _click(self, x_mm: float, y_mm: float, which: int) -> None:
        if self.at is not For.FOCUS:
            return
        if self.wall.hangings[which].is_measured:
            self.focus_put.emit(x_mm, y_mm)
        else:
            self._say(_NEEDS_CORNERS)

    @property
    def shows_pointer(self) -> bool:
        return self.at is For.BRUSH

    def _leave_if_gone(self) -> None:
        if self._studio.view.question is not Question.EDGE:
            self.leave()
