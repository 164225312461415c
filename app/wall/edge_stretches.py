"""Stretches of edges that are too hard or too soft, over the canvas: lines with their numbers."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.mapping import Mapping
from app.wall.sight import Placed
from app.wall.trace import LONGEST_CHORD_MM, Trace, divided, trace_of
from app.wall.value_marks import clear_place

_WIDTH_PX, _CHOSEN_PX = 2.2, 4.2
_AWAY_PX = 14.0


@dataclass(frozen=True, eq=False)
class NumberedStretch:
    """``points_mm`` ``(n, 2)`` along it, n ≥ 2; the number stands beside ``at``, mm."""

    number: str
    points_mm: NDArray[np.float64]
    at: tuple[float, float]


@dataclass(frozen=True, eq=False)
class NumberedStretches:
    """The ``chosen`` one is drawn heavier and its number light on dark. A number without room is left out, unless it is
    that of the chosen one."""

    stretches: tuple[NumberedStretch, ...]
    chosen: str | None = None

    def paint(self, painter: QPainter, placed: Placed) -> None:
        for each in self.stretches:
            width = look.px(_CHOSEN_PX if each.number == self.chosen else _WIDTH_PX)
            marks.stroke_trace(painter, _line(each, placed.mapping), placed, width)
        taken: list[QRectF] = []
        for each in sorted(self.stretches, key=lambda each: each.number != self.chosen):
            anchor = placed.point(*each.at)
            if not placed.viewport.contains(anchor):
                continue
            own = marks.badge_rect(anchor, each.number).translated(0, -look.px(_AWAY_PX))
            rect = clear_place(own, taken, placed.viewport) or (own if each.number == self.chosen else None)
            if rect is not None:
                taken.append(rect)
                marks.badge(painter, rect.center(), each.number, dark=each.number == self.chosen)


@lru_cache(maxsize=256)
def _line(stretch: NumberedStretch, mapping: Mapping) -> Trace:
    points = stretch.points_mm if mapping.is_flat else divided(stretch.points_mm, LONGEST_CHORD_MM)
    return trace_of([points[:-1]], [points[1:]], mapping)
