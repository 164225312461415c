"""Local matching: where each small window of the reference is found on the canvas, and how well each direction holds.

Normalised cross-correlation of direction planes under a Gaussian window, over all shifts of a small search range. The
top of the correlation surface gives the displacement below a pixel, its curvature how firmly each direction is held:
an edge holds across and not along, a flat passage holds nothing.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drift_features import energy
from core.drawing.drift_grid import Grid

Plane = NDArray[np.float32]
Array = NDArray[np.float64]

LIKENESS_FROM, LIKENESS_FULL = 0.1, 0.3
"""Correlation below the first is taken for no match at all; from the second on it counts fully."""


@dataclass(frozen=True)
class Readings:
    """One reading at each node of the grid.

    ``drift``: ``(h, w, 2)`` mm. ``firmness``: ``(h, w, 3)``, the xx, xy, yy of the information matrix (1/mm²) that the
    node adds. ``likeness``: ``(h, w)``, the correlation at the match.
    """

    drift: Array
    firmness: Array
    likeness: Array


def read_windows(
    reference: Plane, canvas: Plane, seen: Plane, grid: Grid, *, px_per_mm: float, search_px: int, window_mm: float,
    stroke_mm2: float,
) -> Readings:  # fmt: skip
    """Readings of direction planes ``(C, H, W)`` under windows of sigma ``window_mm``, within ``search_px``.

    ``seen``: ``(H, W)`` float32, 0 where the canvas is withheld. ``stroke_mm2``: the area over which errors of the
    brushwork go together, which says how many independent looks a window has.
    """
    surface = _correlations(reference, canvas, seen, grid, search_px, window_mm)
    return _readings(surface, search_px, px_per_mm, grid.cell_mm2 / stroke_mm2)


def _correlations(reference: Plane, canvas: Plane, seen: Plane, grid: Grid, search: int, window_mm: float) -> Array:
    _, height, width = reference.shape
    sigma = window_mm / grid.step_x

    def pooled(plane: Plane) -> Plane:
        cells = cv2.resize(plane, (grid.width, grid.height), interpolation=cv2.INTER_AREA)
        return np.asarray(cv2.GaussianBlur(cells, (0, 0), sigma, borderType=cv2.BORDER_CONSTANT), dtype=np.float32)

    edge = ((search, search), (search, search))
    visible = np.pad(canvas * seen, ((0, 0), *edge))
    strength, mask = np.pad(energy(canvas) * seen, edge), np.pad(seen, edge)
    own = energy(reference)
    n = 2 * search + 1
    surface = np.zeros((n, n, grid.height, grid.width))
    for row in range(n):
        for column in range(n):
            at = (slice(row, row + height), slice(column, column + width))
            alike = pooled(np.einsum("chw,chw->hw", reference, visible[(slice(None), *at)]))
            both = pooled(own * mask[at]) * pooled(np.ascontiguousarray(strength[at]))
            surface[row, column] = alike / np.sqrt(np.maximum(both, 1e-6))
    return surface


def _readings(surface: Array, search: int, px_per_mm: float, looks: float) -> Readings:
    """A quadratic through the nine correlations about the highest (least squares)."""
    n = 2 * search + 1
    best = surface.reshape(n * n, *surface.shape[2:]).argmax(axis=0)
    row, column = (np.clip(k, 1, n - 2) for k in np.divmod(best, n))
    at = np.indices(best.shape)
    z = np.stack([[surface[row + j, column + i, *at] for i in (-1, 0, 1)] for j in (-1, 0, 1)])
    slope_x, slope_y = (z[:, 2] - z[:, 0]).sum(axis=0) / 6, (z[2] - z[0]).sum(axis=0) / 6
    xx = -(z[:, 2] - 2 * z[:, 1] + z[:, 0]).sum(axis=0) / 3
    yy = -(z[2] - 2 * z[1] + z[0]).sum(axis=0) / 3
    xy = -(z[2, 2] - z[2, 0] - z[0, 2] + z[0, 0]) / 4
    likeness = z.max(axis=(0, 1))

    mean, half = (xx + yy) / 2, np.hypot((xx - yy) / 2, xy)
    turn = 0.5 * np.arctan2(2 * xy, xx - yy)
    c, s = np.cos(turn), np.sin(turn)
    steep, gentle = np.maximum(mean + half, 0), np.maximum(mean - half, 0)
    across = np.clip((c * slope_x + s * slope_y) / np.maximum(steep, 1e-4), -1.5, 1.5)
    along = np.clip((c * slope_y - s * slope_x) / np.maximum(gentle, 1e-4), -1.5, 1.5)
    drift = np.stack([column - search + c * across - s * along, row - search + s * across + c * along], -1) / px_per_mm

    sure = np.clip((likeness - LIKENESS_FROM) / (LIKENESS_FULL - LIKENESS_FROM), 0, 1) ** 2
    rho = np.clip(likeness, 0.02, 0.98)
    gain = sure * looks * rho / (1 - rho**2) * px_per_mm**2
    steep, gentle = steep * gain, gentle * gain
    firmness = np.stack([c * c * steep + s * s * gentle, c * s * (steep - gentle), s * s * steep + c * c * gentle], -1)
    return Readings(drift, firmness, likeness)
