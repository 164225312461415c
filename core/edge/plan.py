"""The edge plan: where an edge is to be hard, firm, soft or lost.

By distance (no ``eye`` in the brief). Within the radius of a focal point an edge is planned as it is in the reference.
Farther out it is softened by one kind for every doubling of the distance, in radii of the nearest focal point, and by
more the fainter it is: an edge of ``USUAL_CONTRAST`` softens at that pace, one of a quarter of it twice as fast. So
faint edges are lost first and strong ones hold out. The pace is ours; that the eye is led by hard, strong edges and let
go by soft ones is common practice.

By the eye (``eye`` in the brief). What is measured on the reference as the eye sees it from its focal point
(:mod:`core.edge.seen`) takes the place of distance and contrast, for the eye's picture has both in it: an edge is
planned as it is seen, and one that can no longer be followed is lost. The two ways are never added together, which
would soften for the same distance twice.

Either way a plan makes no edge harder than the reference has it: what a photograph does not show hard (a form out of
focus, a turning form) would be made up. The painter knows better and may: what is brushed over by hand counts before
all else, the later stroke before the earlier. Without a focal point every edge is planned as the reference has it.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.edge.brief import Brushed, EdgeBrief
from core.edge.kinds import EdgeBounds, EdgeKind
from core.edge.lines import EdgeLine, EdgeLines, link_edges
from core.edge.width import Edges
from core.strokes import under_line
from core.words import as_share

Floats = NDArray[np.float64]
Kinds = NDArray[np.uint8]

KINDS = tuple(EdgeKind)
"""Hard, firm, soft, lost: kinds in arrays are numbers into this."""
USUAL_CONTRAST = 3.0
"""Munsell steps."""
LEAST_PACE, MOST_PACE = 0.7, 2.5
SHORTEST_RUN_MM = 4.0
"""A kind that holds for less of an edge than this is taken into a softer one beside it: it would not be painted."""
_STEADY_MM = 8.0
_MET = 0.005


@dataclass(frozen=True)
class EdgeBudget:
    """How the length of all edges, ``total_mm``, is shared out: ``shares`` 0-1 of hard, firm, soft and lost, together 1
    (all 0 where there is no edge). ``wanted_hard``: 0-1, or None."""

    total_mm: float
    shares: tuple[float, float, float, float]
    wanted_hard: float | None = None

    def share(self, kind: EdgeKind) -> float:
        return self.shares[KINDS.index(kind)]

    @property
    def over_mm(self) -> float:
        """How much more edge is hard than was wanted, mm; below 0 it is less. 0 when nothing was wanted."""
        return 0.0 if self.wanted_hard is None else (self.shares[0] - self.wanted_hard) * self.total_mm

    def say(self) -> str:
        """Such as ``12 % of edge length is hard; 8 % wanted: soften about 240 mm of it``."""
        if self.total_mm <= 0:
            return "No edge was found to plan."
        told = f"{as_share(self.shares[0])} of edge length is hard"
        if self.wanted_hard is None:
            return told
        told += f"; {as_share(self.wanted_hard)} wanted"
        if abs(self.shares[0] - self.wanted_hard) < _MET:
            return f"{told}: as wanted"
        if self.over_mm > 0:
            return f"{told}: soften about {_length(self.over_mm)} of it"
        return f"{told}: about {_length(-self.over_mm)} more may be hard"

    def say_all(self) -> str:
        """Such as ``12 % hard, 30 % firm, 38 % soft, 20 % lost``."""
        return ", ".join(f"{as_share(share)} {kind}" for share, kind in zip(self.shares, KINDS, strict=True))


@dataclass(frozen=True, eq=False)
class EdgePlan:
    """``kind`` and ``reference`` ``(n,)`` uint8, numbers into :data:`KINDS`: planned, and as the reference has it, for
    each of ``edges``. ``low_mm, high_mm`` ``(n,)`` float64: the sigmas that the planned kind spans (0 up to infinity).
    ``brushed`` ``(n,)`` bool: by the painter's hand."""

    edges: Edges
    lines: EdgeLines
    brief: EdgeBrief
    kind: Kinds
    reference: Kinds
    low_mm: Floats
    high_mm: Floats
    brushed: NDArray[np.bool_]
    budget: EdgeBudget

    def __len__(self) -> int:
        return len(self.edges)

    def kind_of(self, point: int) -> EdgeKind:
        return KINDS[int(self.kind[point])]


