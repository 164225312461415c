"""Pins over a picture, each with what was read there, and the lines between light and shadow."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app import look
from app.wall import marks
from app.wall.mapping import Mapping
from app.wall.sight import Placed
from app.wall.trace import Trace, trace_of

_LEAST_PX = 5.0


@dataclass(frozen=True)
class MarkedPin:
    """``at``, mm; ``radius_mm``: of what is read there. ``is_chosen``: the others are compared with it. ``name``: the
    painter's, which stands on the plate where there is room."""

    number: int | str
    at: tuple[float, float]
    radius_mm: float
    is_chosen: bool = False
    name: str = ""


@dataclass(frozen=True, eq=False)
class Parting:
    """Where light and shadow part: ``lines`` ``(n, 2)`` mm each."""

    lines: tuple[NDArray[np.float64], ...]


@dataclass(frozen=True, eq=False)
class PinMarks:
    """A ring about what each pin reads with its number beside it; ``parting`` of light and shadow."""

    pins: tuple[MarkedPin, ...] = ()
    parting: Parting | None = None

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.parting is not None and self.parting.lines:
            marks.stroke_trace(painter, _trace(self.parting, placed.mapping), placed, look.px(2.0))
        seen = [pin for pin in self.pins if placed.viewport.contains(placed.point(*pin.at))]
        for pin in seen:
            width_px = look.px(3.5 if pin.is_chosen else 2.0)
            marks.ring(painter, placed.point(*pin.at), _radius_px(pin, placed), width_px)
        for pin, (centre, words) in zip(seen, plates(seen, placed), strict=True):
            marks.badge(painter, centre, words, dark=pin.is_chosen)


def plates(pins: Sequence[MarkedPin], placed: Placed) -> list[tuple[QPointF, str]]:
    """Where the plate of each pin stands and what is on it: its number, and its name where that is in the picture's
    frame and over no other pin or plate."""
    middles = [_beside(pin, placed) for pin in pins]
    taken = [marks.badge_rect(middle, str(pin.number)) for middle, pin in zip(middles, pins, strict=True)]
    rings = [_around(pin, placed) for pin in pins]
    words = [str(pin.number) for pin in pins]
    for index, (middle, pin) in enumerate(zip(middles, pins, strict=True)):
        named = f"{pin.number} {pin.name}"
        wide = marks.badge_rect(middle, named)
        others = [each for n, each in enumerate(zip(taken, rings, strict=True)) if n != index]
        free = not any(wide.intersects(plate) or wide.intersects(ring) for plate, ring in others)
        if pin.name and free and placed.viewport.contains(wide):
            words[index], taken[index] = named, wide
    return list(zip(middles, words, strict=True))


def _radius_px(pin: MarkedPin, placed: Placed) -> float:
    return max(placed.screen_px(pin.radius_mm, *pin.at), look.px(_LEAST_PX))


def _around(pin: MarkedPin, placed: Placed) -> QRectF:
    centre, radius = placed.point(*pin.at), _radius_px(pin, placed)
    return QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius)


def _beside(pin: MarkedPin, placed: Placed) -> QPointF:
    """Above its ring, or below it at the top of the wall."""
    ring, away = _around(pin, placed), look.px(2.0)
    half = marks.badge_rect(ring.center(), str(pin.number)).height() / 2
    above, below = ring.top() - half - away, ring.bottom() + half + away
    return QPointF(ring.center().x(), above if above - half > placed.viewport.top() else below)


@lru_cache(maxsize=16)
def _trace(parting: Parting, mapping: Mapping) -> Trace:
    return trace_of([line[:-1] for line in parting.lines], [line[1:] for line in parting.lines], mapping)
