"""Lines that a brush goes over, to keep or to reject them."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.drawing.drawing import Line

_SPACING = 0.25
"""Lines are looked at in steps of this share of the radius: a graze is missed by less than 1 % of it."""


def within_brush(lines: Sequence[Line], path_mm: ArrayLike, radius_mm: float) -> NDArray[np.int64]:
    """Indices ``(k,)`` int64, rising, of the lines that a round brush touches.

    ``path_mm``: ``(n, 2)`` where the brush's centre went, n ≥ 1, straight from one to the next. ``radius_mm``: more
    than 0. Raises ValueError for other shapes and ranges.
    """
    path = np.asarray(path_mm, dtype=np.float64)
    if path.ndim != 2 or path.shape[1] != 2 or len(path) == 0 or not np.isfinite(path).all():
        raise ValueError(f"A brush's path is (n, 2) finite points with n at least 1, not {path.shape}.")
    if not (np.isfinite(radius_mm) and radius_mm > 0.0):
        raise ValueError("A brush's radius must be more than 0 mm.")
    low, high = path.min(axis=0) - radius_mm, path.max(axis=0) + radius_mm
    touched = []
    for number, line in enumerate(lines):
        # A curve lies within the hull of its control points, so far lines need not be flattened.
        if (line.points.max(axis=0) < low).any() or (line.points.min(axis=0) > high).any():
            continue
        points = _spaced(line.polyline(0.05 * radius_mm), _SPACING * radius_mm)
        near = points[((points >= low) & (points <= high)).all(axis=1)]
        if len(near) and _any_within(near, path, radius_mm):
            touched.append(number)
    return np.array(touched, dtype=np.int64)


def _spaced(polyline: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """The polyline with more points, none farther than ``step`` from the next."""
    sides = np.linalg.norm(np.diff(polyline, axis=0), axis=1)
    run = np.r_[0.0, np.cumsum(sides)]
    places = np.unique(np.r_[run, np.linspace(0.0, run[-1], int(np.ceil(run[-1] / step)) + 1)])
    return np.stack([np.interp(places, run, polyline[:, axis]) for axis in (0, 1)], axis=1)


def _any_within(points: NDArray[np.float64], path: NDArray[np.float64], radius: float) -> bool:
    starts, sides = (path, np.zeros_like(path)) if len(path) == 1 else (path[:-1], np.diff(path, axis=0))
    for start, side in zip(starts, sides, strict=True):
        off = points - start
        along = np.clip(off @ side / max(float(side @ side), 1e-300), 0.0, 1.0)
        if ((off - along[:, None] * side) ** 2).sum(axis=1).min() <= radius * radius:
            return True
    return False