def plan_edges(
    edges: Edges, brief: EdgeBrief, *, lines: EdgeLines | None = None, seen_mm: Floats | None = None
) -> EdgePlan:
    """Plan ``edges`` of the reference. ``lines``: of the same edges, when they are at hand.

    ``seen_mm``: ``(n,)`` sigma of each as the eye sees it, infinite where it is lost to the eye; needed when the brief
    has an ``eye`` and a focal point (:func:`core.edge.seen.plan_as_seen` does both). ValueError when it is missing.
    """
    joined = link_edges(edges) if lines is None else lines
    bounds = brief.kind_bounds
    reference = kinds_of(edges.sigma_mm, bounds)
    if not brief.foci:
        planned = reference.copy()
    elif brief.eye is None:
        softer = np.floor(softening(_away_radii(edges, brief), _steady(edges.contrast, joined))).astype(np.uint8)
        planned = np.minimum(reference + softer, len(KINDS) - 1).astype(np.uint8)
    elif seen_mm is None or len(seen_mm) != len(edges):
        raise ValueError("a plan by the eye needs the sigma of every edge as the eye sees it")
    else:
        planned = np.maximum(reference, kinds_of(seen_mm, bounds))
    if brief.foci:
        planned = _without_crumbs(planned, joined)
    brushed = np.zeros(len(edges), bool)
    for stroke in brief.brushed:
        under = under_stroke(edges.x_mm, edges.y_mm, stroke)
        planned[under], brushed[under] = KINDS.index(stroke.kind), True
    ends = np.array([0.0, bounds.hard_mm, bounds.firm_mm, bounds.soft_mm, np.inf])
    budget = _budget(planned, joined, brief.wanted_hard)
    return EdgePlan(edges, joined, brief, planned, reference, ends[planned], ends[planned + 1], brushed, budget)


def kinds_of(sigma_mm: Floats, bounds: EdgeBounds) -> Kinds:
    """The kinds of many sigmas, mm, as numbers into :data:`KINDS`; as :meth:`EdgeBounds.kind` has them."""
    rising = (bounds.hard_mm, bounds.firm_mm, bounds.soft_mm)
    return np.searchsorted(rising, np.asarray(sigma_mm, dtype=np.float64), side="right").astype(np.uint8)


def softening(away_radii: Floats, contrast: Floats) -> Floats:
    """By how many kinds, 0-3 and between, edges of a contrast in Munsell steps are softened so many radii away."""
    faint = np.sqrt(USUAL_CONTRAST / np.maximum(np.asarray(contrast, dtype=np.float64), 1e-6))
    pace = np.clip(faint, LEAST_PACE, MOST_PACE)
    doublings = np.log2(np.maximum(np.asarray(away_radii, dtype=np.float64), 1.0))
    return np.asarray(np.minimum(pace * doublings, len(KINDS) - 1.0))


def under_stroke(x_mm: Floats, y_mm: Floats, stroke: Brushed) -> NDArray[np.bool_]:
    """Which places ``(n,)`` lie under a stroke: within half its width of its line."""
    return under_line(x_mm, y_mm, stroke.points_mm, stroke.width_mm)


def runs_of(line: EdgeLine, kind: Kinds) -> list[tuple[int, int, int]]:
    """The stretches of a line that are of one kind: first point, one past the last (counted along the line, beyond its
    length where a run of a closed line goes over its end), and the kind."""
    along = kind[line.index]
    starts = np.flatnonzero(np.concatenate([[True], along[1:] != along[:-1]]))
    runs = [(a, b, int(along[a])) for a, b in pairwise([*starts.tolist(), len(along)])]
    if line.closed and len(runs) > 1 and runs[0][2] == runs[-1][2]:
        runs = [*runs[1:-1], (runs[-1][0], len(along) + runs[0][1], runs[0][2])]
    return runs


def _away_radii(edges: Edges, brief: EdgeBrief) -> Floats:
    """How far the nearest focal point is, in its radii."""
    away = [np.hypot(edges.x_mm - at.x_mm, edges.y_mm - at.y_mm) / at.radius_mm for at in brief.foci]
    return np.asarray(np.min(away, axis=0))


def _steady(number: Floats, lines: EdgeLines) -> Floats:
    """A number of every point as the mean over a stretch of its line, by length: paint and noise make it waver."""
    steady = number.copy()
    for line in lines.lines:
        weight = np.maximum(lines.length_mm[line.index], 1e-6)
        at = np.cumsum(weight)
        first, last = np.searchsorted(at, at - _STEADY_MM), np.searchsorted(at, at + _STEADY_MM, side="right")
        total, weights = (np.concatenate([[0.0], np.cumsum(each)]) for each in (weight * number[line.index], weight))
        steady[line.index] = (total[last] - total[first]) / (weights[last] - weights[first])
    return steady


def _without_crumbs(kind: Kinds, lines: EdgeLines) -> Kinds:
    """With short runs of a kind taken into a softer run beside them, the hardest first; nothing becomes harder."""
    kind = kind.copy()
    for line in lines.lines:
        for level in range(len(KINDS) - 1):
            runs = runs_of(line, kind)
            for number, (first, last, here) in enumerate(runs):
                which = np.take(line.index, range(first, last), mode="wrap")
                if here != level or lines.length_mm[which].sum() >= SHORTEST_RUN_MM:
                    continue
                beside = [k for k in (number - 1, number + 1) if line.closed or 0 <= k < len(runs)]
                softer = [there for k in beside if (there := runs[k % len(runs)][2]) > here]
                if softer:
                    kind[which] = min(softer)
    return kind


def _budget(kind: Kinds, lines: EdgeLines, wanted_hard: float | None) -> EdgeBudget:
    total = lines.total_mm
    each = np.bincount(kind, weights=lines.length_mm, minlength=len(KINDS))
    hard, firm, soft, lost = (each / total if total > 0 else np.zeros(len(KINDS))).tolist()
    return EdgeBudget(total, (hard, firm, soft, lost), wanted_hard)


def _length(mm: float) -> str:
    return f"{mm:.0f} mm" if mm < 1000 else f"{mm / 1000:.1f} m"
