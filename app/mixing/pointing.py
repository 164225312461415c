"""Pressing on a passage of the reference that is to be mixed."""

from collections.abc import Mapping
from enum import StrEnum
from typing import ClassVar

from PySide6.QtCore import Signal
from PySide6.QtGui import QPainter

from app import look
from app.measures import onto
from app.view import Question
from app.wall import marks
from app.wall.sight import Placed
from app.wall_tool import PressTool

_ON_REFERENCE = "Press on the reference: it is its colours that are mixed."
_BESIDE = "That is beside the canvas. Press on it."


class For(StrEnum):
    """What is being pressed for."""

    PASSAGE = "passage"


class MixPointing(PressTool):
    """The tool of the wall while passages are chosen. ``pressed``: a place on the reference, mm."""

    pressed = Signal(float, float)

    advice: ClassVar[Mapping[StrEnum, str]] = {For.PASSAGE: "press on a passage to mix it · Esc leaves"}
    look_only = ""

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.at is For.PASSAGE and self.pointer is not None and self._over_reference(placed):
            span_mm = self._studio.view.mixing.span_mm
            radius = max(placed.screen_px(span_mm / 2, *self.pointer), look.px(3.0))
            marks.ring(painter, placed.point(*self.pointer), radius, look.px(2.0))
        super().paint(painter, placed)

    @property
    def shows_pointer(self) -> bool:
        return self.at is For.PASSAGE

    def press(self, at: tuple[float, float]) -> None:
        """Choose a place, if it lies on the canvas."""
        if onto(at, self._studio.painting.size) == (float(at[0]), float(at[1])):
            self.pressed.emit(*at)
        else:
            self._say(_BESIDE)

    def _over_reference(self, placed: Placed) -> bool:
        return any(not hanging.of_canvas and hanging.mapping is placed.mapping for hanging in self.wall.hangings)

    def _click(self, x_mm: float, y_mm: float, which: int) -> None:
        if self.at is None:
            return
        if self.wall.hangings[which].of_canvas:
            self._say(_ON_REFERENCE)
        else:
            self.press((x_mm, y_mm))

    def _leave_if_gone(self) -> None:
        if self._studio.view.question is not Question.MIX:
            self.leave()
