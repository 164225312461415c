"""How wide each edge of the reference is as the eye sees it from its focal point, and the plan that follows from it."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.edge.brief import EdgeBrief
from core.edge.eye import as_seen
from core.edge.lines import EdgeLines, link_edges
from core.edge.plan import EdgePlan, plan_edges
from core.edge.width import Edges, measure_edges
from core.errors import PainterError
from core.tone import luminance_of_linear, value_of_luminance

Floats = NDArray[np.float64]

_NEAREST = 12
_SAME_WAY = 0.5
_ACROSS_MM, _ACROSS_SIGMAS = 0.5, 0.6
"""How far across a blurred edge may have moved: on a bend it does, the more the wider it is."""
_ALONG_SPACINGS = 1.5
_GAP_MM = 8.0
"""Along a line, what is not found over less than this lies between what is found before and behind it."""


def plan_as_seen(
    edges: Edges,
    linear: NDArray[Any],
    brief: EdgeBrief,
    *,
    px_per_mm: float,
    blur_mm: float = 0.0,
    lines: EdgeLines | None = None,
) -> EdgePlan:
    """The plan by the eye (see :mod:`core.edge.plan`) of ``edges``, measured on the reference: ``linear`` light
    ``(H, W, 3)`` at ``px_per_mm``, whose own blur is ``blur_mm``.

    PainterError when the brief has no ``eye`` or no focal point.
    """
    joined = link_edges(edges) if lines is None else lines
    seen = edges_as_seen(linear, brief, px_per_mm=px_per_mm, blur_mm=blur_mm)
    return plan_edges(edges, brief, lines=joined, seen_mm=seen_sigmas(edges, seen, joined))


def edges_as_seen(linear: NDArray[Any], brief: EdgeBrief, *, px_per_mm: float, blur_mm: float = 0.0) -> Edges:
    """The edges of the reference as the eye sees it; arguments as in :func:`plan_as_seen`."""
    if brief.eye is None:
        raise PainterError("How far the eye is from the canvas is not set. Set the viewing distance first.")
    light = luminance_of_linear(np.asarray(linear, dtype=np.float32))
    value = value_of_luminance(as_seen(light, brief.foci, brief.eye, px_per_mm=px_per_mm))
    return measure_edges(value, px_per_mm, blur_mm=blur_mm)


def seen_sigmas(edges: Edges, seen: Edges, lines: EdgeLines) -> Floats:
    """Sigma, mm, ``(n,)``, with which each of ``edges`` is ``seen``: that of the nearest point on the same edge; over a
    short gap in a line what lies between its ends; infinite where the edge is not to be followed any more."""
    sigma = _of_the_same_edge(edges, seen)
    for line in lines.lines:
        here = sigma[line.index]
        known = np.flatnonzero(np.isfinite(here))
        if len(known) in (0, len(here)):
            continue
        at = np.cumsum(np.concatenate([[0.0], np.linalg.norm(np.diff(line.points_mm, axis=0), axis=1)]))
        after = np.searchsorted(known, np.arange(len(here)))
        before, after = known[np.maximum(after - 1, 0)], known[np.minimum(after, len(known) - 1)]
        short = (before < np.arange(len(here))) & (after > np.arange(len(here))) & (at[after] - at[before] < _GAP_MM)
        fill = short & ~np.isfinite(here)
        here[fill] = np.exp(np.interp(at[fill], at[known], np.log(here[known])))
        sigma[line.index] = here
    return sigma


def _of_the_same_edge(edges: Edges, seen: Edges) -> Floats:
    from scipy.spatial import cKDTree

    if not len(edges) or not len(seen):
        return np.full(len(edges), np.inf)
    places = np.stack([edges.x_mm, edges.y_mm], axis=1)
    wheres = np.stack([seen.x_mm, seen.y_mm], axis=1)
    away, which = cKDTree(wheres).query(places, k=min(_NEAREST, len(seen)))
    away, which = away.reshape(len(edges), -1), which.reshape(len(edges), -1)
    way = wheres[which] - places[:, None]
    nx, ny = seen.nx[which], seen.ny[which]
    across, along = np.abs(way[..., 0] * nx + way[..., 1] * ny), np.abs(way[..., 1] * nx - way[..., 0] * ny)
    same = edges.nx[:, None] * nx + edges.ny[:, None] * ny > _SAME_WAY
    same &= across < _ACROSS_MM + _ACROSS_SIGMAS * seen.sigma_mm[which]
    same &= along < _ALONG_SPACINGS * np.maximum(0.5, seen.scale_mm[which] / 2)
    first = np.argmin(np.where(same, away, np.inf), axis=1)
    found = seen.sigma_mm[which[np.arange(len(edges)), first]]
    return np.where(same.any(axis=1), found, np.inf)
