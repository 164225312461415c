"""Cubic Bézier curves of least squares through stretches of points, many stretches at once.

Schneider 1990, *An algorithm for automatically fitting digitized curves*, Graphics Gems, 612-626: the end points and
the tangents' directions are given, the two control arms are found, and the parameters are improved by Newton-Raphson.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.drawing import bezier

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

ROUNDS = 6
"""Improvements of the parameters before a stretch is given up."""
HOPELESS = 8.0
"""A first fit this many times worse than allowed is not improved but split."""


@dataclass(frozen=True, eq=False)
class Stretches:
    """Stretches of points to be fitted with one curve each.

    ``first``, ``last``: ``(k,)`` indices of a stretch's end points, last > first. ``start``, ``end``: ``(k, 2)`` unit
    vectors from either end point inward along the curve.
    """

    first: Indices
    last: Indices
    start: Array
    end: Array

    def __len__(self) -> int:
        return len(self.first)

    def take(self, which: NDArray[np.bool_] | Indices) -> "Stretches":
        """The stretches chosen."""
        return Stretches(self.first[which], self.last[which], self.start[which], self.end[which])


@dataclass(frozen=True, eq=False)
class Fitted:
    """``curves``: ``(k, 4, 2)``. ``error``: ``(k,)`` farthest of any point from its place on the curve. ``worst``:
    ``(k,)`` index of that point."""

    curves: Array
    error: Array
    worst: Indices


def fit(points: Array, arc: Array, stretches: Stretches, tolerance: float) -> Fitted:
    """The best curve of every stretch; improving stops as soon as one is within ``tolerance``."""
    count = len(stretches)
    answer = Fitted(np.empty((count, 4, 2)), np.full(count, np.inf), np.zeros(count, dtype=np.int64))
    open_ = np.arange(count)
    each = _Points(points, arc, stretches)
    for step in range(ROUNDS + 1):
        curves = each.curves()
        error, worst = each.errors(curves)
        better = error < answer.error[open_]
        chosen = open_[better]
        answer.curves[chosen], answer.error[chosen], answer.worst[chosen] = curves[better], error[better], worst[better]
        more = error > tolerance
        if step == 0:
            more &= error < HOPELESS * tolerance
        if step == ROUNDS or not more.any():
            break
        open_ = open_[more]
        each = each.take(more)
        each.improve(curves[more])
    return answer


class _Points:
    """The points of some stretches, stretch after stretch, each with its parameter 0-1 on the stretch's curve."""

    def __init__(self, points: Array, arc: Array, stretches: Stretches) -> None:
        self.stretches = stretches
        counts = stretches.last - stretches.first + 1
        self._lay_out(counts)
        self.index = np.arange(counts.sum()) - np.repeat(self.begin - stretches.first, counts)
        self.places = points[self.index]
        self.head, self.tail = points[stretches.first], points[stretches.last]
        self.length = arc[stretches.last] - arc[stretches.first]
        self.t = (arc[self.index] - arc[stretches.first][self.of]) / self.length[self.of]

    def _lay_out(self, counts: Indices) -> None:
        self.counts = counts
        self.begin = np.cumsum(counts) - counts
        self.of = np.repeat(np.arange(len(counts)), counts)

    def take(self, which: NDArray[np.bool_]) -> "_Points":
        """The points of the stretches chosen."""
        part = object.__new__(_Points)
        part.stretches = self.stretches.take(which)
        part._lay_out(self.counts[which])
        kept = which[self.of]
        part.index, part.places, part.t = self.index[kept], self.places[kept], self.t[kept]
        part.head, part.tail, part.length = self.head[which], self.tail[which], self.length[which]
        return part

    def curves(self) -> Array:
        """The curves of least squares ``(k, 4, 2)`` for the parameters as they are."""
        t, s = self.t, 1.0 - self.t
        b1, b2 = 3.0 * s * s * t, 3.0 * s * t * t
        near = s * s * (s + 3.0 * t)
        off = self.places - near[:, None] * self.head[self.of] - (1.0 - near)[:, None] * self.tail[self.of]
        sums = self._sums(np.stack([b1 * b1, b1 * b2, b2 * b2, *(b1 * off.T), *(b2 * off.T)], axis=1))
        start, end = self.stretches.start, self.stretches.end
        c11, c12, c22 = sums[:, 0], sums[:, 1] * (start * end).sum(axis=1), sums[:, 2]
        x1, x2 = (sums[:, 3:5] * start).sum(axis=1), (sums[:, 5:7] * end).sum(axis=1)
        first, second = self._arms(c11, c12, c22, x1, x2)
        inner = (self.head + first[:, None] * start, self.tail + second[:, None] * end)
        return np.stack([self.head, *inner, self.tail], axis=1)

    def _arms(self, c11: Array, c12: Array, c22: Array, x1: Array, x2: Array) -> tuple[Array, Array]:
        """Lengths of both control arms; a third of the length where the equations do not say, or say nonsense."""
        determinant = c11 * c22 - c12 * c12
        sound = determinant > 1e-9 * c11 * c22
        safe = np.where(sound, determinant, 1.0)
        first, second = (x1 * c22 - x2 * c12) / safe, (x2 * c11 - x1 * c12) / safe
        least, most = 1e-3 * self.length, self.length
        sound &= (first > least) & (second > least) & (first < most) & (second < most)
        third = np.linalg.norm(self.tail - self.head, axis=1) / 3.0
        third = np.maximum(third, least)
        return np.where(sound, first, third), np.where(sound, second, third)

    def _sums(self, terms: Array) -> Array:
        return np.add.reduceat(terms, self.begin, axis=0)

    def errors(self, curves: Array) -> tuple[Array, Indices]:
        """The farthest of any point from its place on the curve, and the index of that point."""
        off = bezier.at(curves[self.of], self.t) - self.places
        squared = (off * off).sum(axis=1)
        most = np.maximum.reduceat(squared, self.begin)
        where = np.flatnonzero(squared >= most[self.of])
        worst = self.index[where[np.searchsorted(self.of[where], np.arange(len(most)))]]
        return np.sqrt(most), worst

    def improve(self, curves: Array) -> None:
        """One Newton-Raphson step of every parameter towards the nearest place on the curve."""
        on = curves[self.of]
        off = bezier.at(on, self.t) - self.places
        first = bezier.slope(on, self.t)
        bend = 6.0 * np.diff(on, n=2, axis=1)
        second = (1.0 - self.t)[:, None] * bend[:, 0] + self.t[:, None] * bend[:, 1]
        down = (off * first).sum(axis=1)
        rate = (first * first).sum(axis=1) + (off * second).sum(axis=1)
        step = np.where(rate > 0.0, down / np.where(rate > 0.0, rate, 1.0), 0.0)
        self.t = np.clip(self.t - np.clip(step, -0.1, 0.1), 0.0, 1.0)
        self.t[self.begin], self.t[self.begin + self.counts - 1] = 0.0, 1.0
