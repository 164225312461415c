"""Strategies and measures shared by the drawing's tests."""

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from core.drawing.drawing import Line

coordinates = st.floats(0.0, 300.0, allow_nan=False, width=32)


@st.composite
def chains(draw: st.DrawFn, most: int = 6) -> NDArray[np.float64]:
    """A chain of one to ``most`` cubic curves, (3 n + 1, 2) mm."""
    count = draw(st.integers(1, most))
    values = draw(st.lists(coordinates, min_size=6 * count + 2, max_size=6 * count + 2))
    return np.array(values, dtype=np.float64).reshape(-1, 2)


def exact(line: Line, per_curve: int = 400) -> NDArray[np.float64]:
    """Dense points of a line by the Bernstein polynomials, (m, 2)."""
    t = np.linspace(0.0, 1.0, per_curve)[:, None]
    basis = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
    curves = [line.points[first : first + 4] for first in range(0, len(line.points) - 1, 3)]
    return np.concatenate([sum(b * p for b, p in zip(basis, curve, strict=True)) for curve in curves])


def distance_to_polyline(points: NDArray[np.float64], polyline: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance of each of (m, 2) points from the nearest side of a polyline, (m,)."""
    start, side = polyline[:-1], np.diff(polyline, axis=0)
    best = np.full(len(points), np.inf)
    for a, d in zip(start, side, strict=True):
        share = np.clip(((points - a) @ d) / max(float(d @ d), 1e-300), 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(points - a - share[:, None] * d, axis=1))
    return best
