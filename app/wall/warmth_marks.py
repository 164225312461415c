"""The pins of the temperature question over a picture, and the lines between light and shadow."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.mapping import Mapping
from app.wall.sight import Placed
from app.wall.trace import Trace, trace_of

_LEAST_PX = 5.0


@dataclass(frozen=True)
class WarmthPin:
    """``at``, mm; ``radius_mm``: of what is read there. ``is_chosen``: the others are compared with it."""

    number: int
    at: tuple[float, float]
    radius_mm: float
    is_chosen: bool = False


@dataclass(frozen=True, eq=False)
class Parting:
    """Where light and shadow part: ``lines`` ``(n, 2)`` mm each."""

    lines: tuple[NDArray[np.float64], ...]


@dataclass(frozen=True, eq=False)
class WarmthMarks:
    """A ring about what each pin reads with its number beside it; ``parting`` of light and shadow."""

    pins: tuple[WarmthPin, ...] = ()
    parting: Parting | None = None

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.parting is not None and self.parting.lines:
            marks.stroke_trace(painter, _trace(self.parting, placed.mapping), placed, look.px(2.0))
        for pin in self.pins:
            centre = placed.point(*pin.at)
            if not placed.viewport.contains(centre):
                continue
            radius = max(placed.screen_px(pin.radius_mm, *pin.at), look.px(_LEAST_PX))
            marks.ring(painter, centre, radius, look.px(3.5 if pin.is_chosen else 2.0))
            plate = marks.badge_rect(centre, str(pin.number))
            above = centre.y() - radius - plate.height() / 2 - look.px(2.0)
            below = centre.y() + radius + plate.height() / 2 + look.px(2.0)
            centre.setY(above if above - plate.height() / 2 > placed.viewport.top() else below)
            marks.badge(painter, centre, str(pin.number), dark=pin.is_chosen)


@lru_cache(maxsize=16)
def _trace(parting: Parting, mapping: Mapping) -> Trace:
    return trace_of([line[:-1] for line in parting.lines], [line[1:] for line in parting.lines], mapping)
