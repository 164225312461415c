"""The part of the drift that the whole drawing shares: shift, turn and scale.

A similarity fitted to all readings by iteratively reweighted least squares with Tukey's biweight (Beaton and Tukey
1974; the tuning constant 4.685 after Holland and Welsch 1977): one badly drifted eye gets weight nought and does not
turn the head. Places count by their share of the canvas, not by how sharp they are, so that a finely drawn head does
not outvote the rest.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.size import Size

Array = NDArray[np.float64]

TUKEY = 4.685
STEADY_MM = 0.2
"""Readings need not agree better than this to count fully, and nearer the fit than this they are never strays."""
NARROWEST = 0.35
"""Share of the canvas that must move as one for the rest to be called local."""


@dataclass(frozen=True)
class WholeDrift:
    """Shift, turn and scale of the painting against the drawing.

    ``shift_mm``: (dx, dy) of the canvas centre, x right, y down. ``turn_deg``: clockwise as seen on the canvas.
    ``scale``: about the canvas centre, above 1 when painted too large. The sigmas are standard deviations.
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


def fit_whole(
    points_mm: Array, drift_mm: Array, information: Array, size: Size, *, places: float = 25.0, rounds: int = 6
) -> WholeDrift:
    """Fit to readings: points and drift ``(n, 2)``, information of each ``(n, 3)`` (xx, xy, yy, 1/mm²).

    ``places``: how many of them speak on their own, for the sigmas. Nothing known gives no displacement and infinite
    sigmas.
    """
    matrix = _saturated(information)
    if np.trace(matrix, axis1=1, axis2=2).sum() < 1e-3:
        return WholeDrift(size)
    design = _design(points_mm - _centre(size))
    weight = np.ones(len(drift_mm))
    for _ in range(rounds):
        answer = _solved(design, matrix * weight[:, None, None], drift_mm)
        squared = _squared(drift_mm - design @ answer, matrix)
        spread2 = _spread2(squared, matrix)
        weight = _tukey(squared, spread2)
    share = np.trace(matrix, axis1=1, axis2=2)
    narrow2 = spread2
    while narrow2 > STEADY_MM**2:
        narrow2 /= 2
        narrower = _tukey(squared, narrow2)
        if (narrower * share).sum() < NARROWEST * share.sum():
            break
        answer = _solved(design, matrix * narrower[:, None, None], drift_mm)
        squared = _squared(drift_mm - design @ answer, matrix)
        weight = narrower
    normal = np.einsum("nki,nkl,nlj->ij", design, matrix * weight[:, None, None], design)
    inverse = np.linalg.inv(normal + 1e-9 * np.eye(4))
    return _whole(answer, inverse, float(np.sqrt(spread2 / max(places, 1e-9))), size)


def _design(arm: Array) -> Array:
    """``(n, 2, 4)`` for shift x, shift y, scale cos turn - 1, scale sin turn."""
    x, y = arm.T
    one, none = np.ones_like(x), np.zeros_like(x)
    return np.stack([np.stack([one, none, x, -y], axis=-1), np.stack([none, one, y, x], axis=-1)], axis=1)


def _saturated(information: Array) -> Array:
    """Information matrices ``(n, 2, 2)`` in which nothing is known better than STEADY_MM: (W⁻¹ + s² I)⁻¹."""
    xx, xy, yy = information.T
    matrix = np.stack([np.stack([xx, xy], axis=-1), np.stack([xy, yy], axis=-1)], axis=1)
    return np.asarray(np.linalg.solve(np.eye(2) + STEADY_MM**2 * matrix, matrix))


def _solved(design: Array, matrix: Array, drift: Array) -> Array:
    held = matrix @ design
    normal = np.tensordot(design, held, axes=([0, 1], [0, 1])) + 1e-9 * np.eye(4)
    return np.asarray(np.linalg.solve(normal, np.tensordot(held, drift, axes=([0, 1], [0, 1]))))


def _squared(off: Array, matrix: Array) -> Array:
    """Squared residual in mm², counted only along what each reading knows."""
    return np.asarray(STEADY_MM**2 * np.einsum("ni,nij,nj->n", off, matrix, off))


def _spread2(squared: Array, matrix: Array) -> float:
    """Robust variance per direction from the weighted median (1.386: the median of chi-squared, two directions)."""
    share = np.trace(matrix, axis1=1, axis2=2)
    order = np.argsort(squared)
    total = np.cumsum(share[order])
    middle = squared[order][min(np.searchsorted(total, total[-1] / 2), len(order) - 1)]
    return max(float(middle) / 1.386, STEADY_MM**2)


def _tukey(squared: Array, spread2: float) -> Array:
    return np.clip(1 - squared / (TUKEY**2 * spread2), 0, 1) ** 2


def _whole(answer: Array, inverse: Array, place_mm: float, size: Size) -> WholeDrift:
    """``place_mm``: the error that local drift leaves in the mean."""
    shift_x, shift_y, a, b = (float(v) for v in answer)
    reach = np.hypot(size.width_mm, size.height_mm) / np.sqrt(12)
    lever = float(np.hypot(place_mm / reach, np.sqrt(inverse[3, 3])))
    return WholeDrift(
        size=size,
        shift_mm=(shift_x, shift_y),
        turn_deg=float(np.degrees(np.arctan2(b, 1 + a))),
        scale=float(np.hypot(1 + a, b)),
        shift_sigma_mm=float(np.hypot(place_mm, np.sqrt(inverse[0, 0]))),
        turn_sigma_deg=float(np.degrees(lever)),
        scale_sigma=lever,
    )


def _centre(size: Size) -> Array:
    return np.array([size.width_mm, size.height_mm]) / 2
