"""How the four kinds of edge are drawn: told apart by weight, by pattern and by tone, so that no colour is needed."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.edge.kinds import EdgeKind
from core.edge.plan import KINDS, EdgePlan, runs_of

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class LineStyle:
    """``width``, ``dash`` and ``gap`` in pens (one pen is the thinnest line of a drawing); without a gap it is
    unbroken, with a dash of 0 a row of dots. ``grey``: sRGB code 0-255."""

    width: float
    dash: float
    gap: float
    grey: int


STYLES = {
    EdgeKind.HARD: LineStyle(4.4, 0.0, 0.0, 0),
    EdgeKind.FIRM: LineStyle(2.6, 17.0, 6.0, 40),
    EdgeKind.SOFT: LineStyle(1.9, 6.5, 5.0, 60),
    EdgeKind.LOST: LineStyle(2.1, 0.0, 8.0, 80),
}
PATTERNS = {
    EdgeKind.HARD: "heavy, unbroken",
    EdgeKind.FIRM: "long dashes",
    EdgeKind.SOFT: "thin, short dashes",
    EdgeKind.LOST: "dots",
}


@dataclass(frozen=True)
class LegendEntry:
    """``pattern``: the line in words. ``share``: of the plan's edge length, 0-1."""

    kind: EdgeKind
    style: LineStyle
    pattern: str
    share: float


@dataclass(frozen=True, eq=False)
class Stroke:
    """A stretch of edge of one kind as a polyline ``(m, 2)`` mm, m ≥ 2; a closed one ends where it began."""

    kind: EdgeKind
    points_mm: Floats


def legend(plan: EdgePlan) -> tuple[LegendEntry, ...]:
    """The four kinds from hard to lost, as they are drawn, with what the plan gives to each."""
    return tuple(LegendEntry(kind, STYLES[kind], PATTERNS[kind], plan.budget.share(kind)) for kind in KINDS)


def strokes(plan: EdgePlan) -> list[Stroke]:
    """Every line of a plan, parted half-way between points of different kinds; the softest first, so that the hardest
    lie on top."""
    found = []
    for line in plan.lines.lines:
        points = _smoothed(line.points_mm, closed=line.closed)
        count = len(points)
        for first, last, kind in runs_of(line, plan.kind):
            inner = np.take(points, range(first, last), axis=0, mode="wrap")
            before = _middle(points, first - 1) if line.closed or first > 0 else inner[:1]
            after = _middle(points, last - 1) if line.closed or last < count else inner[-1:]
            if line.closed and last - first == count:
                before, after = inner[:1], inner[:1]
            found.append(Stroke(KINDS[kind], np.concatenate([before, inner, after])))
    return sorted(found, key=lambda stroke: -KINDS.index(stroke.kind))


def dashed(points_mm: Floats, dash_mm: float, gap_mm: float) -> list[Floats]:
    """The dashes of a polyline ``(n, 2)``, each ``(m, 2)``; dots, ``(1, 2)``, for a dash of 0.

    Dashes and gaps are stretched or shortened a little, so that there is a whole dash at either end. There are at least
    two, so that a short line does not pass for an unbroken one.
    """
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points_mm, axis=0), axis=1))])
    length = float(along[-1])
    if length <= 0:
        return [points_mm[:1]]
    count = max(2, round((length + gap_mm) / (dash_mm + gap_mm)))
    stretch = length / (count * dash_mm + (count - 1) * gap_mm)
    parts = []
    for start in (dash_mm + gap_mm) * stretch * np.arange(count):
        ends = np.clip([start, start + dash_mm * stretch], 0.0, length)
        inner = along[(along > ends[0]) & (along < ends[1])]
        at = np.concatenate([ends[:1], inner, ends[1:]]) if dash_mm > 0 else ends[:1]
        parts.append(np.stack([np.interp(at, along, points_mm[:, k]) for k in (0, 1)], axis=1))
    return parts


def _middle(points: Floats, after: int) -> Floats:
    """Half-way between a point and the next, ``(1, 2)``; counted around."""
    pair = points[[after % len(points), (after + 1) % len(points)]]
    return np.asarray(pair.mean(axis=0, keepdims=True))


def _smoothed(points: Floats, *, closed: bool) -> Floats:
    """Without the small jitter of single points across the line; the ends stay."""
    around = (points[:-2] + 2 * points[1:-1] + points[2:]) / 4
    if not closed:
        return np.concatenate([points[:1], around, points[-1:]])
    ends = [(points[k - 1] + 2 * points[k] + points[(k + 1) % len(points)]) / 4 for k in (0, -1)]
    return np.concatenate([ends[:1], around, ends[1:]])
