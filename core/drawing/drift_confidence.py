"""How far a measured drift can be trusted: from its uncertainty to a confidence of 0-1.

Confidence is the chance that a drift is right to within a stated tolerance, so that it can be checked: of all drifts
told with confidence c, at least the share c must be that near the truth.
"""

import numpy as np
from numpy.typing import NDArray

from core.size import Size

Array = NDArray[np.float64]


def tolerance_mm(size: Size) -> float:
    """The error within which a drift counts as right: 0.6 mm, and in proportion on canvases longer than 400 mm."""
    return 0.6 * max(1.0, max(size.width_mm, size.height_mm) / 400)


def sigmas(covariance: Array) -> tuple[Array, Array]:
    """The larger and the smaller standard deviation (mm) of covariances ``(..., 3)``: xx, xy, yy in mm²."""
    xx, xy, yy = np.moveaxis(covariance, -1, 0)
    mean, half = (xx + yy) / 2, np.hypot((xx - yy) / 2, xy)
    return np.sqrt(mean + half), np.sqrt(np.maximum(mean - half, 1e-6))


def confidence(sigma_mm: Array, tolerance: float) -> Array:
    """The chance that a point is within the tolerance (mm) of its place, ``sigma_mm`` each way: Rayleigh's law."""
    return np.asarray(1 - np.exp(-(tolerance**2) / (2 * np.maximum(sigma_mm, 1e-3) ** 2)))


def sigma_of(sure: float, tolerance: float) -> float:
    """The sigma (mm, each way) behind a confidence rounded to three decimals: the inverse of :func:`confidence`.

    Infinite for a confidence of 0; a confidence of 1 is taken as 0.9995, the least that is rounded to it.
    """
    if sure <= 0:
        return float("inf")
    return float(tolerance / np.sqrt(-2 * np.log1p(-min(sure, 0.9995))))


def confidence_along(sigma_mm: Array, tolerance: float) -> Array:
    """The chance that one number is within the tolerance (mm): the normal law."""
    from scipy.special import erf

    return np.asarray(erf(tolerance / (np.sqrt(2) * np.maximum(sigma_mm, 1e-3))))


def firm_direction(covariance: Array) -> Array:
    """Unit vectors ``(..., 2)`` of the direction in which drift is known best (across an edge)."""
    xx, xy, yy = np.moveaxis(covariance, -1, 0)
    turn = 0.5 * np.arctan2(2 * xy, xx - yy) + np.pi / 2
    return np.stack([np.cos(turn), np.sin(turn)], axis=-1)
