"""How far a measured drift can be trusted: from its uncertainty to a confidence of 0-1."""

import numpy as np
from numpy.typing import NDArray

from core.size import Size

Array = NDArray[np.float64]


def tolerance_mm(size: Size) -> float:
    """The error within which a drift counts as right: 0.6 mm, more on canvases longer than 400 mm in proportion."""
    return 0.6 * max(1.0, max(size.width_mm, size.height_mm) / 400)


def sigmas(covariance: Array) -> tuple[Array, Array]:
    """The larger and the smaller standard deviation (mm) of covariances ``(..., 3)``."""
    xx, xy, yy = np.moveaxis(covariance, -1, 0)
    mean, half = (xx + yy) / 2, np.hypot((xx - yy) / 2, xy)
    return np.sqrt(mean + half), np.sqrt(np.maximum(mean - half, 1e-6))


def confidence(sigma_mm: Array, tolerance: float) -> Array:
    """The chance that the error is within the tolerance, for an error of ``sigma_mm`` in each direction."""
    return np.asarray(1 - np.exp(-(tolerance**2) / (2 * np.maximum(sigma_mm, 1e-3) ** 2)))


def firm_direction(covariance: Array) -> Array:
    """Unit vectors ``(..., 2)`` of the direction in which the drift is known best (across an edge)."""
    xx, xy, yy = np.moveaxis(covariance, -1, 0)
    turn = 0.5 * np.arctan2(2 * xy, xx - yy) + np.pi / 2
    return np.stack([np.cos(turn), np.sin(turn)], axis=-1)
