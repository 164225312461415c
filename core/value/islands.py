"""Joining small islands of a picture in steps to what lies round them.

Islands are nodes of a graph whose edges weigh the border they share; all joining is done on that graph, so that the
picture is scanned only twice.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Index = NDArray[np.uint8]
Ints = NDArray[np.int64]


def join_islands(index: Index, *, smallest_px: float) -> Index:
    """``index`` ``(H, W)`` with every 4-connected island of fewer than ``smallest_px`` pixels joined.

    An island takes the step of the neighbour it shares the longest border with (on a tie, the nearest step, then
    the larger neighbour); small islands that point at each other join first and are looked at again. No step
    appears that was not there. A picture with nothing small comes back unchanged.
    """
    found = islands(index)
    island, step, area = found.label, found.step, found.area
    if area.min() >= smallest_px or len(area) == 1:
        return index
    first, second, border = shared_borders(island, len(step))
    owner = np.arange(len(step))
    while True:
        small = area < smallest_px
        if not small.any() or len(area) == 1:
            break
        group = _groups(first, second, border, step, area, small)
        step, area, first, second, border, group = _joined(group, step, area, first, second, border)
        owner = group[owner]
    return step.astype(np.uint8)[owner[island]]


@dataclass(frozen=True, eq=False)
class Islands:
    """The 4-connected islands of a picture in steps.

    ``label``: ``(H, W)`` int32, the number of every pixel's island. ``step``, ``area``: ``(n,)`` int64, of every island
    its step and its area in pixels. ``starts``, ``of_run``: ``(m,)``, first pixel (row by row) and island of every run
    along a row.
    """

    label: NDArray[np.int32]
    step: Ints
    area: Ints
    starts: Ints
    of_run: NDArray[np.int32]

    def sums(self, picture: NDArray[np.float64]) -> NDArray[np.float64]:
        """The sum over each island ``(n,)`` of a picture ``(H, W)``."""
        of_runs = np.add.reduceat(picture.ravel(), self.starts)
        return np.asarray(np.bincount(self.of_run, of_runs, len(self.step)), dtype=np.float64)

    def largest(self, picture: NDArray[Any]) -> Ints:
        """The pixel ``(n,)``, row by row, where a picture ``(H, W)`` is largest in each island."""
        flat = picture.ravel()
        of_runs = np.maximum.reduceat(flat, self.starts)
        order = np.lexsort((of_runs, self.of_run))
        last = np.flatnonzero(np.diff(self.of_run[order], append=-1))
        ends = np.append(self.starts, flat.size)
        chosen = order[last]
        return np.array([ends[run] + flat[ends[run] : ends[run + 1]].argmax() for run in chosen], dtype=np.int64)


def islands(index: Index) -> Islands:
    """The islands of a picture in steps ``(H, W)``.

    Runs along the rows are the nodes, and equal runs that touch in the next row are united: one pass whatever the
    number of steps.
    """
    begins = np.ones(index.shape, bool)
    np.not_equal(index[:, 1:], index[:, :-1], out=begins[:, 1:])
    starts = np.flatnonzero(begins)
    touch = np.flatnonzero((index[1:] == index[:-1]) & (begins[1:] | begins[:-1]))
    upper, lower = (np.searchsorted(starts, touch + shift, "right") - 1 for shift in (0, index.shape[1]))
    number, of_run = _united(lower, upper, len(starts))
    step = np.zeros(number, np.int64)
    step[of_run] = index.ravel()[starts]
    lengths = np.diff(starts, append=index.size)
    area = np.bincount(of_run, lengths, number).astype(np.int64)
    return Islands(np.repeat(of_run, lengths).reshape(index.shape), step, area, starts, of_run)


def _united(one: NDArray[Any], other: NDArray[Any], number: int) -> tuple[int, NDArray[np.int32]]:
    """Connected parts of a graph of ``number`` nodes: how many, and the part of every node."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    graph = coo_matrix((np.ones(len(one), np.int8), (one, other)), shape=(number, number))
    parts, of_node = connected_components(graph, directed=False)
    return int(parts), np.asarray(of_node, dtype=np.int32)


def shared_borders(island: NDArray[np.int32], number: int) -> tuple[Ints, Ints, Ints]:
    """Every pair of touching islands once, the lower number first, and the length of their shared border in pixels."""
    keys = []
    for one, other in ((island[:, 1:], island[:, :-1]), (island[1:], island[:-1])):
        touching = one != other
        a, b = one[touching].astype(np.int64), other[touching].astype(np.int64)
        keys.append(np.minimum(a, b) * number + np.maximum(a, b))
    return _pairs(np.concatenate(keys), np.ones(sum(map(len, keys)), np.int64), number)


def _pairs(key: Ints, weight: Ints, number: int) -> tuple[Ints, Ints, Ints]:
    """Sum the weights of equal keys ``first * number + second``."""
    order = np.argsort(key, kind="stable")
    key, weight = key[order], weight[order]
    start = np.flatnonzero(np.r_[True, key[1:] != key[:-1]]) if len(key) else np.zeros(0, np.int64)
    total = np.add.reduceat(weight, start) if len(key) else weight
    return key[start] // number, key[start] % number, total


def _groups(first: Ints, second: Ints, border: Ints, step: Ints, area: Ints, small: NDArray[np.bool_]) -> Ints:
    """Which islands become one: every small island with the neighbour it chooses."""
    who, whom = np.r_[first, second], np.r_[second, first]
    length = np.r_[border, border]
    chooses = small[who]
    who, whom, length = who[chooses], whom[chooses], length[chooses]
    order = np.lexsort((area[whom], -np.abs(step[who] - step[whom]), length, who))
    who, whom = who[order], whom[order]
    last = np.flatnonzero(np.r_[who[1:] != who[:-1], True])
    return _united(who[last], whom[last], len(step))[1].astype(np.int64)


def _joined(
    group: Ints, step: Ints, area: Ints, first: Ints, second: Ints, border: Ints
) -> tuple[Ints, Ints, Ints, Ints, Ints, Ints]:
    """The smaller graph after joining; a group takes the step of its largest island, and equal neighbours unite."""
    by_area = np.argsort(area, kind="stable")
    group_step = np.zeros(group.max() + 1, np.int64)
    group_step[group[by_area]] = step[by_area]
    a, b = group[first], group[second]
    alike = group_step[a] == group_step[b]
    number, united = _united(a[alike], b[alike], len(group_step))
    new_step = np.zeros(number, np.int64)
    new_step[united] = group_step
    whole = united[group].astype(np.int64)
    new_area = np.bincount(whole, area, number).astype(np.int64)
    a, b = whole[first], whole[second]
    apart = a != b
    key = np.minimum(a, b)[apart] * number + np.maximum(a, b)[apart]
    first, second, border = _pairs(key, border[apart], number)
    return new_step, new_area, first, second, border, whole
