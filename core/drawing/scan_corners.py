"""Corners that thinning cut made sharp again: two straight stretches that meet inside the ink meet in a point."""

import numpy as np
from numpy.typing import NDArray

from core.drawing.sampling import sampled

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

STEP_MM = 0.1
NEAR_MM, FAR_MM = 0.7, 1.7
"""The stretches on either side of a corner are judged from this far to this far away from it."""
LEAST_TURN_DEG = 35.0
MOST_BOW = 0.02
"""Most that a stretch may be off the straight, mm for each radian of the corner's turn: a round form is off by more."""
FARTHEST_MM = 4.0
OUTSIDE_MM = 0.15
"""A corner may lie this far outside the mask, whose points are a little blunt."""


def sharpened(points: Array, outside_mm: Picture, px_per_mm: float, *, closed: bool) -> Array:
    """A line ``(n, 2)`` mm at steps of about 0.1 mm, its corners where its straight sides meet.

    ``outside_mm``: ``(H, W)`` float32, how far each pixel is from the ink. A closed line does not repeat its first
    point; its corners near that point are found too.
    """
    near, far = round(NEAR_MM / STEP_MM), round(FAR_MM / STEP_MM)
    even = _even(points, closed=closed)
    if len(even) < 2 * far + 2:
        return even
    padded = np.concatenate([even[-far:], even, even[:far]]) if closed else even
    centre = np.arange(far, len(padded) - far)
    corner, good = _meeting(padded, centre, near, far)
    gap = corner - padded[centre]
    good &= np.linalg.norm(gap, axis=1) <= FARTHEST_MM
    for share in (0.4, 0.7, 1.0):  # ink all the way, or it is another line's ink
        good &= sampled(outside_mm, (padded[centre] + share * gap) * px_per_mm - 0.5) <= OUTSIDE_MM
    sharpness = np.where(good, _turn(padded, centre, near, far), 0.0)
    chosen: list[int] = []
    for k in np.argsort(-sharpness, kind="stable"):
        if sharpness[k] <= 0.0:
            break
        if all(_apart(int(k), other, len(even), closed=closed) > 2 * near for other in chosen):
            chosen.append(int(k))
    return _with_corners(even, [(int(centre[k]) - (far if closed else 0), corner[k]) for k in chosen], near, closed)


def _even(points: Array, *, closed: bool) -> Array:
    """Points at equal steps of about STEP_MM."""
    ring = np.concatenate([points, points[:1]]) if closed else points
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1))]
    count = max(2, round(run[-1] / STEP_MM) + 1)
    places = np.linspace(0.0, run[-1], count)
    even = np.stack([np.interp(places, run, ring[:, axis]) for axis in (0, 1)], axis=1)
    return even[:-1] if closed else even


def _arms(points: Array, centre: NDArray[np.int64], near: int, far: int) -> tuple[Array, Array]:
    offsets = np.arange(near, far + 1)
    return points[centre[:, None] - offsets[::-1]], points[centre[:, None] + offsets]


def _straight(arm: Array) -> tuple[Array, Array, Array]:
    """Middle and direction of each stretch ``(m, k, 2)``, and how far anything in it is off the straight."""
    middle = arm.mean(axis=1)
    way = arm[:, -1] - arm[:, 0]
    way /= np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    off = (arm[..., 0] - middle[:, None, 0]) * way[:, None, 1] - (arm[..., 1] - middle[:, None, 1]) * way[:, None, 0]
    return middle, way, np.abs(off).max(axis=1)


def _turn(points: Array, centre: NDArray[np.int64], near: int, far: int) -> Array:
    """Angle between the stretches before and after, radians."""
    (_, one, _), (_, other, _) = (_straight(arm) for arm in _arms(points, centre, near, far))
    return np.asarray(np.arccos(np.clip((one * other).sum(axis=1), -1.0, 1.0)))


def _meeting(points: Array, centre: NDArray[np.int64], near: int, far: int) -> tuple[Array, NDArray[np.bool_]]:
    """Where the stretches before and after each point meet, and whether that can be a corner."""
    before, after = _arms(points, centre, near, far)
    (p, u, bow_before), (q, v, bow_after) = _straight(before), _straight(after)
    cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    safe = np.where(np.abs(cross) > 1e-6, cross, 1.0)
    gap = q - p
    along = (gap[:, 0] * v[:, 1] - gap[:, 1] * v[:, 0]) / safe
    back = (gap[:, 0] * u[:, 1] - gap[:, 1] * u[:, 0]) / safe
    turn = np.arccos(np.clip((u * v).sum(axis=1), -1.0, 1.0))
    good = (np.abs(cross) > 1e-6) & (turn > np.radians(LEAST_TURN_DEG))
    good &= (np.maximum(bow_before, bow_after) < MOST_BOW * turn) & (along > 0.0) & (back < 0.0)
    return p + np.where(good, along, 0.0)[:, None] * u, good


def _apart(one: int, other: int, count: int, *, closed: bool) -> int:
    away = abs(one - other)
    return min(away, count - away) if closed else away


def _with_corners(points: Array, corners: list[tuple[int, Array]], near: int, closed: bool) -> Array:
    """Each corner in place of the points within ``near`` of it."""
    count = len(points)
    kept = np.ones(count, dtype=bool)
    answer = points.copy()
    for index, corner in corners:
        around = np.arange(index - near + 1, index + near)
        kept[around % count if closed else around] = False
        answer[index % count] = corner
    kept[[index % count for index, _ in corners]] = True
    return answer[kept]
