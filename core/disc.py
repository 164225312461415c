"""The light of a small disc of a picture, part by part, so that brush marks do not pass for sureness."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

PARTS = 4
_LEAST_KNOWN = 0.5
_LEAST_IN_PART = 4


@dataclass(frozen=True, eq=False)
class Disc:
    """``mean``: ``(3,)`` linear light of the disc; ``pixels``: ``(n, 3)`` of each known pixel; ``parts``: ``(k, 3)``
    means of its sectors, k up to ``PARTS``; ``known``: share of the disc that can be judged, 0-1."""

    mean: Floats
    pixels: Floats
    parts: Floats
    known: float


def disc_of(
    linear: NDArray[Any], x_mm: float, y_mm: float, radius_mm: float, *, px_per_mm: float, withheld: Mask | None = None
) -> Disc | None:
    """The disc of linear light ``(H, W, 3)`` (NaN: withheld) about a point of the canvas; at least one pixel is read.

    None where the point lies outside or less than half of the disc is known. ValueError when a size is not above 0.
    """
    if not (px_per_mm > 0 and radius_mm > 0):
        raise ValueError(f"px_per_mm and radius_mm must be above 0, got {px_per_mm}, {radius_mm}")
    height, width = linear.shape[:2]
    column, row, radius = x_mm * px_per_mm - 0.5, y_mm * px_per_mm - 0.5, max(radius_mm * px_per_mm, 0.5**0.5)
    if not (-0.5 <= column <= width - 0.5 and -0.5 <= row <= height - 0.5):
        return None
    top, left = max(0, int(np.ceil(row - radius))), max(0, int(np.ceil(column - radius)))
    part = np.s_[top : int(row + radius) + 1, left : int(column + radius) + 1]
    patch = np.asarray(linear[part], dtype=np.float64)
    y, x = np.mgrid[: patch.shape[0], : patch.shape[1]].astype(np.float64)
    y, x = y + top - row, x + left - column
    inside = np.hypot(x, y) <= radius + 1e-9
    known = inside & np.isfinite(patch).all(axis=2)
    if withheld is not None:
        known &= ~withheld[part]
    share = float(known.sum()) / max(float(inside.sum()), 1.0)
    if share < _LEAST_KNOWN or not known.any():
        return None
    sector = ((np.arctan2(y, x)[known] + np.pi) / (2 * np.pi) * PARTS).astype(np.int64) % PARTS
    pixels = patch[known]
    count = np.bincount(sector, minlength=PARTS)
    sums = np.stack([np.bincount(sector, pixels[:, k], PARTS) for k in range(3)], axis=1)
    large = count >= _LEAST_IN_PART
    return Disc(pixels.mean(axis=0), pixels, sums[large] / count[large][:, None], share)
