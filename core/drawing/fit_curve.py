"""Smooth curves through strokes: chains of cubic Bézier curves fitted to rows of points.

Schneider 1990 (*An algorithm for automatically fitting digitized curves*, Graphics Gems, 612-626), with three
changes: corners are found first and kept sharp; directions are judged over a length and not from the next point, so
that a hand's jitter does not turn them; and neighbours that one curve can carry are joined again at the end.

With jitter of 0.05 mm and a tolerance of 0.1 mm the chain keeps within 0.09 mm of the circle, wave, spiral or straight
line that was meant; the straight line is one curve or two, a circle of 120 mm four to six.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.drawing.least_squares import Stretches, fit
from core.drawing.strokes import Strokes, cleaned, corners, joined

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

CORNER_DEG = 40.0
ARM = 10.0
"""Directions and corners are judged over this many tolerances."""
STRAY = 0.7
"""... or over more, while the stroke keeps within this many tolerances of a parabola."""
MIDDLE = 0.12
"""A stretch is not split nearer to its ends than this share of its points."""
JOINING_ROUNDS = 3


def fit_curve(
    points: Array, *, tolerance_mm: float = 0.1, closed: bool = False, corner_deg: float = CORNER_DEG
) -> Array:
    """The chain of cubic Bézier curves ``(3 m + 1, 2)`` float64 through a stroke ``(n, 2)`` in mm, n ≥ 1.

    Every point is within ``tolerance_mm`` of the chain; an open chain begins and ends at the stroke's ends. A closed
    one ends where it starts (the stroke's first point need not be repeated). Neighbouring curves share their direction
    except at corners, where the stroke turns by more than ``corner_deg`` (0-180; 180 for none) within a few
    ``tolerance_mm``. One point, however often repeated, gives one curve without length.
    Raises ValueError for other shapes, no points, and numbers that are not finite.
    """
    return fit_curves([points], tolerance_mm=tolerance_mm, closed=[closed], corner_deg=corner_deg)[0]


def fit_curves(
    strokes: Sequence[Array],
    *,
    tolerance_mm: float = 0.1,
    closed: Sequence[bool] | None = None,
    corner_deg: float = CORNER_DEG,
) -> list[Array]:
    """:func:`fit_curve` of many strokes together, which is many times faster than one by one."""
    if not (np.isfinite(tolerance_mm) and tolerance_mm > 0.0 and 0.0 <= corner_deg <= 180.0):
        raise ValueError("The tolerance must be more than 0 mm and a corner within 0-180 degrees.")
    rings = [False] * len(strokes) if closed is None else list(closed)
    ready = [_ready(stroke, ring) for stroke, ring in zip(strokes, rings, strict=True)]
    clean, rings = [stroke for stroke, _ in ready], [ring for _, ring in ready]
    long = [k for k, stroke in enumerate(clean) if len(stroke) > 1]
    answer = [np.repeat(stroke[:1], 4, axis=0) for stroke in clean]
    if long:
        together = joined([clean[k] for k in long], [rings[k] for k in long])
        for k, chain in zip(long, _chains(together, tolerance_mm, corner_deg), strict=True):
            answer[k] = chain
    return answer


def _ready(stroke: Array, ring: bool) -> tuple[Array, bool]:
    """The stroke cleaned; two points make no ring, but a way there and back."""
    points = cleaned(stroke, closed=ring)
    if ring and len(points) == 2:
        return np.concatenate([points, points[:1]]), False
    return points, ring and len(points) > 2


@dataclass(frozen=True, eq=False)
class _Pieces:
    """Stretches, and for each the stroke it is of and the piece between corners it is of."""

    stretches: Stretches
    low: Indices  # where its piece begins: directions are not judged beyond
    high: Indices

    def take(self, which: NDArray[np.bool_] | Indices) -> "_Pieces":
        return _Pieces(self.stretches.take(which), self.low[which], self.high[which])


def _chains(strokes: Strokes, tolerance: float, corner_deg: float) -> list[Array]:
    """The chain of every stroke."""
    pieces = _first_pieces(strokes, corners(strokes, arm=ARM * tolerance, corner_deg=corner_deg), tolerance)
    done, curves = _split_until_fitted(strokes, pieces, tolerance)
    for _ in range(JOINING_ROUNDS):
        before = len(curves)
        for parity in (0, 1):
            done, curves = _join_neighbours(strokes, done, curves, tolerance, parity)
        if len(curves) == before:
            break
    owner = np.searchsorted(strokes.low, done.stretches.first, side="right") - 1
    cuts = np.searchsorted(owner, np.arange(1, len(strokes.first)))
    return [np.concatenate([part[0, :1], part[:, 1:].reshape(-1, 2)]) for part in np.split(curves, cuts)]


def _first_pieces(strokes: Strokes, at_corners: list[Indices], tolerance: float) -> _Pieces:
    """Every stroke cut at its corners. A ring without corners is cut in half, smoothly."""
    first, last, low, high = [], [], [], []
    for k, found in enumerate(at_corners):
        ring = bool(strokes.closed[k])
        count = int(strokes.last[k] - strokes.first[k])
        if ring and len(found) == 0:
            ends = np.array([strokes.first[k], strokes.first[k] + count // 2, strokes.last[k]])
            bounds = np.array([[strokes.low[k], strokes.high[k]]] * 2)
        else:
            ends = np.r_[found, found[0] + count] if ring else np.r_[strokes.first[k], found, strokes.last[k]]
            bounds = np.stack([ends[:-1], ends[1:]], axis=1)
        first.append(ends[:-1])
        last.append(ends[1:])
        low.append(bounds[:, 0])
        high.append(bounds[:, 1])
    begin, end, lower, upper = (np.concatenate(part).astype(np.int64) for part in (first, last, low, high))
    start, finish = (_directions(strokes, index, lower, upper, tolerance) for index in (begin, end))
    return _Pieces(Stretches(begin, end, start, -finish), lower, upper)


def _directions(strokes: Strokes, index: Indices, low: Indices, high: Indices, tolerance: float) -> Array:
    """Unit directions of travel at points, looking no further than their piece reaches."""
    behind, ahead = strokes.arc[index] - strokes.arc[low], strokes.arc[high] - strokes.arc[index]
    arm, within = ARM * tolerance, STRAY * tolerance
    answer = np.empty((len(index), 2))
    begins, ends = behind <= 0.0, ahead <= 0.0
    inside = ~(begins | ends)
    room = np.minimum(behind, ahead)[inside]
    answer[inside] = strokes.along(index[inside], np.minimum(room, arm), room, within)
    answer[begins] = strokes.onward(index[begins], np.minimum(ahead[begins], arm), ahead[begins], within)
    answer[ends] = -strokes.onward(index[ends], -np.minimum(behind[ends], arm), -behind[ends], within)
    return answer


def _split_until_fitted(strokes: Strokes, pieces: _Pieces, tolerance: float) -> tuple[_Pieces, Array]:
    """Split whatever one curve cannot carry where it fails worst, until all is carried."""
    done: list[_Pieces] = []
    curves: list[Array] = []
    while len(pieces.stretches):
        found = fit(strokes.points, strokes.arc, pieces.stretches, tolerance)
        fitted = found.error <= tolerance
        done.append(pieces.take(fitted))
        curves.append(found.curves[fitted])
        pieces = _halves(strokes, pieces.take(~fitted), found.worst[~fitted], tolerance)
    together = _together(done)
    order = np.argsort(together.stretches.first, kind="stable")
    return together.take(order), np.concatenate(curves)[order]


def _halves(strokes: Strokes, pieces: _Pieces, worst: Indices, tolerance: float) -> _Pieces:
    first, last = pieces.stretches.first, pieces.stretches.last
    margin = np.maximum((MIDDLE * (last - first)).astype(np.int64), 1)
    middle = np.clip(worst, first + margin, last - margin)
    way = _directions(strokes, middle, pieces.low, pieces.high, tolerance)
    left = Stretches(first, middle, pieces.stretches.start, -way)
    right = Stretches(middle, last, way, pieces.stretches.end)
    return _together([_Pieces(half, pieces.low, pieces.high) for half in (left, right)])


def _join_neighbours(
    strokes: Strokes, pieces: _Pieces, curves: Array, tolerance: float, parity: int
) -> tuple[_Pieces, Array]:
    """Pairs of neighbours of one piece, every other pair, made one curve where that keeps within ``tolerance``."""
    all_ = pieces.stretches
    left = np.arange(parity, len(curves) - 1, 2)
    right = left + 1
    same = (pieces.low[left] == pieces.low[right]) & (all_.last[left] == all_.first[right])
    left, right = left[same], right[same]
    pair = Stretches(all_.first[left], all_.last[right], all_.start[left], all_.end[right])
    if len(pair) == 0:
        return pieces, curves
    found = fit(strokes.points, strokes.arc, pair, tolerance)
    carried = found.error <= tolerance
    left, right = left[carried], right[carried]
    kept = np.ones(len(curves), dtype=bool)
    kept[right] = False
    last, end, joint = all_.last.copy(), all_.end.copy(), curves.copy()
    last[left], end[left], joint[left] = all_.last[right], all_.end[right], found.curves[carried]
    return _Pieces(Stretches(all_.first, last, all_.start, end), pieces.low, pieces.high).take(kept), joint[kept]


def _together(parts: list[_Pieces]) -> _Pieces:
    every = [part.stretches for part in parts]
    return _Pieces(
        Stretches(
            np.concatenate([s.first for s in every]),
            np.concatenate([s.last for s in every]),
            np.concatenate([s.start for s in every]),
            np.concatenate([s.end for s in every]),
        ),
        np.concatenate([part.low for part in parts]),
        np.concatenate([part.high for part in parts]),
    )
