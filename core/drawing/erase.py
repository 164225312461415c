"""The eraser: lines cut exactly at the edge of a round brush drawn along a path."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.drawing import bezier
from core.drawing.cut import kept_parts
from core.drawing.drawing import Drawing, Line

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

_SAMPLES_A_RADIUS = (
    4  # at the fastest; a line that dips into the brush by less than r / 128 may slip through between two samples
)
_HALVINGS = 40


def erase(drawing: Drawing, path: Array, *, radius_mm: float) -> Drawing:
    """The drawing without what lies under a round brush of ``radius_mm`` whose centre went along ``path`` (n, 2), mm.

    Lines are split at the brush's edge by de Casteljau, so that what is left keeps its course; the longest part of a
    line keeps its name. Landmarks stay. The same drawing is given back when nothing was under the brush.
    Raises ValueError unless the path has points and the radius is more than 0.
    """
    path = np.asarray(path, dtype=np.float64).reshape(-1, 2)
    if not (len(path) and np.isfinite(path).all() and np.isfinite(radius_mm) and radius_mm > 0):
        raise ValueError("The brush needs a path and a radius of more than 0 mm.")
    path = _thinned(path, radius_mm / 20.0)
    near = np.flatnonzero(_near(drawing.lines, path, radius_mm))
    kept = dict(zip(near.tolist(), _left_of([drawing.lines[k] for k in near], path, radius_mm), strict=True))
    if all(parts == [drawing.lines[k]] for k, parts in kept.items()):
        return drawing
    lines = [part for k, line in enumerate(drawing.lines) for part in kept.get(k, [line])]
    return replace(drawing, lines=tuple(lines))


def _thinned(path: Array, step: float) -> Array:
    """Without points nearer than ``step`` along the path to the one kept before; the last stays."""
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))]
    _, first = np.unique(np.floor(run / step), return_index=True)
    return np.asarray(path[np.unique(np.r_[first, len(path) - 1])])


def _near(lines: Sequence[Line], path: Array, radius: float) -> NDArray[np.bool_]:
    """Which lines' control points' bounds meet those of the brush's way."""
    if not lines:
        return np.zeros(0, dtype=bool)
    every = np.concatenate([line.points for line in lines])
    first = np.cumsum([0, *(len(line.points) for line in lines[:-1])])
    low, high = np.minimum.reduceat(every, first), np.maximum.reduceat(every, first)
    meets = (low <= path.max(axis=0) + radius) & (high >= path.min(axis=0) - radius)
    return np.asarray(meets.all(axis=1))


def _left_of(lines: Sequence[Line], path: Array, radius: float) -> list[list[Line]]:
    """For each line its parts outside the brush; the line itself when all of it is."""
    if not lines:
        return []
    each = [bezier.curves_of(line.points) for line in lines]
    curves = np.concatenate(each)
    first = np.cumsum([0, *map(len, each)])  # of each line's curves
    curve, t = _samples(curves, path, radius)
    inside = _is_inside(bezier.at(curves[curve], t), path, radius)
    # Each curve has its own samples at t = 0 and 1, so that no crossing lies between two curves.
    turn = np.flatnonzero((inside[1:] != inside[:-1]) & (curve[1:] == curve[:-1]))
    cuts = curve[turn] + _crossings(curves[curve[turn]], t[turn], t[turn + 1], inside[turn], path, radius)
    begins = np.searchsorted(curve, first[:-1])
    lasts = np.searchsorted(curve, first[1:]) - 1
    own = np.searchsorted(curve[turn], first)
    touched = np.logical_or.reduceat(inside, begins)
    return [
        kept_parts(
            line,
            cuts[own[k] : own[k + 1]] - first[k],
            starts_out=bool(inside[begins[k]]),
            ends_out=bool(inside[lasts[k]]),
        )
        if touched[k]
        else [line]
        for k, line in enumerate(lines)
    ]


