"""Cutting chains of Bézier curves without moving them: a place on a chain is its curve's number plus t (0-n)."""

import numpy as np
from numpy.typing import NDArray

from core.drawing import bezier

Array = NDArray[np.float64]


def between(curves: Array, start: Array, end: Array) -> Array:
    """The stretch of each curve ``(n, 4, 2)`` from t = ``start`` to ``end``, both ``(n,)`` 0-1, as curves.

    By de Casteljau's scheme, a different t at each of its three rounds giving each control point (Ramshaw 1989,
    *Blossoms are polar forms*, CAGD 6(4), 323-358): exact, and the old ends exactly where t is 0 or 1.
    """
    rounds = ((start, start, start), (start, start, end), (start, end, end), (end, end, end))
    return np.stack([_polar(curves, three) for three in rounds], axis=1)


def _polar(curves: Array, three: tuple[Array, Array, Array]) -> Array:
    for t in three:
        share = t[:, None, None]
        curves = curves[:, :-1] * (1.0 - share) + curves[:, 1:] * share
    return curves[:, 0]


def chain_of(curves: Array) -> Array:
    """The chain ``(3 n + 1, 2)`` of curves ``(n, 4, 2)``, each of which begins where the one before ends."""
    return np.concatenate([curves[0, :1], curves[:, 1:].reshape(-1, 2)])


def part(points: Array, start: float, end: float) -> Array:
    """The chain from place ``start`` to ``end`` of a chain, 0 ≤ ``start`` < ``end`` ≤ n; its course is the same."""
    count = (len(points) - 1) // 3
    if not 0.0 <= start < end <= count:
        raise ValueError(f"A part lies within 0 and {count} and has a length, not {start} to {end}.")
    first, last = min(int(start), count - 1), int(np.ceil(end)) - 1
    curves = bezier.curves_of(points)[first : last + 1]
    begin, finish = np.zeros(len(curves)), np.ones(len(curves))
    begin[0], finish[-1] = start - first, end - last
    return chain_of(between(curves, begin, finish))


def with_node(points: Array, place: float) -> Array:
    """The same course with one more node at a place between two of its nodes."""
    count = (len(points) - 1) // 3
    if not 0.0 < place < count or place == int(place):
        raise ValueError(f"A new node lies between two nodes, not at {place} of {count} curves.")
    return np.concatenate([part(points, 0.0, place), part(points, place, float(count))[1:]])
