"""The values at one place of several pictures: a robust mean over a small disc, with its spread."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

SIZE_MM = 2.0
_LEAST_KNOWN = 0.5
_CUT = 0.2
_NORMAL = 1.4826


@dataclass(frozen=True)
class Reading:
    """``value``: Munsell value, the mean of the disc without its lightest and darkest fifth. ``spread``: robust
    standard deviation within it (1.4826 times the median deviation), steps: brushwork, or an edge. ``known``: share of
    the disc that can be judged, 0-1."""

    value: float
    spread: float
    known: float


def reading(
    value_maps: Sequence[NDArray[Any]], x_mm: float, y_mm: float, size_mm: float = SIZE_MM, *, px_per_mm: float
) -> tuple[Reading | None, ...]:
    """Read every map ``(H, W)`` (Munsell value, NaN: withheld) in a disc ``size_mm`` across at a point of the canvas.

    None for a map where the point lies outside or less than half of the disc is known. At least one pixel is read.
    ValueError when a size is not above 0.
    """
    if not (px_per_mm > 0 and size_mm > 0):
        raise ValueError(f"px_per_mm and size_mm must be above 0, got {px_per_mm}, {size_mm}")
    return tuple(
        _one(values, x_mm * px_per_mm - 0.5, y_mm * px_per_mm - 0.5, size_mm * px_per_mm / 2) for values in value_maps
    )


def _one(values: NDArray[Any], column: float, row: float, radius: float) -> Reading | None:
    height, width = values.shape
    if not (-0.5 <= column <= width - 0.5 and -0.5 <= row <= height - 0.5):
        return None
    radius = max(radius, 0.5**0.5)
    top, left = max(0, int(np.ceil(row - radius))), max(0, int(np.ceil(column - radius)))
    patch = np.asarray(values[top : int(row + radius) + 1, left : int(column + radius) + 1], dtype=np.float64)
    y, x = np.ogrid[: patch.shape[0], : patch.shape[1]]
    disc = patch[np.hypot(x + left - column, y + top - row) <= radius + 1e-9]
    told = np.sort(disc[np.isfinite(disc)])
    if not told.size or told.size < _LEAST_KNOWN * disc.size:
        return None
    cut = int(_CUT * told.size)
    middle = told[cut : told.size - cut]
    spread = _NORMAL * float(np.median(np.abs(told - np.median(told))))
    return Reading(float(middle.mean()), spread, told.size / disc.size)