def _samples(curves: Array, path: Array, radius: float) -> tuple[Indices, Array]:
    """Places on every curve, its ends among them, and close together where it comes near the brush: curve and t."""
    low, high = curves.min(axis=1), curves.max(axis=1)
    near = ((low <= path.max(axis=0) + radius) & (high >= path.min(axis=0) - radius)).all(axis=1)
    wanted = np.ceil(_fastest(curves) * _SAMPLES_A_RADIUS / radius)
    pieces = np.where(near, np.clip(wanted, 4, bezier.MOST_PIECES), 1).astype(np.int64)
    curve, rank = bezier.steps_of(pieces + 1)
    return curve, np.maximum(rank * (pieces[curve] + 1) - 1, 0.0) / pieces[curve]


def _fastest(curves: Array) -> Array:
    """The most that a curve moves for a step of t, ``(n,)``: three times its longest control side."""
    return np.asarray(3.0 * np.linalg.norm(np.diff(curves, axis=1), axis=2).max(axis=1))


def _is_inside(points: Array, path: Array, radius: float) -> NDArray[np.bool_]:
    """Which points are under the brush."""
    point, side = _pairs(points, path, np.full(len(points), radius))
    inside = np.zeros(len(points), dtype=bool)
    inside[point[_apart(points[point], path, side) < radius]] = True
    return inside


def _pairs(points: Array, path: Array, reach: Array) -> tuple[Indices, Indices]:
    """Every point with every side of the path whose bounds, grown by the point's ``reach``, hold it; by point."""
    starts, ends = _sides(path)
    low, high = np.minimum(starts, ends), np.maximum(starts, ends)
    order = np.argsort(points[:, 0], kind="stable")
    across, most = points[order, 0], float(reach.max(initial=0.0))
    first, last = np.searchsorted(across, low[:, 0] - most), np.searchsorted(across, high[:, 0] + most, side="right")
    found_points, found_sides = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    for side in range(len(starts)):
        some = order[first[side] : last[side]]
        grown = reach[some, None]
        some = some[((points[some] >= low[side] - grown) & (points[some] <= high[side] + grown)).all(axis=1)]
        found_points.append(some)
        found_sides.append(np.full(len(some), side))
    point, side_of = np.concatenate(found_points), np.concatenate(found_sides)
    by_point = np.argsort(point, kind="stable")
    return point[by_point], side_of[by_point]


def _sides(path: Array) -> tuple[Array, Array]:
    return (path[:-1], path[1:]) if len(path) > 1 else (path, path)


def _apart(points: Array, path: Array, side: Indices) -> Array:
    """How far each point ``(n, 2)`` is from its own side of the path, ``(n,)``."""
    starts, ends = _sides(path)
    along, away = (ends - starts)[side], points - starts[side]
    share = np.clip((away * along).sum(axis=1) / np.maximum((along * along).sum(axis=1), 1e-300), 0.0, 1.0)
    return np.asarray(np.linalg.norm(away - share[:, None] * along, axis=1))


def _crossings(
    curves: Array, low: Array, high: Array, low_inside: NDArray[np.bool_], path: Array, radius: float
) -> Array:
    """The t ``(n,)`` between ``low`` and ``high`` at which curves ``(n, 4, 2)`` cross the brush's edge, by halving."""
    if not len(curves):
        return low
    middle = (low + high) / 2.0
    reach = radius + _fastest(curves) * (high - low) / 2.0
    row, side = _pairs(bezier.at(curves, middle), path, reach)
    rows, first = np.unique(row, return_index=True)  # all of them: one end of each stretch is under the brush
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        apart = _apart(bezier.at(curves, middle)[row], path, side)
        inside = np.zeros(len(curves), dtype=bool)
        inside[rows] = np.minimum.reduceat(apart, first) < radius
        low, high = np.where(inside == low_inside, middle, low), np.where(inside == low_inside, high, middle)
    return np.asarray((low + high) / 2.0)
