"""The contours that edge points lie on: points linked into lines, in their order along the edge.

Every point knows which side is lighter, so a contour has a direction: along it the lighter side stays on the same hand.
A point is linked to the nearest one ahead that runs the same way and takes it, of all behind itself, as the nearest.
So nothing is linked over a gap or across to a parallel edge, and where contours meet each is split.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.edge.width import Edges

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

SHORTEST_MM = 4.0
"""A line shorter than this is a crumb: about the shortest piece of edge that is painted as one."""
_LEAST_SPACING_MM = 0.5
_REACH_SPACINGS, _REACH_MM = 2.6, 2.0
"""Points are the steepest of squares of this spacing: along a contour the next is at most 2.24 of their sides away, and
a little more since each was moved onto its contour. Among close points one or two may have been left out."""
_SAME_WAY, _ASLANT, _BESIDE_SPACINGS = 0.5, 0.45, 0.3
_TWIN_SPACINGS, _TWIN_WAY = 0.35, 0.7
_ROUNDS = 8


@dataclass(frozen=True, eq=False)
class EdgeLine:
    """One contour: ``index`` ``(n,)`` into the edge points, n ≥ 2, in their order along it, lighter to the left when
    the canvas is seen with y down; ``points_mm`` ``(n, 2)`` float64. A ``closed`` one goes on to its first point."""

    index: Ints
    points_mm: Floats
    closed: bool

    @property
    def around_mm(self) -> Floats:
        """The points, the first once more at the end of a closed line."""
        return np.concatenate([self.points_mm, self.points_mm[:1]]) if self.closed else self.points_mm

    @property
    def length_mm(self) -> float:
        return float(np.linalg.norm(np.diff(self.around_mm, axis=0), axis=1).sum())


@dataclass(frozen=True, eq=False)
class EdgeLines:
    """``lines``: the longest first. For each of ``n`` edge points: ``length_mm`` ``(n,)`` float64, the length of edge
    that it stands for (half of the way to either neighbour; together the lines' length), and ``line`` ``(n,)``, the
    number of its line, -1 for one that is on none; a point where lines meet is an end of each of them."""

    lines: tuple[EdgeLine, ...]
    length_mm: Floats
    line: Ints

    @property
    def total_mm(self) -> float:
        return float(self.length_mm.sum())


def link_edges(edges: Edges, *, shortest_mm: float = SHORTEST_MM) -> EdgeLines:
    """The contours of ``edges`` that are at least ``shortest_mm`` long. ValueError when that is below 0."""
    if not shortest_mm >= 0:
        raise ValueError(f"the shortest line must be 0 mm or more, got {shortest_mm}")
    places = np.stack([edges.x_mm, edges.y_mm], axis=1)
    ahead, rivals = _links(edges, places)
    chains = [EdgeLine(index, places[index], closed) for index, closed in _chains(ahead) if len(index) > 1]
    kept = [line for line in chains if line.length_mm >= shortest_mm]
    meeting = _meeting(kept, rivals)
    lines = [part for line in kept for part in _split(line, meeting, places)]
    lines.sort(key=lambda line: -line.length_mm)
    length, which = np.zeros(len(edges)), np.full(len(edges), -1, np.intp)
    for number, line in enumerate(lines):
        which[line.index] = number
        step = np.linalg.norm(np.diff(line.around_mm, axis=0), axis=1) / 2
        np.add.at(length, line.index[: len(step)], step)
        np.add.at(length, np.roll(line.index, -1)[: len(step)], step)
    return EdgeLines(tuple(lines), length, which)


def _links(edges: Edges, places: Floats) -> tuple[Ints, Ints]:
    """The point ahead of each, -1 where there is none ``(n,)``; and of ends the pairs ``(m, 2)``, the likeliest first:
    an end, and a point it would go on to (or come from) if another had not taken that."""
    one, other, cost = _candidates(edges, places)
    ahead, behind = np.full(len(places), -1, np.intp), np.full(len(places), -1, np.intp)
    order = np.argsort(cost, kind="stable")
    one, other = one[order], other[order]
    for _ in range(_ROUNDS):
        free = (ahead[one] < 0) & (behind[other] < 0)
        from_, to = one[free], other[free]
        first = np.full((2, len(places)), len(from_), np.intp)
        np.minimum.at(first[0], from_, np.arange(len(from_)))
        np.minimum.at(first[1], to, np.arange(len(from_)))
        mutual = np.flatnonzero(first[0][from_] == first[1][to])
        if not len(mutual):
            break
        ahead[from_[mutual]], behind[to[mutual]] = to[mutual], from_[mutual]
    no_way_on, no_way_back = ahead[one] < 0, behind[other] < 0
    rivals = np.concatenate([np.stack([one, other], axis=1)[no_way_on], np.stack([other, one], axis=1)[no_way_back]])
    return ahead, rivals


def _candidates(edges: Edges, places: Floats) -> tuple[Ints, Ints, Floats]:
    """Pairs of a point and one that may lie ahead of it, and how unlikely each is, in mm."""
    from scipy.spatial import cKDTree

    spacing = np.maximum(_LEAST_SPACING_MM, edges.scale_mm / 2)
    single = np.flatnonzero(~_twins(edges, places, spacing))
    pairs = [np.zeros((0, 2), np.intp)]
    if len(single):
        every = cKDTree(places[single])
        for each in np.unique(spacing[single]):
            these = single[spacing[single] == each]
            reach = max(_REACH_SPACINGS * each, _REACH_MM)
            near = cKDTree(places[these]).sparse_distance_matrix(every, reach, output_type="ndarray")
            found = np.stack([these[near["i"]], single[near["j"]]], axis=1)
            pairs += [found, found[:, ::-1]]
    every_pair = np.concatenate(pairs)
    one, other = np.divmod(np.unique(every_pair[:, 0] * len(places) + every_pair[:, 1]), max(len(places), 1))
    way = places[other] - places[one]
    normal = np.stack([edges.nx, edges.ny], axis=1)
    along = [way[:, 0] * -normal[k, 1] + way[:, 1] * normal[k, 0] for k in (one, other)]
    across = [np.abs((way * normal[k]).sum(axis=1)) for k in (one, other)]
    beside = _BESIDE_SPACINGS * np.minimum(spacing[one], spacing[other])
    good = (normal[one] * normal[other]).sum(axis=1) > _SAME_WAY
    for far, off in zip(along, across, strict=True):
        good &= (far > 0) & (off < _ASLANT * far + beside)
    cost = np.linalg.norm(way, axis=1) + across[0] + across[1]
    return one[good], other[good], cost[good]


def _twins(edges: Edges, places: Floats, spacing: Floats) -> NDArray[np.bool_]:
    """Points that lie beside a surer one of the same contour: they would draw it twice."""
    from scipy.spatial import cKDTree

    twin = np.zeros(len(places), bool)
    if not len(places):
        return twin
    found = [np.zeros((0, 2), np.intp)]
    for each in np.unique(spacing):
        these = np.flatnonzero(spacing >= each)
        found.append(these[cKDTree(places[these]).query_pairs(_TWIN_SPACINGS * each, output_type="ndarray")])
    pairs = np.concatenate(found)
    apart = np.linalg.norm(places[pairs[:, 0]] - places[pairs[:, 1]], axis=1)
    same = edges.nx[pairs[:, 0]] * edges.nx[pairs[:, 1]] + edges.ny[pairs[:, 0]] * edges.ny[pairs[:, 1]] > _TWIN_WAY
    near = pairs[same & (apart < _TWIN_SPACINGS * spacing[pairs].min(axis=1))]
    doubt = edges.uncertainty_mm / np.maximum(edges.sigma_mm, 1e-9)
    order = np.argsort(np.maximum(doubt[near[:, 0]], doubt[near[:, 1]]), kind="stable")
    for one, other in near[order].tolist():
        if not (twin[one] or twin[other]):
            twin[other if (doubt[other], other) > (doubt[one], one) else one] = True
    return twin


def _chains(ahead: Ints) -> list[tuple[Ints, bool]]:
    """Rows of points that follow one another, and whether they come back to the first."""
    follows = ahead.tolist()
    led = np.zeros(len(ahead), bool)
    led[ahead[ahead >= 0]] = True
    seen = [False] * len(follows)
    found = []
    for start in [*np.flatnonzero(~led).tolist(), *range(len(follows))]:
        row, at = [], start
        while at >= 0 and not seen[at]:
            seen[at] = True
            row.append(at)
            at = follows[at]
        if row:
            found.append((np.array(row, np.intp), at == start and len(row) > 2))
    return found


def _meeting(lines: list[EdgeLine], rivals: Ints) -> set[int]:
    """Points inside a line that the end of another line would have gone on to."""
    line = {}
    inside = set()
    for number, each in enumerate(lines):
        index = each.index.tolist()
        line.update(dict.fromkeys(index, number))
        inside.update(index if each.closed else index[1:-1])
    ends = {end for each in lines if not each.closed for end in (int(each.index[0]), int(each.index[-1]))}
    nearest: dict[int, int] = {}
    for end, at in rivals.tolist():
        if end in ends and at in inside and line[end] != line[at]:
            nearest.setdefault(end, at)
    return set(nearest.values())


def _split(line: EdgeLine, meeting: set[int], places: Floats) -> list[EdgeLine]:
    """The parts of a line between the points where others meet it, which end one part and begin the next."""
    cuts = [k for k, point in enumerate(line.index.tolist()) if point in meeting]
    if not cuts:
        return [line]
    index = line.index
    if line.closed:
        index, cuts = np.concatenate([index[cuts[0] :], index[: cuts[0] + 1]]), [k - cuts[0] for k in cuts[1:]]
    parts = [index[a : b + 1] for a, b in pairwise([0, *cuts, len(index) - 1]) if b > a]
    return [EdgeLine(part, places[part], False) for part in parts]
