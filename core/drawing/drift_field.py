"""From many uncertain readings to one smooth field of drift, with its uncertainty.

The prior is a Matérn field (nu = 1) written as a sparse precision matrix on the grid: Lindgren, Rue and Lindström 2011,
*An explicit link between Gaussian fields and Gaussian Markov random fields*, J. R. Statist. Soc. B 73, 423-498:
Q = tau² (kappa² - Laplacian)², range sqrt(8)/kappa, variance 1/(4 pi kappa² tau²). Readings enter with their
information matrices, so an edge pulls the field across itself and leaves it free along.

Drift is mostly slow over the canvas, and now and then a single form sits wrong. So the field is found in two steps:
first a pliant field, against which stray readings show (Cauchy weights); then a stiff one whose stiffness gives way
where the readings agree that it must (Student's t for the bending, by iterative reweighting). A stiff field is what
averages out the wobble of broad brushes: windows err together all along a stroke, and only many strokes are right. How
stiff it is, and how it gives way, was chosen on paintings whose drift is known: landmarks' median error in mm on those
blocked in, and about forms of 30-50 mm out of place, finely painted and blocked in:

    range 200, one degree of freedom, a quarter of the weight   0.29, 0.057, 0.41
    range 300, 0.3 degrees, five eighths of the weight          0.26, 0.051, 0.36
    range 300, 0.1 degrees, bending judged about each place     0.23, 0.048, 0.37
    the same with five eighths of the weight                    0.23, 0.044, 0.39; blurred forms 0.20 and not 0.18
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drift_grid import Grid
from core.drawing.drift_match import Readings

Array = NDArray[np.float64]

SPREAD = 2.0
"""Standard deviation of local drift where nothing is known, in units (1 mm on a canvas of 400 × 300 mm)."""
PLIANT_RANGE, STIFF_RANGE = 80.0, 300.0
"""Distance over which drift goes together (correlation about 0.14 there), in units."""
STRAY = 8.0
"""Misfit at which a reading's weight is halved."""
GIVE = 0.1
"""Degrees of freedom of the bending: hardly any nearly everywhere, and much of it in few places."""
FORM = 9.0
"""A form that sits wrong bends the field all about its rim: sigma, in units, over which bending is judged together."""
DOUBT_STEP = 8.0
DRAWS = 24


@dataclass(frozen=True)
class Evidence:
    """All readings put together at each node: ``drift`` ``(h, w, 2)`` mm, ``information`` ``(h, w, 3)`` 1/mm²."""

    drift: Array
    information: Array

    def counted(self, times: float | Array) -> "Evidence":
        """The same drift with its information multiplied, by a number or node by node ``(h, w)``."""
        return Evidence(self.drift, self.information * np.asarray(times)[..., None])


def together(readings: Sequence[Readings], weights: Sequence[Array]) -> Evidence:
    """Readings of the same nodes as one, each weighted by its information and its weight ``(h, w)``."""
    xx, xy, yy, pull_x, pull_y = np.zeros((5, *readings[0].drift.shape[:2]))
    for reading, weight in zip(readings, weights, strict=True):
        x, y = np.moveaxis(reading.drift, -1, 0)
        a, b, c = np.moveaxis(reading.information * weight[..., None], -1, 0)
        xx, xy, yy = xx + a, xy + b, yy + c
        pull_x, pull_y = pull_x + a * x + b * y, pull_y + b * x + c * y
    information = np.stack([xx, xy, yy], axis=-1)
    xx, yy = xx + 1e-9, yy + 1e-9
    determinant = np.maximum(xx * yy - xy * xy, 1e-18)
    drift = np.stack([yy * pull_x - xy * pull_y, xx * pull_y - xy * pull_x], axis=-1) / determinant[..., None]
    return Evidence(drift, information)


def pliant_field(
    grid: Grid, readings: Sequence[Readings], unit: float, *, rounds: int = 3
) -> tuple[Array, tuple[Array, ...]]:
    """A field ``(h, w, 2)`` that follows its readings closely, and the weight ``(h, w)`` of each set of readings."""
    prior = Prior.of(grid, PLIANT_RANGE, unit)
    weights = tuple(np.ones((grid.height, grid.width)) for _ in readings)
    posterior = prior.with_evidence(together(readings, weights))
    field = posterior.mean()
    for _ in range(rounds - 1):
        weights = tuple(1 / (1 + reading.misfit(field) / STRAY) for reading in readings)
        posterior = prior.with_evidence(together(readings, weights), like=posterior)
        field = posterior.mean(field)
    return field, tuple(1 / (1 + reading.misfit(field) / STRAY) for reading in readings)


def settled_field(grid: Grid, evidence: Evidence, base: Array, start: Array, unit: float, *, rounds: int = 3) -> Array:
    """The field ``(h, w, 2)``, stiff about ``base`` except where the evidence bends it; ``start`` is a pliant one."""
    prior = Prior.of(grid, STIFF_RANGE, unit)
    local = Evidence(evidence.drift - base, evidence.information)
    field = start - base
    posterior = None
    for _ in range(rounds):
        give = (GIVE + 2) / (GIVE + prior.bending(field, FORM * unit))
        posterior = prior.with_evidence(local, give=give, like=posterior)
        field = posterior.mean(field)
    return base + field


