"""A skeleton as a graph: runs of pixels between ends and junctions."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Mask = NDArray[np.bool_]
Indices = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Run:
    """Pixels from one node (end or junction) to another, both included; a ring ends where it starts and has no node.

    ``pixels``: ``(n,)`` int64, index into :class:`PixelGraph` ``points``.
    """

    pixels: Indices
    ring: bool = False


@dataclass(frozen=True, eq=False)
class PixelGraph:
    """``points``: ``(n, 2)`` float64 x, y of every skeleton pixel. ``degree``: ``(n,)`` its links. ``runs``."""

    points: NDArray[np.float64]
    degree: Indices
    runs: list[Run]


def pixel_graph(skeleton: Mask) -> PixelGraph:
    """The runs of a skeleton ``(H, W)``.

    Two pixels are linked when they share a side, or a corner with no pixel beside it (mixed adjacency: Gonzalez and
    Woods, *Digital Image Processing*, section 2.5), so that a step in a line is no junction.
    """
    rows, columns = np.nonzero(skeleton)
    first, second = _links(skeleton, rows, columns)
    count = len(rows)
    degree = np.bincount(np.r_[first, second], minlength=count)
    order = np.argsort(np.r_[first, second], kind="stable")
    neighbours = np.r_[second, first][order].tolist()
    begin = np.r_[0, np.cumsum(degree)].tolist()
    points = np.stack([columns, rows], axis=1).astype(np.float64)
    return PixelGraph(points, degree, _runs(neighbours, begin, degree))


def _links(skeleton: Mask, rows: Indices, columns: Indices) -> tuple[Indices, Indices]:
    """Every linked pair once, as indices in raster order."""
    width = skeleton.shape[1] + 2
    padded = np.pad(skeleton, 1).reshape(-1)
    place = (rows + 1) * width + columns + 1
    number = np.arange(len(place))
    firsts, seconds = [], []
    for step, beside in ((1, None), (width, None), (width + 1, (1, width)), (width - 1, (-1, width))):
        linked = padded[place + step]
        if beside is not None:
            linked = linked & ~(padded[place + beside[0]] | padded[place + beside[1]])
        firsts.append(number[linked])
        seconds.append(np.searchsorted(place, place[linked] + step))
    return np.concatenate(firsts), np.concatenate(seconds)


def _runs(neighbours: list[int], begin: list[int], degree: Indices) -> list[Run]:
    passing = (degree == 2).tolist()
    seen = [False] * len(passing)
    runs: list[Run] = []
    for node in np.flatnonzero((degree != 2) & (degree > 0)).tolist():
        for onward in neighbours[begin[node] : begin[node + 1]]:
            if passing[onward] and seen[onward]:
                continue
            path = _follow(node, onward, neighbours, begin, passing, seen)
            if len(path) > 2 or path[0] < path[1]:  # neighbouring nodes are met from both
                runs.append(Run(np.array(path)))
    for start in np.flatnonzero(degree == 2).tolist():
        if not seen[start]:
            seen[start] = True
            path = _follow(start, neighbours[begin[start]], neighbours, begin, passing, seen)
            runs.append(Run(np.array(path), ring=True))
    return runs


def _follow(
    node: int, onward: int, neighbours: list[int], begin: list[int], passing: list[bool], seen: list[bool]
) -> list[int]:
    """The pixels from ``node`` by ``onward`` to the next node, or round to ``node`` itself."""
    path = [node, onward]
    while passing[onward] and not seen[onward]:
        seen[onward] = True
        one, other = neighbours[begin[onward] : begin[onward] + 2]
        onward = other if one == path[-2] else one
        path.append(onward)
    return path
