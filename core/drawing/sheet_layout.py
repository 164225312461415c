"""The fewest sheets: where a grid of frames is laid over a drawing so that as few of them as can be have lines on them.

A frame is what one sheet shows of the canvas. Frames stand in columns and rows and overlap their neighbours. Both the
place of the grid and the choice of its frames are searched: every place at about 1 mm, and for each the smallest set of
frames that together show all the ink, exactly. Ink that only one frame of the grid can show needs that frame; ink in an
overlap needs one of the two (or four) that share it. What is left of this set cover is nearly always nothing; where a
huge canvas leaves very much of it, the search stops early with the fewest it has found, and says that they are not
proven to be the fewest.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import DrawingError

Array = NDArray[np.float64]
Cell = tuple[int, int]

MOST_SHEETS = 400
FINEST_MM = 1.0

_MOST_LOOK_UPS = 6_000_000
_MOST_CELLS = 4_000_000
_LEAST_SOLVED, _SOLVED_FRAMES, _MOST_BRANCHES = 100, 30_000, 500  # the fewer frames, the quicker a place is solved
_EPS = 1e-9
_IMBALANCE = 0.5  # a join through this much more line, mm, is worth white edges that differ by 1 mm less


@dataclass(frozen=True)
class Tiling:
    """Frames ``width_mm`` × ``height_mm`` at ``left_mm + column * step_x``, ``top_mm + row * step_y``, in print mm.

    ``kept``: the (column, row) of the frames that are needed, row by row; counted from 0 at the first column and the
    first row with a needed frame.
    """

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float
    overlap_mm: float
    kept: tuple[Cell, ...]

    @property
    def columns(self) -> int:
        return 1 + max(column for column, _ in self.kept)

    @property
    def rows(self) -> int:
        return 1 + max(row for _, row in self.kept)

    @property
    def left_out(self) -> tuple[Cell, ...]:
        """The frames between the others that have nothing on them."""
        every = ((column, row) for row in range(self.rows) for column in range(self.columns))
        return tuple(cell for cell in every if cell not in self.kept)

    def frame(self, cell: Cell) -> tuple[float, float, float, float]:
        """Left, top, right, bottom in print mm."""
        left = self.left_mm + cell[0] * (self.width_mm - self.overlap_mm)
        top = self.top_mm + cell[1] * (self.height_mm - self.overlap_mm)
        return left, top, left + self.width_mm, top + self.height_mm


@dataclass(frozen=True)
class Found:
    """A tiling, and how good it is: fewest sheets first, then little line in the overlaps and near the middle.

    ``proven``: no place of the grid, to ``FINEST_MM``, takes fewer; False where the search was coarser or cut short.
    """

    tiling: Tiling
    cost: tuple[int, float]
    proven: bool


def fewest_sheets(chains: Iterable[tuple[Array, float]], width_mm: float, height_mm: float, overlap_mm: float) -> Found:
    """Lay frames over ink, given as polylines ``(n, 2)`` in mm (n ≥ 1) with the width of each.

    The overlap is at most half of either side of the frame. Raises DrawingError for more than ``MOST_SHEETS``.
    """
    held = [(points, width / 2.0) for points, width in chains]
    low = np.min([points.min(axis=0) - pad for points, pad in held], axis=0)
    high = np.max([points.max(axis=0) + pad for points, pad in held], axis=0)
    span, frame = high - low, np.array([width_mm, height_mm])
    step = frame - overlap_mm
    least = np.maximum(np.ceil((span - overlap_mm) / step - _EPS), 1.0)
    if least.prod() > 40 * MOST_SHEETS:
        raise _too_many(int(least.prod()))
    axes = _axes(span, frame, overlap_mm)
    ink = _occupied(held, low, axes)
    best = _best_place(ink, axes, span)
    if len(best.kept) > MOST_SHEETS:
        raise _too_many(len(best.kept))
    place = _in_the_middle(best, axes, span)
    first = np.min(list(best.kept), axis=0)
    kept = sorted((int(c - first[0]), int(r - first[1])) for c, r in best.kept)
    corner = low + place + first * step
    tiling = Tiling(
        float(corner[0]), float(corner[1]), width_mm, height_mm, overlap_mm, tuple(sorted(kept, key=lambda c: c[::-1]))
    )
    fine = all(axis.cell <= FINEST_MM + _EPS for axis in axes)
    return Found(tiling, (len(kept), best.cost), best.proven and fine)


def _too_many(count: int) -> DrawingError:
    return DrawingError(
        f"That would be {count:,} sheets, and {MOST_SHEETS} are the most. Take larger paper, or a smaller overlap."
    )


@dataclass(frozen=True)
class _Axis:
    """One way over the ink, from 0 to ``span``, in ``cells`` of ``cell`` mm; the last may be shorter.

    ``step`` is a whole number of cells, so that the places tried are just those where a frame begins with a cell.
    """

    span: float
    frame: float
    overlap: float
    cell: float
    cells: int
    places: int
    frames: int

    @property
    def step(self) -> float:
        return self.frame - self.overlap

    def cuts(self, places: Array) -> NDArray[np.int64]:
        """Where each kind of stretch begins and ends: ``(n, 2 frames - 1, 2)`` cell numbers, alternately those
        cells that only frame i can show and those that frames i and i + 1 can, for the first frame at each place."""
        starts = places[:, None] + np.arange(1, self.frames) * self.step
        ends = starts + self.overlap
        begin = np.ceil(starts / self.cell - _EPS)
        end = np.where(ends >= self.span - _EPS, self.cells, np.floor(ends / self.cell + _EPS))
        begin, end = (np.clip(cut, 0, self.cells) for cut in (begin, end))
        answer = np.empty((len(places), 2 * self.frames - 1, 2), dtype=np.int64)
        answer[:, 0, 0], answer[:, -1, 1] = 0, self.cells
        answer[:, 2::2, 0], answer[:, 0:-1:2, 1] = end, begin
        answer[:, 1::2, 0], answer[:, 1::2, 1] = begin, np.maximum(begin, end)
        return answer


def _axes(span: Array, frame: Array, overlap: float) -> tuple[_Axis, _Axis]:
    """Cells of about 1 mm, or larger ones where there would be too much to look up."""
    finest = FINEST_MM
    while True:
        made = []
        for length, side in zip(span.tolist(), frame.tolist(), strict=True):
            step = side - overlap
            places = math.ceil(step / finest)
            cell = step / places
            cells = max(1, math.ceil(length / cell - _EPS))
            frames = max(1, math.ceil((length - overlap) / step - _EPS)) + 1
            made.append(_Axis(length, side, overlap, cell, cells, places, frames))
        look_ups = math.prod(axis.places * (2 * axis.frames - 1) for axis in made)
        if look_ups <= _MOST_LOOK_UPS and math.prod(axis.cells for axis in made) <= _MOST_CELLS:
            return made[0], made[1]
        finest *= 1.25


def _occupied(held: list[tuple[Array, float]], low: Array, axes: tuple[_Axis, _Axis]) -> NDArray[np.bool_]:
    """The cells that ink touches, ``(rows, columns)``: places along the lines, and squares about them."""
    across, down = axes
    ink = np.zeros((down.cells, across.cells), dtype=bool)
    spacing = min(across.cell, down.cell) / 2.0
    scale, most = np.array([across.cell, down.cell]), np.array([across.cells, down.cells]) - 1
    by_pad: dict[float, list[Array]] = {}
    for points, pad in held:
        by_pad.setdefault(pad, []).append(_spaced(points - low, spacing))
    for pad, parts in by_pad.items():
        spaced, reach = np.concatenate(parts), pad + spacing / 4.0
        about = np.linspace(-reach, reach, max(2, math.ceil(reach / spacing) + 1))
        for dx in about:
            for dy in about:
                at = np.clip(((spaced + np.array([dx, dy])) / scale).astype(np.int64), 0, most)
                ink[at[:, 1], at[:, 0]] = True
    return ink


def _spaced(points: Array, spacing: float) -> Array:
    run = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))]
    at = np.linspace(0.0, run[-1], max(2, math.ceil(float(run[-1]) / spacing) + 1))
    between = np.stack([np.interp(at, run, axis) for axis in points.T], axis=1) if len(points) > 1 else points
    return np.concatenate([points, between])


@dataclass(frozen=True)
class _Place:
    """The first frame's corner, counted from the ink's, the frames kept, and whether no place needs fewer."""

    corner: Array
    kept: frozenset[Cell]
    cost: float
    proven: bool


def _best_place(ink: NDArray[np.bool_], axes: tuple[_Axis, _Axis], span: Array) -> _Place:
    across, down = axes
    xs, ys = (np.asarray(-np.arange(axis.places) * axis.cell, dtype=np.float64) for axis in axes)
    held = _in_stretches(ink, across.cuts(xs), down.cuts(ys))
    needed = held[:, ::2, :, ::2] > 0
    kept = _one_of_each(needed, held)
    needed_count, count = needed.sum(axis=(1, 3)), kept.sum(axis=(1, 3))
    sure = count - needed_count <= 1  # nothing left over, or one frame that has to be added
    fewest = int(count.min())
    unsure = np.argwhere(~sure & (needed_count + 1 < fewest))
    chosen: dict[Cell, frozenset[Cell]] = {}
    most = max(_LEAST_SOLVED, _SOLVED_FRAMES // (across.frames * down.frames))
    proven = True
    waiting = sorted(unsure.tolist(), key=lambda place: int(needed_count[place[0], place[1]]))
    for tried, (x, y) in enumerate(waiting):
        if needed_count[x, y] + 1 >= fewest:
            break  # nor can any that still waits
        if tried == most:
            proven = False
            break
        cover, smallest = _smallest_cover(needed[x, :, y], held[x, :, y])
        proven &= smallest
        if len(cover) < fewest:
            fewest, chosen = len(cover), {(x, y): cover}
    cost = _cost(kept, held, axes, xs, ys, span)
    if chosen:
        ((x, y), cover) = next(iter(chosen.items()))
    else:
        x, y = divmod(int(np.where(count == fewest, cost, np.inf).argmin()), len(ys))
        cover = frozenset((int(c), int(r)) for c, r in np.argwhere(kept[x, :, y]))
    return _Place(np.array([xs[x], ys[y]]), cover, float(cost[x, y]), proven)


def _in_stretches(ink: NDArray[np.bool_], across: NDArray[np.int64], down: NDArray[np.int64]) -> NDArray[np.int32]:
    """How many inked cells there are in every pair of stretches: ``(xs, 2 columns - 1, ys, 2 rows - 1)``."""
    total = np.zeros((ink.shape[0] + 1, ink.shape[1] + 1), dtype=np.int32)
    np.cumsum(np.cumsum(ink, axis=0, dtype=np.int32), axis=1, out=total[1:, 1:])
    rows = total[down[..., 1]] - total[down[..., 0]]
    return np.asarray(np.moveaxis(rows[..., across[..., 1]] - rows[..., across[..., 0]], (0, 1), (2, 3)))


def _one_of_each(needed: NDArray[np.bool_], held: NDArray[np.int32]) -> NDArray[np.bool_]:
    """The needed frames, and for ink in an overlap that none of them shows the first frame that does."""
    kept = needed.copy()
    for wide, high in ((1, 0), (0, 1), (1, 1)):
        shared = held[:, wide::2, :, high::2] > 0
        columns, rows = shared.shape[1], shared.shape[3]
        for column in range(columns):
            for row in range(rows):
                about = kept[:, column : column + 1 + wide, :, row : row + 1 + high].any(axis=(1, 3))
                kept[:, column, :, row] |= shared[:, column, :, row] & ~about
    return kept


def _smallest_cover(needed: NDArray[np.bool_], held: NDArray[np.int32]) -> tuple[frozenset[Cell], bool]:
    """The smallest set of frames that shows all ink: the needed ones, and the fewest for what they do not show.

    Also whether it is proven to be the smallest.
    """
    kept = frozenset((int(c), int(r)) for c, r in np.argwhere(needed))
    clauses = set()
    for x, y in np.argwhere(held > 0).tolist():
        columns = (x // 2, x // 2 + 1) if x % 2 else (x // 2,)
        rows = (y // 2, y // 2 + 1) if y % 2 else (y // 2,)
        clauses.add(frozenset((c, r) for c in columns for r in rows))
    open_clauses = [clause for clause in clauses if not clause & kept]
    hit = [_smallest_hitting(group) for group in _linked(open_clauses)]
    return kept.union(*(cells for cells, _ in hit)), all(smallest for _, smallest in hit)


def _linked(clauses: list[frozenset[Cell]]) -> list[list[frozenset[Cell]]]:
    """The clauses in groups that have no frame in common."""
    groups: list[tuple[frozenset[Cell], list[frozenset[Cell]]]] = []
    for clause in clauses:
        touching = [group for group in groups if group[0] & clause]
        groups = [group for group in groups if not group[0] & clause]
        cells = clause.union(*(cells for cells, _ in touching))
        groups.append((cells, [clause, *(each for _, held in touching for each in held)]))
    return [held for _, held in groups]


def _smallest_hitting(clauses: list[frozenset[Cell]]) -> tuple[frozenset[Cell], bool]:
    """The fewest cells with one of every clause, by branch and bound; the fewest found, and False, when that takes too
    long."""
    best: frozenset[Cell] = frozenset().union(*clauses)
    left = _MOST_BRANCHES

    def branch(kept: frozenset[Cell], waiting: list[frozenset[Cell]]) -> None:
        nonlocal best, left
        left -= 1
        if not waiting:
            best = kept
            return
        shortest = sorted(waiting, key=len)[0]
        for cell in sorted(shortest, key=lambda cell: -sum(cell in clause for clause in waiting)):
            rest = [clause for clause in waiting if cell not in clause]
            if len(kept) + 1 + _apart(rest) < len(best) and left > 0:
                branch(kept | {cell}, rest)

    branch(frozenset(), clauses)
    return best, left > 0


def _apart(clauses: list[frozenset[Cell]]) -> int:
    """How many clauses can be found that share no cell: so many cells it takes at least."""
    count, used = 0, set[Cell]()
    for clause in sorted(clauses, key=len):
        if not clause & used:
            used |= clause
            count += 1
    return count


def _cost(
    kept: NDArray[np.bool_], held: NDArray[np.int32], axes: tuple[_Axis, _Axis], xs: Array, ys: Array, span: Array
) -> Array:
    """For each place, about how much line lies where two sheets are joined, and how far off the middle it is."""
    across, down = axes
    upright = held[:, 1::2, :, ::2] * (kept[:, :-1] & kept[:, 1:])
    level = held[:, ::2, :, 1::2] * (kept[..., :-1] & kept[..., 1:])
    cut = (upright.sum(axis=(1, 3)) + level.sum(axis=(1, 3))) * across.cell
    in_column, in_row = np.asarray(kept.any(axis=3)), np.asarray(kept.any(axis=1))
    columns = across.frames - np.argmax(in_column[:, ::-1], axis=1)
    rows = down.frames - np.argmax(in_row[..., ::-1], axis=2)
    uneven_x = np.abs(-xs[:, None] - (xs[:, None] + (columns - 1) * across.step + across.frame - span[0]))
    uneven_y = np.abs(-ys[None, :] - (ys[None, :] + (rows - 1) * down.step + down.frame - span[1]))
    return np.asarray(cut + _IMBALANCE * (uneven_x + uneven_y), dtype=np.float64)


def _in_the_middle(place: _Place, axes: tuple[_Axis, _Axis], span: Array) -> Array:
    """The corner moved so that a single row or column of frames stands over the middle of the ink."""
    corner = place.corner.copy()
    for axis, way in enumerate(axes):
        numbers = {cell[axis] for cell in place.kept}
        if len(numbers) == 1:
            corner[axis] = (span[axis] - way.frame) / 2.0 - numbers.pop() * way.step
    return corner
