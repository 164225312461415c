"""Lines along a skeleton: from junction to junction, stubs left out, and straight on across junctions."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.drawing.pixel_graph import PixelGraph, pixel_graph

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Plane = NDArray[np.float32]

LEAST_BRIDGE_PX, BRIDGE = 4.0, 1.25
"""Two junctions nearer than this, or than this many times the band's breadth there, are one crossing."""
TRIM = 2.0
"""A crossing draws the skeleton aside over this many times the band's half breadth."""
_LOOK_BACK_PX = 10
"""A line's direction at a junction is judged over this many pixels."""
_SMOOTHING = 5  # pixels either side


@dataclass(frozen=True, eq=False)
class Way:
    """Points ``(n, 2)`` float64 x, y along one line, pixel by pixel, n ≥ 2, and which of them ``(n,)`` bridge a
    crossing. The last point of a ``closed`` one goes on to the first, which is not repeated."""

    points: Array
    bridged: Mask
    closed: bool


def ways_along(skeleton: Mask, depth: Plane, *, spur_px: float, most_turn_deg: float) -> list[Way]:
    """Every line of a skeleton ``(H, W)``.

    ``depth``: ``(H, W)``, half the breadth, in pixels, of the band that the skeleton stands for. ``spur_px``: stubs at
    a junction shorter than this, or than the band is broad there, are left out. ``most_turn_deg``: a line goes on
    across a junction along the straightest way when that turns by less; where only two ways meet it always goes on.
    """
    return _joined(_Ways(pixel_graph(skeleton), depth, spur_px), most_turn_deg)


