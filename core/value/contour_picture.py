"""Contour lines drawn over a picture: the pattern carries the sign, the weight the whole steps, so it reads in grey."""

from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray

from core.value.contour_lines import ContourLine

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]

WEIGHT_MM, HEAVY_MM = 0.2, 0.4
"""Of lines at half steps, and at whole ones."""
DASH_MM, GAP_MM = 3.0, 2.0
_ON_DARK, _ON_LIGHT = (238, 238, 238), (30, 30, 30)
_FINE = 4


def with_contours(picture: Pixels, lines: Iterable[ContourLine], *, px_per_mm: float) -> Pixels:
    """A copy of ``picture`` ``(H, W, 3)`` sRGB with the lines on it: dashed and light where too dark, unbroken and dark
    where too light; heavier at whole steps. ValueError when ``px_per_mm`` is not above 0."""
    if not px_per_mm > 0:
        raise ValueError(f"px_per_mm must be above 0, got {px_per_mm}")
    drawn = picture.copy()
    for line in lines:
        dark = line.level < 0
        whole = abs(line.level - round(line.level)) < 1e-6
        wide = max(1, round((HEAVY_MM if whole else WEIGHT_MM) * px_per_mm)) + (whole and px_per_mm < 1 / HEAVY_MM)
        points = np.vstack([line.points_mm, line.points_mm[:1]]) if line.closed else line.points_mm
        parts = dashes(points) if dark else [points]
        pixels = [np.rint((part * px_per_mm - 0.5) * 2**_FINE).astype(np.int32).reshape(-1, 1, 2) for part in parts]
        cv2.polylines(drawn, pixels, False, _ON_DARK if dark else _ON_LIGHT, wide, cv2.LINE_AA, _FINE)
    return drawn


def dashes(points_mm: Floats, dash_mm: float = DASH_MM, gap_mm: float = GAP_MM) -> list[Floats]:
    """The dashes of a line ``(n, 2)``, each ``(m, 2)``; the corners of the line are kept."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points_mm, axis=0).T))])
    parts = []
    for start in np.arange(0.0, along[-1], dash_mm + gap_mm):
        end = min(start + dash_mm, along[-1])
        at = np.concatenate([[start], along[(along > start) & (along < end)], [end]])
        parts.append(np.stack([np.interp(at, along, points_mm[:, k]) for k in (0, 1)], axis=1))
    return parts
