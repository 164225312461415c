"""Chains of cubic Bézier curves: evaluating, flattening, measuring along.

Curves are ``(n, 4, 2)`` float64: start, control, control, end. Units are whatever the points are in (mm here).
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MOST_PIECES = 4096  # for one curve; reached only by curves far larger than any canvas


def curves_of(points: Array) -> Array:
    """The curves ``(n, 4, 2)`` of a chain ``(3 n + 1, 2)``."""
    count = (len(points) - 1) // 3
    return np.asarray(points[3 * np.arange(count)[:, None] + np.arange(4)])


def chain_through(points: Array) -> Array:
    """The chain of straight curves through ``(n, 2)`` points: controls at one and two thirds of each side."""
    points = np.asarray(points, dtype=np.float64)
    chain = np.empty((3 * len(points) - 2, 2))
    step = np.diff(points, axis=0) / 3.0
    chain[0::3] = points
    chain[1::3] = points[:-1] + step
    chain[2::3] = points[1:] - step
    return chain


def at(curves: Array, t: Array) -> Array:
    """Points ``(m, 2)`` of curves ``(m, 4, 2)`` at ``t`` ``(m,)``, 0-1."""
    t = t[:, None]
    s = 1.0 - t
    a, b, c, d = curves[:, 0], curves[:, 1], curves[:, 2], curves[:, 3]
    return np.asarray(s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d)


def slope(curves: Array, t: Array) -> Array:
    """First derivatives ``(m, 2)`` of curves ``(m, 4, 2)`` at ``t`` ``(m,)``."""
    t = t[:, None]
    s = 1.0 - t
    a, b, c, d = curves[:, 0], curves[:, 1], curves[:, 2], curves[:, 3]
    return np.asarray(3.0 * (s * s * (b - a) + 2.0 * s * t * (c - b) + t * t * (d - c)))


def pieces_for(curves: Array, tolerance: float) -> NDArray[np.int64]:
    """How many equal steps of t keep each curve's chords within ``tolerance`` of it, ``(n,)``.

    A chord over a step h leaves the curve by at most h² max|B''| / 8, and |B''| of a cubic is at most 6 times the
    larger second difference of its control points (Filip, Magedson and Markot 1986, *CAGD* 3(4), 295-311).
    """
    bend = np.linalg.norm(np.diff(curves, n=2, axis=1), axis=2).max(axis=1, initial=0.0)
    return np.asarray(np.clip(np.ceil(np.sqrt(0.75 * bend / tolerance)), 1, MOST_PIECES), dtype=np.int64)


def steps_of(pieces: NDArray[np.int64]) -> tuple[NDArray[np.int64], Array]:
    """The curve index ``(m,)`` and the t at the end of every piece ``(m,)``, curve by curve."""
    index = np.repeat(np.arange(len(pieces)), pieces)
    first = np.repeat(np.cumsum(pieces) - pieces, pieces)
    return index, (np.arange(len(index)) - first + 1) / pieces[index]


def flatten(points: Array, tolerance: float) -> Array:
    """The chain ``(3 n + 1, 2)`` as a polyline ``(m, 2)`` that keeps within ``tolerance`` of it."""
    curves = curves_of(points)
    index, t = steps_of(pieces_for(curves, tolerance))
    return np.concatenate([points[:1], at(curves[index], t)])