class _Ways:
    """The runs between junctions, junctions that one blot makes taken as one, and stubs left out.

    ``ways``: pixels of each run kept; run k has the ends 2 k (its first pixel) and 2 k + 1. ``junctions``: the ends
    that meet, for every junction. ``rings``: runs that no junction touches.
    """

    def __init__(self, graph: PixelGraph, depth: Plane, spur_px: float) -> None:
        self.points = graph.points
        self.depth = depth
        self.rings = [run.pixels[:-1] for run in graph.runs if run.ring]
        runs = [run.pixels for run in graph.runs if not run.ring]
        column, row = graph.points.astype(np.int64).T
        broad = 2.0 * depth[row, column]
        blot = _Merged(len(graph.points))
        self.ways: list[NDArray[np.int64]] = []
        for path in runs:
            bridge = graph.degree[path[0]] > 2 and graph.degree[path[-1]] > 2 and path[0] != path[-1]
            if bridge and len(path) - 1 <= max(LEAST_BRIDGE_PX, BRIDGE * float(max(broad[path[0]], broad[path[-1]]))):
                blot.merge(int(path[0]), int(path[-1]))
            else:
                self.ways.append(path)
        at: dict[int, list[int]] = {}
        for number, path in enumerate(self.ways):
            for end, pixel in ((2 * number, path[0]), (2 * number + 1, path[-1])):
                at.setdefault(blot.of(int(pixel)), []).append(end)
        self.junctions = [ends for ends in at.values() if len(ends) > 1]
        stubs = self._stubs({end for ends in at.values() if len(ends) == 1 for end in ends}, broad, spur_px)
        self.junctions = [[end for end in ends if end // 2 not in stubs] for ends in self.junctions]
        self.kept = [number for number in range(len(self.ways)) if number not in stubs]

    def _stubs(self, loose: set[int], broad: Plane, spur_px: float) -> set[int]:
        """Short runs from a junction to nowhere, while at least two ways stay at the junction, the shortest first."""
        stubs: set[int] = set()
        for ends in self.junctions:
            spare = len(ends) - 2
            hanging = [end for end in ends if (end ^ 1) in loose]
            hanging.sort(key=lambda end: len(self.ways[end // 2]))
            for end in hanging[: max(spare, 0)]:
                path = self.ways[end // 2]
                if len(path) < max(spur_px, float(broad[path[0 if end % 2 == 0 else -1]])):
                    stubs.add(end // 2)
        return stubs

    def depth_at(self, point: Array) -> float:
        """How far the band's edge is at a pixel, px."""
        return float(self.depth[int(point[1]), int(point[0])])

    def direction(self, end: int) -> Array:
        """Unit vector at an end, out of its run into the junction; seen from a little way off, where it is sure."""
        path = self.ways[end // 2] if end % 2 == 0 else self.ways[end // 2][::-1]
        far = self.points[path[min(_LOOK_BACK_PX, len(path) - 1)]]
        near = self.points[path[min(2, (len(path) - 1) // 2)]]
        way = near - far
        return np.asarray(way / max(float(np.hypot(*way)), 1e-9))


class _Merged:
    """Which things are one: a forest of pointers to the thing that stands for all (union-find)."""

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))

    def of(self, thing: int) -> int:
        while self._parent[thing] != thing:
            self._parent[thing] = self._parent[self._parent[thing]]
            thing = self._parent[thing]
        return thing

    def merge(self, one: int, other: int) -> None:
        self._parent[self.of(one)] = self.of(other)


def _joined(ways: _Ways, most_turn_deg: float) -> list[Way]:
    """Every line across junctions."""
    partner: dict[int, int] = {}
    for ends in ways.junctions:
        partner.update(_pairs(ways, ends, most_turn_deg))
    answer = [Way(ways.points[ring], np.zeros(len(ring), dtype=bool), True) for ring in ways.rings]
    left = set(ways.kept)
    starts = [end for number in ways.kept for end in (2 * number, 2 * number + 1) if end not in partner]
    for start in starts + [2 * number for number in ways.kept]:
        if start // 2 not in left:
            continue
        row = [start]
        left.discard(start // 2)
        while (following := partner.get(row[-1] ^ 1)) is not None and following // 2 in left:
            row.append(following)
            left.discard(following // 2)
        answer.append(_chain(ways, row, partner, closed=following == start))
    return [way for way in answer if len(way.points) > 1]


def _chain(ways: _Ways, row: list[int], partner: dict[int, int], *, closed: bool) -> Way:
    """Runs entered by the ends ``row`` as one line.

    Where broad bands meet, the skeleton is drawn aside: that stretch is left out and bridged straight.
    """
    if len(row) == 1 and not closed:
        points = ways.points[ways.ways[row[0] // 2]]
        return Way(points, np.zeros(len(points), dtype=bool), False)
    parts = []
    for end in row:
        path = ways.ways[end // 2][:: 1 if end % 2 == 0 else -1]
        points = ways.points[path]
        head, tail = (
            min(int(TRIM * ways.depth_at(at)) + 1, len(path) // 3) if joint in partner else 0
            for joint, at in ((end, points[0]), (end ^ 1, points[-1]))
        )
        parts.append(points[head : len(points) - tail])
    filled, bridges = [parts[0]], [False]
    for before, after in pairwise([*parts, parts[0]] if closed else parts):
        gap = after[0] - before[-1]
        steps = int(np.ceil(np.hypot(*gap)))
        filled += [before[-1] + gap * (np.arange(1, steps)[:, None] / max(steps, 1)), after]
        bridges += [True, False]
    if closed:
        filled.pop()
        bridges.pop()
    chain, bridged = np.concatenate(filled), np.repeat(bridges, [len(part) for part in filled])
    new = np.r_[True, np.abs(np.diff(chain, axis=0)).max(axis=1) > 0.0]
    if closed and np.array_equal(chain[0], chain[-1]):
        new[-1] = False
    return Way(chain[new], bridged[new], closed and int(new.sum()) > 2)


def _pairs(ways: _Ways, ends: list[int], most_turn_deg: float) -> dict[int, int]:
    """Which end goes on into which, both ways round."""
    if len(ends) == 2:
        return {ends[0]: ends[1], ends[1]: ends[0]}
    directions = np.array([ways.direction(end) for end in ends])
    # Two ends that point at each other go on into one another without a turn.
    straight = -(directions @ directions.T)
    choices = [(straight[i, j], i, j) for i in range(len(ends)) for j in range(i)]
    pairs: dict[int, int] = {}
    for how, i, j in sorted(choices, reverse=True):
        if how > np.cos(np.radians(most_turn_deg)) and ends[i] not in pairs and ends[j] not in pairs:
            pairs |= {ends[i]: ends[j], ends[j]: ends[i]}
    return pairs


def smoothed(points: Array, *, closed: bool) -> Array:
    """Each point moved to the parabola through its neighbours along the line; the ends of an open line stay."""
    reach = min(_SMOOTHING, (len(points) - 1) // 2)
    if reach < 1:
        return points
    if closed:
        padded = np.pad(points, ((reach, reach), (0, 0)), mode="wrap")
    else:
        before, after = points[reach:0:-1], points[-2 : -reach - 2 : -1]
        padded = np.concatenate([2.0 * points[0] - before, points, 2.0 * points[-1] - after])
    kernel = _KERNELS[reach]
    return np.stack([np.convolve(padded[:, axis], kernel, "valid") for axis in (0, 1)], axis=1)


def _kernel(reach: int) -> Array:
    """Weights of the parabola's value at the middle (Savitzky and Golay 1964), tapered outward."""
    offset = np.arange(-reach, reach + 1) / (reach + 1.0)
    taper = (1.0 - offset**2) ** 2
    basis = np.stack([offset**0, offset**2], axis=1)
    return np.asarray((np.linalg.pinv(basis * np.sqrt(taper)[:, None]) * np.sqrt(taper))[0])


_KERNELS = {reach: _kernel(reach) for reach in range(1, _SMOOTHING + 1)}
