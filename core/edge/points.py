"""Where edges run, seen at one scale: places where the values change fastest across, found between the pixels.

The crests of the gradient's magnitude along the gradient (Canny, IEEE PAMI 8(6), 1986, 679-698), each moved to the top
of the parabola through it and what lies one pixel before and behind.
"""

from dataclasses import dataclass, fields

import cv2
import numpy as np
from numpy.typing import NDArray

from core.edge.scale import Floats, Scaled, sampled

_RIM_PX = 2
_FARTHEST_PX = 0.6


@dataclass(frozen=True, eq=False)
class EdgePoints:
    """``n`` places: ``x_mm, y_mm``; ``nx, ny``: across the edge, towards the lighter side, of length 1; ``steepness``:
    Munsell steps per mm. Each ``(n,)`` float64."""

    x_mm: Floats
    y_mm: Floats
    nx: Floats
    ny: Floats
    steepness: Floats

    def __len__(self) -> int:
        return len(self.x_mm)

    def only(self, which: NDArray[np.bool_] | NDArray[np.intp]) -> "EdgePoints":
        return EdgePoints(*(getattr(self, each.name)[which] for each in fields(self)))


def gradient(scaled: Scaled) -> tuple[Floats, Floats]:
    """Munsell steps per mm to the right and down, each ``(h, w)`` float32."""
    across = cv2.Scharr(scaled.value, cv2.CV_32F, 1, 0, scale=scaled.px_per_mm / 32)
    down = cv2.Scharr(scaled.value, cv2.CV_32F, 0, 1, scale=scaled.px_per_mm / 32)
    return np.asarray(across), np.asarray(down)


def edge_points(scaled: Scaled, steep_from: float) -> EdgePoints:
    """All crests that are at least so steep, Munsell steps per mm."""
    across, down = gradient(scaled)
    steep = np.asarray(np.hypot(across, down), dtype=np.float32)
    inner = np.zeros(steep.shape, bool)
    inner[_RIM_PX:-_RIM_PX, _RIM_PX:-_RIM_PX] = True
    rows, columns = np.nonzero(inner & (steep > steep_from))
    here = steep[rows, columns].astype(np.float64)
    nx, ny = across[rows, columns] / here, down[rows, columns] / here
    before, behind = (sampled(steep, columns + side * nx, rows + side * ny).astype(np.float64) for side in (1, -1))
    crest = (here >= before) & (here > behind)
    column, row = columns[crest].astype(np.float64), rows[crest].astype(np.float64)
    here, nx, ny, before, behind = (each[crest] for each in (here, nx, ny, before, behind))
    off = np.clip(0.5 * (before - behind) / np.maximum(2 * here - before - behind, 1e-9), -_FARTHEST_PX, _FARTHEST_PX)
    density = scaled.px_per_mm
    return EdgePoints((column + off * nx + 0.5) / density, (row + off * ny + 0.5) / density, nx, ny, here)


def thinned(points: EdgePoints, apart_mm: float) -> EdgePoints:
    """The steepest point of each square of that side."""
    column, row = (np.floor(each / apart_mm).astype(np.int64) for each in (points.x_mm, points.y_mm))
    order = np.argsort(-points.steepness, kind="stable")
    _, first = np.unique((row * (column.max(initial=0) + 1) + column)[order], return_index=True)
    return points.only(order[first])
