"""Points of one contour together: how it bends, the profile on a patch that follows it, what its points agree on."""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.edge.blurred_step import BlurredSteps, fitted_steps
from core.edge.points import EdgePoints
from core.edge.profiles import Places, profiles_across, standing_share
from core.edge.scale import Floats, Map, profile_ground, without_blur

_REACH_MM, _REACH_SIGMAS = 6.0, 2.0
"""How far along a contour its shape is taken from."""
_FEWEST, _LEAST_COVERED = 4, 0.45
_SAME_WAY = 0.6
_PATCH_MM, _PATCH_SIGMAS = 2.0, 1.5
_HALF_SIGMAS, _HALF_LEAST_MM = 4.0, 2.0
_SAMPLES, _ACROSS = 33, 9
_AGREE_MM, _AGREE_WAY = 8.0, 0.7
_SHAPED_BY, _AGREED_BY = 40, 32
"""The most neighbours that a point is judged by, the nearest."""
_TOGETHER = 2048


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
    reach = np.maximum(_REACH_MM, _REACH_SIGMAS * contour.sigma_mm)
    bend, covered = np.zeros((len(contour), 3)), np.zeros(len(contour))
    for part, near, there in neighbours(contour, reach, _SHAPED_BY):
        along, across, same = _same_contour(contour, part, near, there)
        enough = same.sum(axis=1) >= _FEWEST
        bend[part] = np.where(enough[:, None], _parabolas(along, across, same), 0.0)
        stretch = np.where(same, along, 0.0)
        covered[part] = np.where(enough, np.ptp(stretch, axis=1) / (2 * reach[part]), 0.0)
    return ContourShapes(bend, covered)


def neighbours(
    contour: Contour, reach_mm: Floats, most: int
) -> Iterator[tuple[slice, NDArray[np.intp], NDArray[np.bool_]]]:
    """Parts of the contour with the ``most`` nearest points of each, itself among them, ``(n, most)``, and whether
    they lie within its reach."""
    from scipy.spatial import cKDTree

    if not len(contour):
        return
    tree, most = cKDTree(contour.places), min(most, len(contour))
    for first in range(0, len(contour), _TOGETHER):
        part = slice(first, first + _TOGETHER)
        reach = reach_mm[part]
        away, near = tree.query(contour.places[part], k=most, distance_upper_bound=float(reach.max()))
        there = away.reshape(-1, most) <= reach[:, None]
        yield part, np.where(there, near.reshape(-1, most), 0), there


def _same_contour(
    contour: Contour, part: slice, near: NDArray[np.intp], there: NDArray[np.bool_]
) -> tuple[Map, Map, NDArray[np.bool_]]:
    """Where neighbours lie along and across, and which go on the same way and rise the same way."""
    nx, ny, x, y, height, sigma = (
        each.astype(np.float32)
        for each in (contour.nx, contour.ny, contour.x_mm, contour.y_mm, contour.height, contour.sigma_mm)
    )
    own_nx, own_ny = nx[part, None], ny[part, None]
    dx, dy = x[near] - x[part, None], y[near] - y[part, None]
    along, across = dy * own_nx - dx * own_ny, dx * own_nx + dy * own_ny
    same = there & (nx[near] * own_nx + ny[near] * own_ny > _SAME_WAY)
    same &= height[near] * height[part, None] > 0
    same &= np.abs(across) < 0.6 * np.abs(along) + 0.5 * sigma[part, None] + 0.4
    return along, across, same


def _parabolas(along: Map, across: Map, same: NDArray[np.bool_]) -> Floats:
    """``(n, 3)``, through those of the places ``(n, k)`` that are the same contour."""
    terms = np.stack([np.ones_like(along), along, along**2], axis=1)
    weight = same.astype(np.float32)
    answer: Floats = np.zeros((len(along), 3))
    for _ in range(4):
        weighted = terms * weight[:, None, :]
        normal = np.matmul(weighted, terms.transpose(0, 2, 1)).astype(np.float64) + np.diag([1e-6, 1e-3, 1e-2])
        pull = np.matmul(weighted, across[:, :, None]).astype(np.float64)
        answer = np.asarray(np.linalg.solve(normal, pull)[..., 0])
        left = np.abs(across - np.einsum("nik,ni->nk", terms, answer.astype(np.float32)))
        usual = _medians(left, same)[:, None]
        weight = np.asarray(same / (1 + (left / (2 * np.maximum(1.5 * usual, 0.05))) ** 2), dtype=np.float32)
    return answer


def _medians(rows: NDArray[Any], these: NDArray[np.bool_]) -> NDArray[Any]:
    """The median of those of each row, ``(n,)``; 0 where there is none."""
    ordered = np.sort(np.where(these, rows, np.inf), axis=1)
    count = these.sum(axis=1)
    number = np.arange(len(rows))
    low, high = np.maximum(count - 1, 0) // 2, np.minimum(count // 2, rows.shape[1] - 1)
    middle = 0.5 * (ordered[number, low] + ordered[number, high])
    return np.where(count > 0, middle, 0.0)


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
    profiles = profiles_across(scaled, contour, half, reach, samples=_SAMPLES, patch=_ACROSS, bend=bend)
    steps = fitted_steps(profiles, np.hypot(contour.sigma_mm, before) / half)
    standing = standing_share(profiles, steps.height)
    return found_across(contour, steps, half, before, offset=bend[:, 0], scale_mm=contour.scale_mm, standing=standing)


def found_across(
    places: Places,
    steps: BlurredSteps,
    half_mm: Floats | float,
    before_mm: float,
    *,
    offset: Floats | float,
    scale_mm: Floats,
    standing: Floats,
) -> Contour:
    """Where the ``steps`` stand that were fitted across ``places``, on profiles of this half length, blurred by
    ``before_mm`` before. ``offset``: how far across the middle of each profile lay, mm."""
    off = steps.at * half_mm + offset
    return Contour(
        x_mm=places.x_mm + off * places.nx,
        y_mm=places.y_mm + off * places.ny,
        nx=places.nx,
        ny=places.ny,
        sigma_mm=without_blur(steps.sigma * half_mm, before_mm),
        height=steps.height,
        rms=steps.rms,
        off_mm=np.abs(off),
        scale_mm=scale_mm,
        standing=standing,
    )


def medians_along(contour: Contour) -> Floats:
    """The median sigma of each point and its neighbours along the contour."""
    sigma = contour.sigma_mm.copy()
    for part, near, there in neighbours(contour, np.full(len(contour), _AGREE_MM), _AGREED_BY):
        same = contour.nx[near] * contour.nx[part, None] + contour.ny[near] * contour.ny[part, None] > _AGREE_WAY
        sigma[part] = _medians(contour.sigma_mm[near], same & there)
    return sigma
