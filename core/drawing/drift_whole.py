"""The part of the drift that the whole drawing shares: shift, turn and scale.

A similarity fitted to all readings by iteratively reweighted least squares with Tukey's biweight (Beaton and Tukey 1974;
Holland and Welsch 1977 for the tuning constant 4.685): one badly drifted eye gets weight nought and does not turn the
head.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.size import Size

Array = NDArray[np.float64]
TUKEY = 4.685
STEADY_MM = 0.15
"""Readings closer than this to the fit are never called strays."""


@dataclass(frozen=True)
class WholeDrift:
    """Shift, turn and scale of the painting against the drawing.

    ``shift_mm``: (dx, dy) of the canvas centre, x right, y down. ``turn_deg``: clockwise as seen on the canvas.
    ``scale``: about the canvas centre, above 1 when painted too large. The ``sigma`` are standard deviations.
    """

    size: Size
    shift_mm: tuple[float, float] = (0.0, 0.0)
    turn_deg: float = 0.0
    scale: float = 1.0
    shift_sigma_mm: float = float("inf")
    turn_sigma_deg: float = float("inf")
    scale_sigma: float = float("inf")

    def at(self, points_mm: Array) -> Array:
        """Displacement ``(..., 2)`` mm at points ``(..., 2)`` mm."""
        arm = np.asarray(points_mm, dtype=np.float64) - _centre(self.size)
        turn = np.radians(self.turn_deg)
        a, b = self.scale * np.cos(turn) - 1, self.scale * np.sin(turn)
        return np.asarray(arm @ np.array([[a, b], [-b, a]]) + np.array(self.shift_mm))


def fit_whole(points_mm: Array, drift_mm: Array, firmness: Array, size: Size, *, rounds: int = 8) -> WholeDrift:
    """Fit to readings: points and drift ``(n, 2)``, information ``(n, 3)`` (xx, xy, yy)."""
    arm = points_mm - _centre(size)
    x, y = arm.T
    one, none = np.ones_like(x), np.zeros_like(x)
    design = np.stack([np.stack([one, none, x, -y], -1), np.stack([none, one, y, x], -1)], 1)  # (n, 2, 4)
    matrix = np.stack([firmness[:, :2], firmness[:, 1:]], axis=1)  # (n, 2, 2)
    held = matrix @ design
    if firmness[:, 0].sum() + firmness[:, 2].sum() < 1e-6:
        return WholeDrift(size)
    weight = one
    for _ in range(rounds):
        pulled = held * weight[:, None, None]
        normal = np.tensordot(design, pulled, axes=([0, 1], [0, 1])) + 1e-9 * np.eye(4)
        answer = np.linalg.solve(normal, np.tensordot(pulled, drift_mm, axes=([0, 1], [0, 1])))
        off = drift_mm - design @ answer
        weight, spread2 = _tukey(off, matrix)
    return _whole(answer, np.linalg.inv(normal), off, pulled, spread2, size)


def _tukey(off: Array, matrix: Array) -> tuple[Array, float]:
    """Weights of residuals measured along what each reading knows, and their robust variance in mm²."""
    trace = np.maximum(matrix[:, 0, 0] + matrix[:, 1, 1], 1e-12)
    squared = np.einsum("ni,nij,nj->n", off, matrix, off) / trace
    order = np.argsort(squared)
    total = np.cumsum(trace[order])
    middle = squared[order][np.searchsorted(total, total[-1] / 2)]
    spread2 = max(float(middle) / 0.455, STEADY_MM**2)  # 0.455: median of chi-squared with one degree of freedom
    return np.clip(1 - squared / (TUKEY**2 * spread2), 0, 1) ** 2, spread2


def _whole(answer: Array, inverse: Array, off: Array, pulled: Array, spread2: float, size: Size) -> WholeDrift:
    """Uncertainty: local drift goes together over a fifth of the canvas, so about 25 places speak on their own."""
    shift_x, shift_y, a, b = (float(v) for v in answer)
    del off, pulled
    spread_per_place = np.sqrt(spread2 / 25)
    reach = np.hypot(size.width_mm, size.height_mm) / np.sqrt(12)
    shift = float(np.sqrt(spread_per_place**2 + inverse[0, 0]))
    lever = float(np.sqrt((spread_per_place / reach) ** 2 + inverse[3, 3]))
    return WholeDrift(
        size, (shift_x, shift_y), float(np.degrees(np.arctan2(b, 1 + a))), float(np.hypot(1 + a, b)),
        shift, float(np.degrees(lever)), lever,
    )  # fmt: skip


def _centre(size: Size) -> Array:
    return np.array([size.width_mm, size.height_mm]) / 2
