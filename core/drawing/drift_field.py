"""From many uncertain readings to one smooth field of drift, with its uncertainty.

The prior is a Matérn field (nu = 1) written as a sparse precision matrix on the grid: Lindgren, Rue and Lindström 2011,
*An explicit link between Gaussian fields and Gaussian Markov random fields*, J. R. Statist. Soc. B 73, 423-498:
Q = tau² (kappa² - Laplacian)², range sqrt(8)/kappa, variance 1/(4 pi kappa² tau²). Readings enter with their information
matrices, so an edge pulls the field across itself and leaves it free along. Both components are solved at once by a
sparse factor; draws from the posterior by perturbed readings (Papandreou and Yuille 2010, *Gaussian sampling by local
perturbations*) give the uncertainty.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

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
    from scipy import sparse
    from scipy.sparse.linalg import splu

    root, precision = _prior(grid.width, grid.height, grid.step_x, grid.step_y, spread_mm, range_mm)
    xx, xy, yy = (sparse.diags(firmness[..., k].ravel()) for k in range(3))
    system = sparse.block_array([[precision + xx, xy], [xy, precision + yy]], format="csc")
    factor = splu(
        system, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
    dx, dy = drift[..., 0].ravel(), drift[..., 1].ravel()
    mean = factor.solve(np.concatenate([xx @ dx + xy @ dy, xy @ dx + yy @ dy]))
    return Posterior(
        mean.reshape(2, grid.height, grid.width).transpose(1, 2, 0),
        _covariance(grid, firmness, root, factor) if uncertainty else None,
    )


def _covariance(grid: Grid, firmness: Array, root: Any, factor: Any) -> Array:
    rng = np.random.default_rng(0)
    n = grid.width * grid.height
    xx, xy, yy = firmness.reshape(-1, 3).T
    first = np.sqrt(np.maximum(xx, 1e-12))  # Cholesky of each 2 x 2 information matrix
    second, third = xy / first, np.sqrt(np.maximum(yy - xy**2 / first**2, 0))
    a, b, c, d = rng.standard_normal((4, n, DRAWS))
    push_x = first[:, None] * a + root.T @ c
    push_y = second[:, None] * a + third[:, None] * b + root.T @ d
    x, y = factor.solve(np.concatenate([push_x, push_y])).reshape(2, grid.height, grid.width, DRAWS)
    return np.stack([(x * x).mean(-1), (x * y).mean(-1), (y * y).mean(-1)], axis=-1)


@lru_cache(maxsize=8)
def _prior(width: int, height: int, step_x: float, step_y: float, spread_mm: float, range_mm: float) -> tuple[Any, Any]:
    """A root of the prior's precision matrix and the matrix itself, for one component, sparse."""
    from scipy import sparse

    kappa2 = 8 / range_mm**2
    tau = 1 / np.sqrt(4 * np.pi * kappa2 * spread_mm**2)
    along_x = sparse.kron(sparse.identity(height), _second_difference(width, step_x))
    along_y = sparse.kron(_second_difference(height, step_y), sparse.identity(width))
    operator = kappa2 * sparse.identity(width * height) - along_x - along_y
    root = (tau * np.sqrt(step_x * step_y) * operator).tocsr()
    return root, (root.T @ root).tocsr()


def _second_difference(n: int, step: float) -> Any:
    """Second difference along a side with free ends."""
    from scipy import sparse

    middle = np.full(n, -2.0)
    middle[[0, -1]] = -1.0
    side = np.ones(n - 1)
    return sparse.diags([side, middle, side], [-1, 0, 1]) / step**2
