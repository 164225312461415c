"""From many uncertain readings to one smooth field of drift, with its uncertainty.

The prior is a Matérn field (nu = 1) written as a sparse precision matrix on the grid: Lindgren, Rue and Lindström 2011,
*An explicit link between Gaussian fields and Gaussian Markov random fields*, J. R. Statist. Soc. B 73, 423-498:
Q = tau² (kappa² - Laplacian)², range sqrt(8)/kappa, variance 1/(4 pi kappa² tau²). Readings enter with their information
matrices, so an edge pulls the field across itself and leaves it free along. Both components are solved at once by a
banded Cholesky factor, which also draws from the posterior and so gives the uncertainty.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.drawing.drift_grid import Grid

Array = NDArray[np.float64]
DRAWS = 32


@dataclass(frozen=True)
class Posterior:
    """``mean``: ``(h, w, 2)`` mm. ``covariance``: ``(h, w, 3)``, xx, xy, yy in mm², or None when not asked for."""

    mean: Array
    covariance: Array | None = None


def smooth_field(
    grid: Grid, drift: Array, firmness: Array, *, spread_mm: float, range_mm: float, uncertainty: bool = False
) -> Posterior:
    """The field that best agrees with readings ``(h, w, 2)`` of information ``(h, w, 3)`` and with the prior.

    ``spread_mm``: standard deviation of drift where nothing is known; ``range_mm``: the distance over which it goes
    together (correlation about 0.14 there).
    """
    from scipy.linalg import cho_solve_banded, cholesky_banded, lapack

    prior, order = _prior_band(grid.width, grid.height, grid.step_x, grid.step_y, spread_mm, range_mm)
    xx, xy, yy = firmness.reshape(-1, 3)[order].T
    dx, dy = drift.reshape(-1, 2)[order].T
    band = prior.copy()
    band[0, 0::2] += xx
    band[0, 1::2] += yy
    band[1, 0::2] += xy
    pull = np.stack([xx * dx + xy * dy, xy * dx + yy * dy], axis=-1).reshape(-1)
    factor = cholesky_banded(band, lower=True, overwrite_ab=True, check_finite=False)
    mean = _unordered(cho_solve_banded((factor, True), pull, check_finite=False), order, grid)[..., 0]
    if not uncertainty:
        return Posterior(mean)
    noise = np.random.default_rng(0).standard_normal((len(pull), DRAWS))
    draws = _unordered(lapack.dtbtrs(factor, noise, uplo="L", trans="T")[0], order, grid)
    x, y = draws[..., 0, :], draws[..., 1, :]
    return Posterior(mean, np.stack([(x * x).mean(-1), (x * y).mean(-1), (y * y).mean(-1)], axis=-1))


def _unordered(solution: Array, order: NDArray[np.intp], grid: Grid) -> Array:
    """``(2 n, ...)`` in band order to ``(h, w, 2, ...)``."""
    columns = solution.reshape(len(order), 2, -1)
    out = np.empty_like(columns)
    out[order] = columns
    return out.reshape(grid.height, grid.width, 2, -1)


@lru_cache(maxsize=8)
def _prior_band(
    width: int, height: int, step_x: float, step_y: float, spread_mm: float, range_mm: float
) -> tuple[Array, NDArray[np.intp]]:
    """Lower band of the prior's precision for interleaved dx, dy, and the order of nodes that keeps the band narrow."""
    from scipy import sparse

    kappa2 = 8 / range_mm**2
    tau2 = 1 / (4 * np.pi * kappa2 * spread_mm**2)
    along_x = sparse.kron(sparse.identity(height), _second_difference(width, step_x))
    along_y = sparse.kron(_second_difference(height, step_y), sparse.identity(width))
    operator = (kappa2 * sparse.identity(width * height) - along_x - along_y).tocsr()
    precision = (tau2 * step_x * step_y * (operator @ operator)).tocoo()

    nodes = np.arange(width * height).reshape(height, width)
    order = (nodes.T if width > height else nodes).ravel()
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    row, column = place[precision.row], place[precision.col]
    lower = row >= column
    row, column, values = row[lower], column[lower], precision.data[lower]
    band = np.zeros((2 * int((row - column).max()) + 1, 2 * order.size))
    for component in (0, 1):
        band[2 * (row - column), 2 * column + component] = values
    return band, order


def _second_difference(n: int, step: float) -> "object":
    """Second difference along a side with free ends."""
    from scipy import sparse

    middle = np.full(n, -2.0)
    middle[[0, -1]] = -1.0
    side = np.ones(n - 1)
    return sparse.diags([side, middle, side], [-1, 0, 1]) / step**2
