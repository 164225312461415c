"""The way along the edges of the reference from one place to another.

Shortest paths from the place where it begins, over a grid on which going along an edge costs little (Mortensen and
Barrett 1995, *Intelligent scissors for image composition*, SIGGRAPH, 191-198; Dijkstra 1959). They are found once for
all places around, so that the way to wherever the hand goes is then at hand.
"""

import numpy as np
from numpy.typing import NDArray

from core.drawing.snap import STRONG, Edges, snap_stroke

Array = NDArray[np.float64]

REACH_MM = 60.0
CELL_MM = 0.5
_CELLS = 120_000
_LEAST = 0.06  # cost of a mm along the strongest edge; off all edges it is 1 more
_STEPS = ((0, 1), (1, 0), (1, 1), (1, -1))


class Way:
    """All ways from one place; about 0.2 s to make for a reach of 60 mm."""

    def __init__(self, edges: Edges, x_mm: float, y_mm: float, *, reach_mm: float = REACH_MM) -> None:
        self._edges = edges
        self._start = np.array([x_mm, y_mm])
        rows, columns = edges.across.shape
        size = np.array([columns, rows]) / edges.px_per_mm
        low, high = np.maximum(self._start - reach_mm, 0.0), np.minimum(self._start + reach_mm, size)
        area = float(np.prod(np.maximum(high - low, CELL_MM)))
        self._cell = max(CELL_MM, float(np.sqrt(area / _CELLS)))
        self._low = low
        self._shape = tuple(int(n) for n in np.maximum(np.ceil((high - low) / self._cell), 1)[::-1])
        self._before = self._ways()

    def reaches(self, x_mm: float, y_mm: float) -> bool:
        """Whether a place is near enough to the beginning, and on the canvas."""
        row, column = self._cell_of(np.array([x_mm, y_mm]))
        return 0 <= row < self._shape[0] and 0 <= column < self._shape[1]

    def to(self, x_mm: float, y_mm: float) -> Array:
        """The way to a place ``(n, 2)`` mm, brought onto the edges it follows; straight to one that is not reached."""
        end = np.array([x_mm, y_mm])
        cells = self._cells_to(end) if self.reaches(x_mm, y_mm) else []
        columns, rows = (
            np.array([cell % self._shape[1] for cell in cells]),
            np.array([c // self._shape[1] for c in cells]),
        )
        inner = self._low + (np.stack([columns, rows], axis=1) + 0.5) * self._cell if cells else np.empty((0, 2))
        rough = np.concatenate([self._start[None], inner[1:-1], end[None]])
        if len(rough) < 4:
            return rough
        fine = snap_stroke(self._edges, _calmed(rough), reach_mm=1.5 * self._cell)
        # Off all edges the steps of the grid mean nothing: there the way is straight.
        strong = np.linalg.norm(self._edges.at(fine[None])[0], axis=-1) >= STRONG
        return np.concatenate([self._start[None], fine[1:-1][strong[1:-1]], end[None]])

    def _cells_to(self, end: Array) -> list[int]:
        row, column = self._cell_of(end)
        cell = row * self._shape[1] + column
        cells = []
        while cell >= 0:
            cells.append(cell)
            cell = int(self._before[cell])
        return cells[::-1]

    def _cell_of(self, place: Array) -> tuple[int, int]:
        column, row = np.floor((place - self._low) / self._cell).astype(int)
        return int(row), int(column)

    def _ways(self) -> NDArray[np.int32]:
        """For each cell the one before it on the way from the start; negative at the start."""
        from scipy.sparse import coo_matrix
        from scipy.sparse.csgraph import dijkstra

        rows, columns = self._shape
        y, x = np.mgrid[0:rows, 0:columns]
        places = self._low + (np.stack([x, y], axis=-1) + 0.5) * self._cell
        strength = np.linalg.norm(self._edges.at(places), axis=-1) / STRONG
        cost = _LEAST + 1.0 / (1.0 + strength**2)
        number = np.arange(rows * columns).reshape(rows, columns)
        parts = [_neighbours(number, cost, *step, self._cell) for step in _STEPS]
        one, other, weight = (np.concatenate(each) for each in zip(*parts, strict=True))
        graph = coo_matrix((weight, (one, other)), shape=(number.size, number.size)).tocsr()
        row, column = self._cell_of(self._start)
        begin = min(max(row, 0), rows - 1) * columns + min(max(column, 0), columns - 1)
        _, before = dijkstra(graph, directed=False, indices=begin, return_predecessors=True)
        return np.asarray(before, dtype=np.int32)


def _neighbours(
    number: NDArray[np.int64], cost: Array, down: int, across: int, cell: float
) -> tuple[NDArray[np.int64], NDArray[np.int64], Array]:
    """Pairs of cells a step apart, and what it costs to go from one to the other."""
    rows, columns = number.shape
    from_left, to_left = max(-across, 0), max(across, 0)
    here = np.s_[: rows - down, from_left : columns - to_left]
    there = np.s_[down:, to_left : columns - from_left]
    weight = (cost[here] + cost[there]) / 2.0 * cell * float(np.hypot(down, across))
    return number[here].ravel(), number[there].ravel(), weight.ravel()


def _calmed(points: Array) -> Array:
    """Without the steps of the grid: each point the mean of itself and its neighbours, twice; the ends stay."""
    for _ in range(2):
        points = np.concatenate([points[:1], (points[:-2] + 2.0 * points[1:-1] + points[2:]) / 4.0, points[-1:]])
    return points
