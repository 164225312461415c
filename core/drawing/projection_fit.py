"""The homography from where projected marks should fall to where they fell, each as sure as it was seen."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import project
from core.drawing.projection import Points

LEAST_SIGMA_MM = 0.03
"""No mark is surer than this: what the lens and the weave leave."""

_IN_LINE = 0.05


@dataclass(frozen=True, eq=False)
class MarkFit:
    """``matrix``: ``(3, 3)``, mm meant to mm fallen. ``left_mm``: ``(n,)``, how far each mark lies from it.

    ``weights``: ``(n,)`` 0-1, how much each counted beside what its own uncertainty allows.
    """

    matrix: Points
    left_mm: NDArray[np.float64]
    weights: NDArray[np.float64]
    _spread: NDArray[np.float64]
    _scale: float

    def sigma_at(self, points: Points) -> NDArray[np.float64]:
        """One standard deviation along the worse axis at points ``(n, 2)`` mm, ``(n,)`` mm."""
        step = 1e-5
        plain = _entries(self.matrix, self._scale)
        columns = []
        for index in range(8):
            moved = plain.copy()
            moved[index] += step
            columns.append((project(_matrix(moved, self._scale), points) - project(self.matrix, points)) / step)
        slopes = np.stack(columns, axis=-1)
        variances = np.einsum("nai,ij,naj->na", slopes, self._spread, slopes)
        return np.asarray(np.sqrt(variances.max(axis=1)))


def fit_marks(meant: Points, fallen: Points, sigma_mm: NDArray[np.float64]) -> MarkFit | None:
    """Fit ``(n, 2)`` mm pairs, n ≥ 4, by least squares that one wrong mark cannot pull far (soft L1 beyond 2 sigma).

    The uncertainty is widened by how far the marks stray beyond their own. None when they are in one line.
    """
    from scipy.optimize import least_squares

    if min(_spread_out(meant), _spread_out(fallen)) < _IN_LINE:
        return None
    scale = float(np.abs(meant).max())
    start, _ = cv2.findHomography(meant / scale, fallen / scale, cv2.LMEDS if len(meant) > 4 else 0)
    if start is None:
        return None
    each = np.repeat(np.hypot(sigma_mm, LEAST_SIGMA_MM), 2)

    def off(entries: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray((project(_matrix(entries, scale), meant) - fallen).ravel() / each)

    first = np.asarray(start, dtype=np.float64).reshape(3, 3)
    fit = least_squares(off, (first / first[2, 2]).ravel()[:8], loss="soft_l1", f_scale=2.0, x_scale="jac")
    matrix = _matrix(fit.x, scale)
    plain = off(fit.x)
    counted = 1 / np.sqrt(1 + (plain / 2.0) ** 2)
    free = max(len(plain) - 8, 1)
    beyond = max(1.0, float((counted * plain**2).sum()) / free) if len(meant) > 4 else 1.0
    spread = np.linalg.pinv(fit.jac.T @ fit.jac) * beyond
    left = np.linalg.norm(project(matrix, meant) - fallen, axis=1)
    return MarkFit(matrix, left, counted.reshape(-1, 2).min(axis=1), spread, scale)


def _spread_out(points: Points) -> float:
    """How wide points lie across their longest direction, as a share of it."""
    least, most = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[::-1]
    return float(least / max(most, 1e-12))


def _matrix(entries: NDArray[np.float64], scale: float) -> Points:
    unit = np.append(entries, 1.0).reshape(3, 3)
    return np.asarray(np.diag([scale, scale, 1.0]) @ unit @ np.diag([1 / scale, 1 / scale, 1.0]))


def _entries(matrix: Points, scale: float) -> NDArray[np.float64]:
    unit = np.diag([1 / scale, 1 / scale, 1.0]) @ matrix @ np.diag([scale, scale, 1.0])
    return np.asarray((unit / unit[2, 2]).ravel()[:8])
