"""How the edges of a painting are looked at: plain values, kept with its view. Every change gives new ``EdgeView``.

What is planned is no such setting: it is the brief, which is kept with the painting and can be undone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from app.stepping import BRUSHES_MM
from core.edge.brief import MOST_STRENGTH, USUAL_VIEWING_MM
from core.edge.kinds import EdgeKind
from core.size import PAPERS

VIEWINGS_MM = (300.0, 400.0, 500.0, 600.0, 800.0, 1000.0, 1200.0, 1500.0, 2000.0, 2500.0, 3000.0, 4000.0, 5000.0)
STRENGTHS = tuple(k / 4 for k in range(round(4 * MOST_STRENGTH) + 1))
RADII_MM = (5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0, 120.0, 150.0, 200.0, 300.0, 500.0)
WANTED = (0.0, 0.02, 0.05, 0.08, 0.1, 0.12, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5)
BOUNDS_MM = (
    *(round(0.05 * k, 2) for k in range(2, 20)),
    *(round(0.1 * k, 1) for k in range(10, 30)),
    *(0.5 * k for k in range(6, 40)),
)
"""The widths that the bounds of the kinds can be stepped to."""


@dataclass(frozen=True)
class EdgeView:
    """``viewing_mm`` and ``strength``: of the eye while the plan has none of its own. ``rings``: focal points are
    shown. ``kind`` and ``brush_mm``: of the brush. ``numbers``: what a check found is numbered. ``paper``: its name."""

    viewing_mm: float = USUAL_VIEWING_MM
    strength: float = 1.0
    rings: bool = True
    kind: EdgeKind = EdgeKind.SOFT
    brush_mm: float = 8.0
    numbers: bool = True
    paper: str = "A4"

    def to_json(self) -> dict[str, Any]:
        return {each.name: getattr(self, each.name) for each in fields(self)}

    @classmethod
    def from_json(cls, data: Any) -> "EdgeView":
        """Those that were kept; each part that cannot be read is as usual."""
        found = cls()
        for part in fields(cls) if isinstance(data, dict) else ():
            if part.name in data:
                try:
                    found = replace(found, **{part.name: _READ[part.name](data[part.name])})
                except (TypeError, ValueError, OverflowError):
                    continue
        return found


def _number_of(among: Sequence[float]) -> Any:
    def read(data: Any) -> float:
        number = float(data)
        if not math.isfinite(number):
            raise ValueError("a setting is a number")
        return min(max(number, among[0]), among[-1])

    return read


def _paper(data: Any) -> str:
    if data not in PAPERS:
        raise ValueError("no such paper")
    return str(data)


_READ: dict[str, Any] = {
    "viewing_mm": _number_of(VIEWINGS_MM),
    "strength": _number_of(STRENGTHS),
    "rings": bool,
    "kind": EdgeKind,
    "brush_mm": _number_of(BRUSHES_MM),
    "numbers": bool,
    "paper": _paper,
}
