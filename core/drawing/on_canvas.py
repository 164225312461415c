"""Lines cut where they leave the canvas: what lies on it keeps its course, what lies beside it is not kept."""

import numpy as np
from numpy.typing import NDArray

from core.drawing import bezier
from core.drawing.cut import kept_parts
from core.drawing.drawing import Line
from core.size import Size

Array = NDArray[np.float64]

STRAY_MM = 0.1
"""A line that runs along the edge may stray over it by so much, less than a fine pencil's width, without being cut."""
_NOTHING_MM = 1e-9
_PROBES = 16  # places of a stretch at which is asked how far it strays


def on_canvas(line: Line, size: Size) -> tuple[Line, ...]:
    """The parts of a line that lie on the canvas, in order; the line itself when it does not leave it.

    Curves are cut by de Casteljau where they cross the edge, which is found as a root of the cubic. A closed line that
    leaves the canvas becomes open ones. Ends that were cut lie on the edge exactly; parts shorter than a crumb
    (:data:`core.drawing.cut.CRUMB_MM`) are not kept.
    """
    far = np.array([size.width_mm, size.height_mm])
    if (line.points >= -STRAY_MM).all() and (line.points <= far + STRAY_MM).all():
        return (line,)
    curves = bezier.curves_of(line.points)
    bounds = np.unique(np.r_[np.arange(len(curves) + 1.0), _crossings(curves, far)])
    out = _is_out(curves, bounds, far)
    turns = np.flatnonzero(out[1:] != out[:-1]) + 1
    if not len(turns):
        return () if out[0] else (line,)
    parts = kept_parts(line, bounds[turns], starts_out=bool(out[0]), ends_out=bool(out[-1]))
    return tuple(_ended_on_edge(part, far) for part in parts)


def _crossings(curves: Array, far: Array) -> Array:
    """The places along a chain of curves ``(n, 4, 2)`` at which it crosses the lines of the canvas's edges."""
    found: list[float] = []
    for number, curve in enumerate(curves):
        for axis in (0, 1):
            for edge in (0.0, far[axis]):
                off = curve[:, axis] - edge
                if off.min() < 0.0 < off.max():
                    found += [number + t for t in _roots(*off.tolist())]
    return np.array(found)


def _roots(a: float, b: float, c: float, d: float) -> list[float]:
    """Where within 0-1 the cubic with these Bernstein coefficients, in mm, is 0."""
    powers = np.array([d - a + 3.0 * (b - c), 3.0 * (a - 2.0 * b + c), 3.0 * (b - a), a])
    powers[np.abs(powers) < _NOTHING_MM] = 0.0  # else a straight side's cubic part, all rounding, spoils its one root
    roots = np.roots(powers)
    real = roots.real[np.abs(roots.imag) < 1e-9]
    return [float(t) for t in real if 0.0 < t < 1.0]


def _is_out(curves: Array, bounds: Array, far: Array) -> NDArray[np.bool_]:
    """Which stretches between ``bounds`` ``(n + 1,)`` along a chain lie beside the canvas, ``(n,)``.

    Neighbours that do are taken together: what strays no further than ``STRAY_MM`` until it comes back is on it.
    """
    share = (np.arange(_PROBES) + 0.5) / _PROBES
    places = (bounds[:-1, None] + share * np.diff(bounds)[:, None]).reshape(-1)
    index = np.minimum(places.astype(np.int64), len(curves) - 1)
    at = bezier.at(curves[index], places - index)
    beyond = np.maximum(-at, at - far).max(axis=1).reshape(-1, _PROBES).max(axis=1)
    out = beyond > _NOTHING_MM
    first = np.flatnonzero(np.r_[True, out[1:] != out[:-1]])
    furthest = np.maximum.reduceat(beyond, first)
    return np.repeat(furthest > STRAY_MM, np.diff(np.r_[first, len(out)]))


def _ended_on_edge(part: Line, far: Array) -> Line:
    """The same with its ends not off the canvas by the last digit."""
    points = part.points.copy()
    points[[0, -1]] = points[[0, -1]].clip(0.0, far)
    return Line(points, name=part.name, layer=part.layer)
