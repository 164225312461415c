"""What the painter brushes into the light or into the shadow by hand, as the families take it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from core.strokes import pixels_under_line


class Family(StrEnum):
    """Where a passage is brushed; ``AS_FOUND`` takes back what earlier strokes said of it."""

    LIGHT = "light"
    SHADOW = "shadow"
    AS_FOUND = "as found"


_WRITTEN = {Family.LIGHT: 1, Family.SHADOW: -1, Family.AS_FOUND: 0}


@dataclass(frozen=True)
class FamilyStroke:
    """What lies under a polyline of x, y mm (one point: a dab), as wide as ``width_mm``, is of ``family``.
    ValueError where it has no point, or a number that is none."""

    points_mm: tuple[tuple[float, float], ...]
    width_mm: float
    family: Family

    def __post_init__(self) -> None:
        if not self.points_mm or not all(math.isfinite(mm) for at in self.points_mm for mm in at):
            raise ValueError("a stroke needs points on the canvas")
        if not 0 < self.width_mm < math.inf:
            raise ValueError("a brush is wider than 0 mm")


def overrides_of(
    strokes: Iterable[FamilyStroke], shape: tuple[int, int], *, px_per_mm: float
) -> NDArray[np.int8] | None:
    """``(H, W)`` int8 for :func:`core.temperature.families.families_of`: 1 light, -1 shadow, 0 as found; where strokes
    lie over one another the later one counts. None where there are none."""
    overrides: NDArray[np.int8] | None = None
    for stroke in strokes:
        if overrides is None:
            overrides = np.zeros(shape, np.int8)
        under = pixels_under_line(shape, stroke.points_mm, stroke.width_mm, px_per_mm=px_per_mm)
        overrides[under] = _WRITTEN[stroke.family]
    return overrides
