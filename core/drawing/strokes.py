"""Strokes: rows of points along a pen's way or a traced edge; their arc length, direction and corners.

Many strokes are worked at once, joined into one array, so that thousands of short ones cost little more than one long.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

SAME = 1e-9
"""Neighbours nearer than this, relative to the stroke's own extent, are one point."""
_SHARP = 0.7
"""At half the arm a true corner turns as far as at the whole arm, an arc of a circle half as far."""
_BEFORE_STROKE = 1.0  # arc length between one stroke's end and the next one's start


@dataclass(frozen=True, eq=False)
class Strokes:
    """Strokes end to end in one array; closed ones go three times round, so that nothing is special at the seam.

    ``points``: ``(n, 2)``. ``arc``: ``(n,)`` length along, ever increasing. ``first``, ``last``: ``(k,)`` index of each
    stroke's own start and end (of a closed one: the start of its middle round, and the same point one round on).
    ``low``, ``high``: ``(k,)`` the outermost indices that belong to the stroke. ``closed``: ``(k,)``.
    """

    points: Array
    arc: Array
    first: Indices
    last: Indices
    low: Indices
    high: Indices
    closed: NDArray[np.bool_]

    def at(self, arc: Array) -> Array:
        """Points ``(..., 2)`` at lengths ``arc`` ``(...)``, straight between neighbours."""
        flat = arc.ravel()
        x, y = (np.interp(flat, self.arc, self.points[:, axis]) for axis in (0, 1))
        return np.stack([x, y], axis=-1).reshape(*arc.shape, 2)

    def along(self, index: Indices, arm: Array, room: Array, within: float) -> Array:
        """Unit directions ``(m, 2)`` of travel at points ``index``, judged over ``arm`` ``(m,)`` before and after, or
        farther, up to ``room`` ``(m,)``, where the stroke keeps ``within`` that distance of a parabola."""
        return self._direction(index, arm, room, within, _BOTH_SIDES)

    def onward(self, index: Indices, arm: Array, room: Array, within: float) -> Array:
        """Unit directions ``(m, 2)`` from points ``index`` into the stretch that begins there; negative ``arm`` and
        ``room`` look back along the stroke. Judged as in :meth:`along`."""
        return self._direction(index, arm, room, within, _ONE_SIDE)

    def _direction(self, index: Indices, arm: Array, room: Array, within: float, window: "_Window") -> Array:
        answer = np.empty((len(index), 2))
        going = np.arange(len(index))
        for widening in _WIDENINGS:
            if not len(going):
                break
            reach = np.where(np.abs(room[going]) < widening * np.abs(arm[going]), room[going], widening * arm[going])
            seen = (
                self.at(self.arc[index[going], None] + reach[:, None] * window.offsets)
                - self.points[index[going], None]
            )
            slope, off = window.fit(seen)
            fits = np.full(len(going), True) if widening == 1.0 else off <= within
            answer[going[fits]] = unit(slope, instead=seen[:, -1])[fits]
            going = going[fits & (np.abs(reach) < np.abs(room[going]))]
        return answer


class _Window:
    """Places along a stroke about a point, and the parabola that fits what is seen there best."""

    def __init__(self, offsets: Array, powers: tuple[int, ...]) -> None:
        basis = np.stack([offsets**power for power in powers], axis=1)
        inverse = np.linalg.pinv(basis)
        self.offsets = offsets
        self._slope = inverse[powers.index(1)]
        self._residual = np.eye(len(offsets)) - basis @ inverse

    def fit(self, seen: Array) -> tuple[Array, Array]:
        """Slopes ``(m, 2)`` at the point, and how far ``(m,)`` anything ``seen`` ``(m, j, 2)`` is off the parabola."""
        off = np.einsum("ij,mjk->mik", self._residual, seen)
        return np.einsum("j,mjk->mk", self._slope, seen), np.sqrt((off * off).sum(axis=2).max(axis=1))


_BOTH_SIDES = _Window(np.linspace(-1.0, 1.0, 17), (0, 1, 2))
_ONE_SIDE = _Window(np.linspace(1.0, 0.0, 12, endpoint=False)[::-1], (1, 2))  # passes through the point itself
_WIDENINGS = (1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0)