def doubt(grid: Grid, information: Array, unit: float, *, reach: float) -> Array:
    """Covariance ``(h, w, 3)`` mm² of drift at the nodes, trusting information as far as ``reach`` (range, units)."""
    coarse = Grid.of(grid.size, DOUBT_STEP * unit)
    pooled = cv2.resize(information, (coarse.width, coarse.height), interpolation=cv2.INTER_AREA)
    pooled = pooled.astype(np.float64) * (coarse.cell_mm2 / grid.cell_mm2)
    posterior = Prior.of(coarse, reach, unit).with_evidence(Evidence(np.zeros((*pooled.shape[:2], 2)), pooled))
    steady = cv2.GaussianBlur(posterior.covariance(), (3, 3), 0)
    return np.asarray(cv2.resize(steady, (grid.width, grid.height), interpolation=cv2.INTER_LINEAR))


@dataclass(frozen=True)
class Prior:
    """What is believed before any reading: ``root`` is a root of one component's precision matrix, sparse."""

    grid: Grid
    root: Any

    @classmethod
    def of(cls, grid: Grid, reach: float, unit: float) -> "Prior":
        """``reach``: the range in units."""
        return cls(grid, _root(grid.width, grid.height, grid.step_x, grid.step_y, reach * unit, SPREAD * unit))

    def bending(self, field: Array, about_mm: float) -> Array:
        """Squared bending ``(n,)`` at each node in standard deviations, the mean of its neighbourhood (a sigma)."""
        squared = ((self.root @ field.reshape(-1, 2)) ** 2).sum(axis=1).reshape(self.grid.height, self.grid.width)
        wide, high = about_mm / self.grid.step_x, about_mm / self.grid.step_y
        return np.asarray(cv2.GaussianBlur(squared, (0, 0), wide, sigmaY=high)).ravel()

    def with_evidence(
        self, evidence: Evidence, *, give: Array | None = None, like: "Posterior | None" = None
    ) -> "Posterior":
        """The posterior; ``give``: ``(n,)``, how far the prior is relaxed at each node (1: not).

        ``like``: a posterior of nearly the same evidence, whose factor then serves to solve this one by iteration.
        """
        from scipy import sparse
        from scipy.sparse.linalg import splu

        stiff = self.root if give is None else sparse.diags(np.sqrt(give)) @ self.root
        xx, xy, yy = (sparse.diags(evidence.information[..., k].ravel()) for k in range(3))
        precision = stiff.T @ stiff
        system = sparse.block_array([[precision + xx, xy], [xy, precision + yy]], format="csc")
        if like is not None:
            return Posterior(self, evidence, system, like.factor, exact=False)
        factor = splu(system, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        return Posterior(self, evidence, system, factor)


@dataclass(frozen=True)
class Posterior:
    """What is believed after the readings: the system of both components, and a factor of it or of one like it."""

    prior: Prior
    evidence: Evidence
    system: Any
    factor: Any
    exact: bool = True

    def mean(self, start: Array | None = None) -> Array:
        """``(h, w, 2)`` mm."""
        from scipy.sparse.linalg import LinearOperator, cg

        x, y = self.evidence.drift.reshape(-1, 2).T
        xx, xy, yy = self.evidence.information.reshape(-1, 3).T
        pull = np.concatenate([xx * x + xy * y, xy * x + yy * y])
        if self.exact:
            found = self.factor.solve(pull)
        else:
            nearly = LinearOperator(self.system.shape, self.factor.solve)
            guess = None if start is None else start.reshape(-1, 2).T.ravel()
            found, _ = cg(self.system, pull, x0=guess, M=nearly, rtol=1e-4, maxiter=12)
        grid = self.prior.grid
        return np.asarray(found.reshape(2, grid.height, grid.width).transpose(1, 2, 0))

    def covariance(self) -> Array:
        """``(h, w, 3)`` mm² from draws by perturbed readings (Papandreou and Yuille 2010)."""
        grid, root = self.prior.grid, self.prior.root
        xx, xy, yy = self.evidence.information.reshape(-1, 3).T
        first = np.sqrt(np.maximum(xx, 1e-12))  # Cholesky factors of the 2 x 2 information matrices
        second, third = xy / first, np.sqrt(np.maximum(yy - xy**2 / first**2, 0))
        a, b, c, d = np.random.default_rng(0).standard_normal((4, grid.width * grid.height, DRAWS))
        push_x = first[:, None] * a + root.T @ c
        push_y = second[:, None] * a + third[:, None] * b + root.T @ d
        x, y = self.factor.solve(np.concatenate([push_x, push_y])).reshape(2, grid.height, grid.width, DRAWS)
        return np.stack([(x * x).mean(-1), (x * y).mean(-1), (y * y).mean(-1)], axis=-1)


@lru_cache(maxsize=8)
def _root(width: int, height: int, step_x: float, step_y: float, range_mm: float, spread_mm: float) -> Any:
    from scipy import sparse

    kappa2 = 8 / range_mm**2
    tau = 1 / np.sqrt(4 * np.pi * kappa2 * spread_mm**2)
    along_x = sparse.kron(sparse.identity(height), _second_difference(width, step_x))
    along_y = sparse.kron(_second_difference(height, step_y), sparse.identity(width))
    return (tau * np.sqrt(step_x * step_y) * (kappa2 * sparse.identity(width * height) - along_x - along_y)).tocsr()


def _second_difference(n: int, step: float) -> Any:
    """Second difference along a side with free ends."""
    from scipy import sparse

    middle = np.full(n, -2.0)
    middle[[0, -1]] = -1.0
    side = np.ones(n - 1)
    return sparse.diags([side, middle, side], [-1, 0, 1]) / step**2
