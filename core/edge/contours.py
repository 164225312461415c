"""Points of one contour together: how it bends, the profile on a patch that follows it, what its points agree on."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from core.edge.blurred_step import fitted_steps
from core.edge.points import EdgePoints
from core.edge.scale import Floats, Map, profile_ground, without_blur

_REACH_MM, _REACH_SIGMAS = 6.0, 2.0
"""How far along a contour its shape is taken from."""
_FEWEST, _LEAST_COVERED = 4, 0.45
_SAME_WAY = 0.6
_PATCH_MM, _PATCH_SIGMAS = 2.0, 1.5
_HALF_SIGMAS, _HALF_LEAST_MM = 4.0, 2.0
_SAMPLES, _ACROSS = 41, 13
_AGREE_MM, _AGREE_WAY = 8.0, 0.7


@dataclass(frozen=True, eq=False)
class Contour:
    """``n`` points with the step across each, ``(n,)`` float64: ``height`` in Munsell steps, positive where it is
    lighter towards ``nx, ny``; ``rms`` of what the step leaves; ``off_mm``: from where the point was looked for;
    ``standing``: share of the height by which the two sides still differ farther off, where a brush mark's do not."""

    x_mm: Floats
    y_mm: Floats
    nx: Floats
    ny: Floats
    sigma_mm: Floats
    height: Floats
    rms: Floats
    off_mm: Floats
    scale_mm: Floats
    standing: Floats

    def __len__(self) -> int:
        return len(self.x_mm)

    @property
    def places(self) -> Floats:
        return np.stack([self.x_mm, self.y_mm], axis=1)

    def only(self, which: NDArray[np.bool_] | NDArray[np.intp]) -> "Contour":
        return Contour(*(getattr(self, each.name)[which] for each in fields(self)))

    def with_more(self, more: "Contour") -> "Contour":
        return Contour(*(np.concatenate([getattr(self, e.name), getattr(more, e.name)]) for e in fields(self)))

    def explains(self, points: EdgePoints, sigmas: float, more_mm: float) -> NDArray[np.bool_]:
        """Which points lie within so many sigmas of one of these, and a little more."""
        from scipy.spatial import cKDTree

        if not len(self) or not len(points):
            return np.zeros(len(points), bool)
        away, nearest = cKDTree(self.places).query(np.stack([points.x_mm, points.y_mm], axis=1))
        return np.asarray(away < sigmas * self.sigma_mm[nearest] + more_mm)


@dataclass(frozen=True, eq=False)
class ContourShapes:
    """How the contour runs through each point: ``bend`` ``(n, 3)``, where it lies across at ``u`` mm along, as a
    parabola in u; ``covered`` ``(n,)``: share of the stretch looked at that has points."""

    bend: Floats
    covered: Floats

    @property
    def is_long(self) -> NDArray[np.bool_]:
        return np.asarray(self.covered >= _LEAST_COVERED)

    def only(self, which: NDArray[np.bool_]) -> "ContourShapes":
        return ContourShapes(self.bend[which], self.covered[which])


def contour_shapes(contour: Contour) -> ContourShapes:
    """A parabola through the neighbours of each point that belong to the same contour, least squares with Cauchy's
    weights."""
    from scipy.spatial import cKDTree

    bend, covered = np.zeros((len(contour), 3)), np.zeros(len(contour))
    if not len(contour):
        return ContourShapes(bend, covered)
    reach = np.maximum(_REACH_MM, _REACH_SIGMAS * contour.sigma_mm)
    near = cKDTree(contour.places).query_ball_point(contour.places, reach)
    for number, others in enumerate(near):
        along, across = _same_contour(contour, number, np.asarray(others))
        if len(along) >= _FEWEST:
            bend[number] = _parabola(along, across)
            covered[number] = np.ptp(along) / (2 * reach[number])
    return ContourShapes(bend, covered)