def joined(strokes: Sequence[Array], closed: Sequence[bool]) -> Strokes:
    """Join strokes ``(n, 2)``, n ≥ 2 after :func:`cleaned`, into one array."""
    rounds = [np.concatenate([s, s, s, s[:1]]) if ring else s for s, ring in zip(strokes, closed, strict=True)]
    counts = np.array([len(s) for s in strokes], dtype=np.int64)
    lengths = np.array([len(part) for part in rounds], dtype=np.int64)
    low = np.cumsum(lengths) - lengths
    high = low + lengths - 1
    rings = np.asarray(closed, dtype=bool)
    points = np.concatenate(rounds)
    step = np.linalg.norm(np.diff(points, axis=0), axis=1)
    step[high[:-1]] = _BEFORE_STROKE
    first = low + np.where(rings, counts, 0)
    last = np.where(rings, first + counts, high)
    return Strokes(points, np.r_[0.0, np.cumsum(step)], first, last, low, high, rings)


def cleaned(points: Array, *, closed: bool) -> Array:
    """``(n, 2)`` float64 without repeated neighbours (nor the repeated start of a closed stroke), at least one point.

    Raises ValueError for other shapes, no points, and numbers that are not finite.
    """
    points = np.asarray(points, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) == 0:
        raise ValueError(f"A stroke is (n, 2) points with n at least 1, not {points.shape}.")
    if not np.isfinite(points).all():
        raise ValueError("A stroke's points must be finite.")
    least = SAME * max(1.0, float(np.abs(points).max()))
    step = np.abs(np.diff(points, axis=0)).max(axis=1)
    kept = points[np.r_[True, step > least]]
    while closed and len(kept) > 1 and np.abs(kept[-1] - kept[0]).max() <= least:
        kept = kept[:-1]
    if not closed and len(kept) > 1:
        kept = np.concatenate([kept[:-1], points[-1:]])
    return kept


def corners(strokes: Strokes, *, arm: float, corner_deg: float) -> list[Indices]:
    """Where each stroke turns by more than ``corner_deg`` within a length that is short against ``arm``.

    A turn is the angle between the chord of length ``arm`` before a point and the one after. It is a corner when it is
    the largest within an arm's length and is as sharp seen from half the distance, so that small round forms have none.
    """
    answer = []
    turn = _turns(strokes, arm)
    sharp = (turn > np.radians(corner_deg)) & (_turns(strokes, arm / 2.0) > _SHARP * turn)
    for first, last, ring in zip(strokes.first, strokes.last, strokes.closed, strict=True):
        own = np.arange(first, last) if ring else np.arange(first + 1, last)
        found: list[int] = []
        candidates = own[sharp[own]]
        for index in candidates[np.argsort(-turn[candidates], kind="stable")]:
            away = np.abs(strokes.arc[found] - strokes.arc[index]) if found else np.empty(0)
            if ring:
                away = np.minimum(away, strokes.arc[last] - strokes.arc[first] - away)
            if not (away < arm).any():
                found.append(int(index))
        answer.append(np.array(sorted(found), dtype=np.int64))
    return answer


def _turns(strokes: Strokes, arm: float) -> Array:
    """Angle between the chords before and after every point, radians; none within half an arm of an open end."""
    counts = strokes.high - strokes.low + 1
    start, end = (np.repeat(strokes.arc[edge], counts) for edge in (strokes.low, strokes.high))
    reach = np.minimum(np.minimum(strokes.arc - start, end - strokes.arc), arm)
    before = strokes.points - strokes.at(strokes.arc - reach)
    after = strokes.at(strokes.arc + reach) - strokes.points
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.abs(np.arctan2(cross, (before * after).sum(axis=1)))
    return np.where(reach > 0.5 * arm, turn, 0.0)


def unit(vectors: Array, *, instead: Array | None = None) -> Array:
    """``vectors`` ``(m, 2)`` at length 1; where one vanishes, the direction ``instead``, failing both, to the right."""
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    if instead is not None:
        vectors = np.where(length > SAME, vectors, instead)
        length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(length > 0.0, vectors / np.maximum(length, 1e-300), np.array([1.0, 0.0]))
