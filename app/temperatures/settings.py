"""How the warmth of a painting is looked at: plain values, kept with its view. Every change gives new ``Temperatures``.

Lengths are mm on the canvas, the boundary is a Munsell value.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from app.stepping import BRUSHES_MM
from core.temperature.strokes import Family

SURROUNDS_MM = (10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0)
STRENGTHS = (0.5, 0.75, 1.0, 1.5, 2.0, 3.0)
FACTORS = (2.0, 3.0, 4.0, 6.0, 8.0)
LEAST_BOUNDARY, MOST_BOUNDARY = 0.5, 9.5


@dataclass(frozen=True)
class Temperatures:
    """``surround_mm``: sigma of what a place is judged against. ``strength``: how near together the bands of the warmth
    picture are drawn. ``factor``: how many times near-neutrals are drawn apart, of ``whole`` pictures or only where
    they are near-neutral. ``boundary`` between light and shadow; None: as it is found. ``outline``: the shadow family
    is outlined. ``pins``: they are shown. ``of_canvas``: the chain of pins is that of the canvas photo. ``family`` and
    ``brush_mm``: of the brush."""

    surround_mm: float = 30.0
    strength: float = 1.0
    factor: float = 4.0
    whole: bool = False
    boundary: float | None = None
    outline: bool = False
    pins: bool = True
    of_canvas: bool = False
    family: Family = Family.SHADOW
    brush_mm: float = 12.0

    def surround_by(self, by: int) -> "Temperatures":
        """A larger surround, or a smaller one."""
        at = nearest(SURROUNDS_MM, self.surround_mm) + by
        return replace(self, surround_mm=SURROUNDS_MM[min(max(at, 0), len(SURROUNDS_MM) - 1)])

    def to_json(self) -> dict[str, Any]:
        return {each.name: getattr(self, each.name) for each in fields(self)}

    @classmethod
    def from_json(cls, data: Any) -> "Temperatures":
        """Those that were kept; each part that cannot be read is as usual."""
        found = cls()
        for part in fields(cls) if isinstance(data, dict) else ():
            if part.name in data:
                try:
                    found = replace(found, **{part.name: _READ[part.name](data[part.name])})
                except (TypeError, ValueError):
                    continue
        return found


def nearest(among: Sequence[float], number: float) -> int:
    """Which of the settings is nearest to a number."""
    return min(range(len(among)), key=lambda i: abs(among[i] - number))


def _one_of(among: Sequence[float]) -> Any:
    def read(data: Any) -> float:
        number = float(data)
        if not math.isfinite(number):
            raise ValueError("a setting is a number")
        return among[nearest(among, number)]

    return read


def _boundary(data: Any) -> float | None:
    if data is None:
        return None
    boundary = float(data)
    if not LEAST_BOUNDARY <= boundary <= MOST_BOUNDARY:
        raise ValueError("the boundary is a Munsell value")
    return boundary


_READ: dict[str, Any] = {
    "surround_mm": _one_of(SURROUNDS_MM),
    "strength": _one_of(STRENGTHS),
    "factor": _one_of(FACTORS),
    "whole": bool,
    "boundary": _boundary,
    "outline": bool,
    "pins": bool,
    "of_canvas": bool,
    "family": Family,
    "brush_mm": _one_of(BRUSHES_MM),
}
