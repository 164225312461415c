"""Local matching: where each small window of the reference is found on the canvas, and how well each direction holds.

Normalised cross-correlation of direction planes under a Gaussian window, over all shifts of a small search range. The
top of the correlation surface gives the displacement below a pixel, its curvature how firmly each direction is held:
an edge holds across and not along, a flat passage holds nothing. A correlation of rho over N independent looks holds
with the information N rho / (1 - rho²) times the curvature (the Cramér-Rao bound of a displacement; Quazi 1981).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drift_features import Plane, energy
from core.drawing.drift_grid import Grid

Array = NDArray[np.float64]

LIKENESS_FROM, LIKENESS_FULL = 0.1, 0.3
"""Correlation below the first is taken for no match at all; from the second on it counts fully."""
TWIN_FROM, TWIN_FULL = 0.75, 0.95
"""A second peak this high, against the first, begins to make a reading doubtful, and makes it worthless."""


@dataclass(frozen=True)
class Readings:
    """One reading at each node of the grid.

    ``drift``: ``(h, w, 2)`` mm. ``information``: ``(h, w, 3)``, the xx, xy, yy of the information matrix (1/mm²) that
    the node's own cell adds. ``likeness``: ``(h, w)``, the correlation there. ``overlap``: how many cells a window
    covers.
    """

    drift: Array
    information: Array
    likeness: Array
    overlap: float

    def misfit(self, field: Array) -> Array:
        """Squared distance ``(h, w)`` from a field, in standard deviations of a whole window."""
        x, y = np.moveaxis(self.drift - field, -1, 0)
        xx, xy, yy = np.moveaxis(self.information, -1, 0)
        return np.asarray(self.overlap * (xx * x * x + 2 * xy * x * y + yy * y * y))


@dataclass(frozen=True)
class Window:
    """How to look: resolution, search in pixels, sigma of the window, the area over which errors go together."""

    px_per_mm: float
    search_px: int
    sigma_mm: float
    stroke_mm2: float


def read_windows(
    reference: Sequence[Plane], canvas: Sequence[Plane], seen: Plane, grid: Grid, window: Window
) -> Readings:
    """Readings of direction planes ``(H, W)``; ``seen``: ``(H, W)`` float32, 0 where the canvas is withheld."""
    surface = _correlations(reference, canvas, seen, grid, window)
    overlap = 4 * np.pi * window.sigma_mm**2 / grid.cell_mm2
    drift, information, top = _peaks(surface)
    likeness = surface[*top, *np.indices(top[0].shape)]
    rho = np.clip(likeness, 0.02, 0.98)
    looks = grid.cell_mm2 / window.stroke_mm2
    sure = np.clip((likeness - LIKENESS_FROM) / (LIKENESS_FULL - LIKENESS_FROM), 0, 1) ** 2
    sure *= np.clip((TWIN_FULL - _twin(surface, top)) / (TWIN_FULL - TWIN_FROM), 0.01, 1)
    gain = sure * looks * rho / (1 - rho**2) * window.px_per_mm**2
    return Readings(drift / window.px_per_mm, information * gain[..., None], likeness, overlap)


def _correlations(
    reference: Sequence[Plane], canvas: Sequence[Plane], seen: Plane, grid: Grid, window: Window
) -> Array:
    """``(n, n, h, w)``: shifts down, shifts across, nodes."""
    height, width = seen.shape
    margin = window.search_px
    sigma = window.sigma_mm / grid.step_x

    def pooled(plane: Plane) -> Plane:
        cells = cv2.resize(plane, (grid.width, grid.height), interpolation=cv2.INTER_AREA)
        return np.asarray(cv2.GaussianBlur(cells, (0, 0), sigma, borderType=cv2.BORDER_CONSTANT), dtype=np.float32)

    def framed(plane: Plane) -> Plane:
        return np.asarray(cv2.copyMakeBorder(plane, *(margin,) * 4, cv2.BORDER_CONSTANT, value=0), dtype=np.float32)

    masked = [framed(cv2.multiply(plane, seen)) for plane in canvas]
    strength, mask, own = energy(masked), framed(seen), energy(reference)
    n = 2 * margin + 1
    surface = np.empty((n, n, grid.height, grid.width))
    for row in range(n):
        for column in range(n):
            at = (slice(row, row + height), slice(column, column + width))
            product = cv2.multiply(reference[0], masked[0][at])
            for mine, theirs in zip(reference[1:], masked[1:], strict=True):
                product += mine * theirs[at]
            both = pooled(own * mask[at]) * pooled(np.ascontiguousarray(strength[at]))
            surface[row, column] = pooled(product) / np.sqrt(np.maximum(both, 1e-6))
    return surface


def _peaks(surface: Array) -> tuple[Array, Array, tuple[Array, Array]]:
    """Highest shift in pixels ``(h, w, 2)``, minus the curvature there ``(h, w, 3)``, and its row and column.

    A quadratic is put through the nine correlations about the highest by least squares.
    """
    n = surface.shape[0]
    best = surface.reshape(n * n, *surface.shape[2:]).argmax(axis=0)
    top = np.divmod(best, n)
    row, column = (np.clip(k, 1, n - 2) for k in top)
    at = np.indices(best.shape)
    z = np.stack([[surface[row + j, column + i, *at] for i in (-1, 0, 1)] for j in (-1, 0, 1)])
    slope_x, slope_y = (z[:, 2] - z[:, 0]).sum(axis=0) / 6, (z[2] - z[0]).sum(axis=0) / 6
    xx = -(z[:, 2] - 2 * z[:, 1] + z[:, 0]).sum(axis=0) / 3
    yy = -(z[2] - 2 * z[1] + z[0]).sum(axis=0) / 3
    xy = -(z[2, 2] - z[2, 0] - z[0, 2] + z[0, 0]) / 4

    mean, half = (xx + yy) / 2, np.hypot((xx - yy) / 2, xy)
    turn = 0.5 * np.arctan2(2 * xy, xx - yy)
    c, s = np.cos(turn), np.sin(turn)
    steep, gentle = np.maximum(mean + half, 0), np.maximum(mean - half, 0)
    across = np.clip((c * slope_x + s * slope_y) / np.maximum(steep, 1e-4), -1.5, 1.5)
    along = np.clip((c * slope_y - s * slope_x) / np.maximum(gentle, 1e-4), -1.5, 1.5)
    middle = n // 2
    shift = np.stack([column - middle + c * across - s * along, row - middle + s * across + c * along], axis=-1)
    curvature = np.stack([c * c * steep + s * s * gentle, c * s * (steep - gentle), s * s * steep + c * c * gentle], -1)
    return shift, curvature, top


def _twin(surface: Array, top: tuple[Array, Array]) -> Array:
    """Height ``(h, w)`` of the best other peak against the highest: near 1 on a pattern that repeats.

    Another peak is a place at least three pixels off with a dip between it and the highest.
    """
    n = surface.shape[0]
    at = np.indices(top[0].shape)
    highest = np.maximum(surface[*top, *at], 1e-6)
    twin = np.zeros_like(highest)
    if n < 7:
        return np.asarray(twin)
    for row in range(n):
        for column in range(n):
            height = surface[row, column] / highest
            far = np.hypot(row - top[0], column - top[1]) >= 3
            dip = surface[(row + top[0]) // 2, (column + top[1]) // 2, *at] / highest
            twin = np.maximum(twin, np.where(far & (height - dip > 0.15), height, 0))
    return np.asarray(twin)