def _same_contour(contour: Contour, number: int, others: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Where the neighbours that go on the same way, and rise the same way, lie along and across."""
    nx, ny = contour.nx[number], contour.ny[number]
    dx, dy = contour.x_mm[others] - contour.x_mm[number], contour.y_mm[others] - contour.y_mm[number]
    along, across = dy * nx - dx * ny, dx * nx + dy * ny
    same = contour.nx[others] * nx + contour.ny[others] * ny > _SAME_WAY
    same &= contour.height[others] * contour.height[number] > 0
    same &= np.abs(across) < 0.6 * np.abs(along) + 0.5 * contour.sigma_mm[number] + 0.4
    return along[same], across[same]


def _parabola(along: Floats, across: Floats) -> Floats:
    terms = np.stack([np.ones_like(along), along, along**2], axis=1)
    weight: Floats = np.ones(len(along))
    answer: Floats = np.zeros(3)
    for _ in range(4):
        weighted = terms * weight[:, None]
        answer = np.asarray(np.linalg.solve(weighted.T @ terms + np.diag([1e-6, 1e-3, 1e-2]), weighted.T @ across))
        left = across - terms @ answer
        weight = np.asarray(1 / (1 + (left / (2 * max(1.5 * float(np.median(np.abs(left))), 0.05))) ** 2))
    return np.asarray(answer)


def along_contours(value: Map, px_per_mm: float, contour: Contour, shapes: ContourShapes) -> Contour:
    """The step across each point anew, on a patch that follows the contour."""
    whole = contour.only(np.zeros(len(contour), bool))
    for scale_mm in np.unique(contour.scale_mm):
        these = contour.scale_mm == scale_mm
        whole = whole.with_more(_refined(value, px_per_mm, contour.only(these), shapes.bend[these]))
    return whole


def _refined(value: Map, px_per_mm: float, contour: Contour, bend: Floats) -> Contour:
    """The same for points found at one scale."""
    scaled, before = profile_ground(value, px_per_mm, float(contour.scale_mm[0]))
    half = np.maximum(_HALF_LEAST_MM, _HALF_SIGMAS * np.minimum(contour.sigma_mm, 2 * contour.scale_mm))
    reach = np.maximum(_PATCH_MM, _PATCH_SIGMAS * contour.sigma_mm)
    u = np.linspace(-1, 1, _ACROSS)[None, None, :] * reach[:, None, None]
    follow = bend[:, 0, None, None] + bend[:, 1, None, None] * u + bend[:, 2, None, None] * u**2
    t = np.linspace(-1, 1, _SAMPLES)[None, :, None] * half[:, None, None] + follow
    nx, ny = contour.nx[:, None, None], contour.ny[:, None, None]
    x, y = contour.x_mm[:, None, None] + t * nx - u * ny, contour.y_mm[:, None, None] + t * ny + u * nx
    profiles = scaled.at(x, y).mean(axis=2).astype(np.float64)
    steps = fitted_steps(profiles, np.hypot(contour.sigma_mm, before) / half)
    off = steps.at * half + bend[:, 0]
    return Contour(
        x_mm=contour.x_mm + off * contour.nx,
        y_mm=contour.y_mm + off * contour.ny,
        nx=contour.nx,
        ny=contour.ny,
        sigma_mm=without_blur(steps.sigma * half, before),
        height=steps.height,
        rms=steps.rms,
        off_mm=np.abs(off),
        scale_mm=contour.scale_mm,
        standing=standing_share(profiles, steps.height),
    )


def standing_share(profiles: Floats, height: Floats) -> Floats:
    """By how much of the height the outer quarters of profiles ``(n, m)`` differ."""
    quarter = profiles.shape[1] // 4
    apart = profiles[:, -quarter:].mean(axis=1) - profiles[:, :quarter].mean(axis=1)
    return np.asarray(apart / np.where(np.abs(height) > 1e-6, height, 1e-6))


def medians_along(contour: Contour) -> Floats:
    """The median sigma of each point and its neighbours along the contour."""
    from scipy.spatial import cKDTree

    sigma = contour.sigma_mm.copy()
    if not len(contour):
        return sigma
    for number, others in enumerate(cKDTree(contour.places).query_ball_point(contour.places, _AGREE_MM)):
        near = np.asarray(others)
        same = contour.nx[near] * contour.nx[number] + contour.ny[near] * contour.ny[number] > _AGREE_WAY
        sigma[number] = np.median(contour.sigma_mm[near[same]])
    return sigma
