"""The ring about the place that the to-mend list went to."""

import math
from dataclasses import dataclass

from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.sight import Placed

PULSE_MS = 1500
PULSES = 3
_LEAST_RADIUS_PX = 22.0
_SWELL_PX = 14.0
_WIDTH_PX = 3.0


@dataclass(frozen=True)
class Place:
    """A place on the canvas, mm; ``span_mm`` is its diameter."""

    x_mm: float
    y_mm: float
    span_mm: float

    def paint(self, painter: QPainter, placed: Placed, pulse: float) -> None:
        """``pulse`` runs from 0 to 1 while the ring swells and settles; at 1 it is at rest."""
        swell = _SWELL_PX * abs(math.sin(math.pi * PULSES * pulse)) * (1.0 - pulse)
        at = placed.point(self.x_mm, self.y_mm)
        marks.ring(painter, at, self._radius(placed) + swell, look.px(_WIDTH_PX))

    def region(self, placed: Placed) -> QRect:
        """What the ring can cover on the screen at any moment of its pulse."""
        at = placed.point(self.x_mm, self.y_mm)
        reach = self._radius(placed) + _SWELL_PX + look.px(_WIDTH_PX) + 3.0
        return QRectF(at.x() - reach, at.y() - reach, 2 * reach, 2 * reach).toAlignedRect()

    def _radius(self, placed: Placed) -> float:
        return max(placed.screen_px(self.span_mm, self.x_mm, self.y_mm) / 2.0, look.px(_LEAST_RADIUS_PX))
