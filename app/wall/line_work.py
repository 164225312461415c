"""Lines made ready to be painted, each kind with its own pen; quick for thousands of them.

What is worked out for one drawing is taken over by the next one where the two are the same, so that a stroke that is
added costs about as much as itself.
"""

import math
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QColor, QPainter, QRegion

from app import look
from app.wall import marks
from app.wall.kinds import CONTOUR, KINDS, Kind, number_of
from app.wall.mapping import Mapping, Points
from app.wall.sight import Placed
from app.wall.trace import LONGEST_CHORD_MM, Trace, trace_of
from core.drawing import bezier
from core.drawing.drawing import Line

ANY_FLAT = Mapping.flat(10.0)  # pictures laid flat differ in px per mm, but their lines lie on the screen alike
_TOLERANCE_PX = 0.4  # how far the chords that are painted may leave the curve
_A_TILE = 2  # lines lie in groups of about so many, so that those out of sight are left out
_MOST_TILES = 12  # across and down
_KEPT = 12  # two steps of the zoom for each kind, laid flat and as shot
_LONG_FROM = 4000  # curves: about as many as are painted within a frame
_MOST_BOXES = 100
_FEW = 0.5  # of the lines: fewer are worked out afresh, so that a change of one line costs next to nothing

Indices = NDArray[np.int64]
T = TypeVar("T", np.int64, np.float64)


class LineWork:
    """Lines and what their painting needs; never changes but for what it keeps.

    ``before``: the lines shown so far, from which everything is taken over that is the same.
    """

    def __init__(self, lines: tuple[Line, ...], before: "LineWork | None" = None) -> None:
        self.lines = lines
        self._traces: OrderedDict[tuple[object, ...], Trace] = OrderedDict()
        first, last = (0, 0) if before is None else _in_common(before.lines, lines)
        fresh = lines[first : len(lines) - last]
        self._kinds = np.array([number_of(line.layer) for line in fresh], dtype=np.int64)
        self._curves = np.array([len(line.points) // 3 for line in fresh], dtype=np.int64)
        self._low, self._high = bounds_of(fresh)
        if before is not None:
            gone = slice(first, len(before.lines) - last)
            touched = {*self._kinds.tolist(), *before._kinds[gone].tolist()}
            self._traces.update((key, trace) for key, trace in before._traces.items() if key[0] not in touched)
            self._kinds = _spliced(before._kinds, gone, self._kinds)
            self._curves = _spliced(before._curves, gone, self._curves)
            self._low = _spliced(before._low, gone, self._low)
            self._high = _spliced(before._high, gone, self._high)

    def takes_long(self, placed: Placed) -> bool:
        """Whether what can be seen of them takes longer to paint than a frame may."""
        if self._curves.sum() <= _LONG_FROM:
            return False
        if not placed.mapping.is_flat:
            return True
        return bool(self._curves[self._meeting([placed.viewport], placed, 0.0)].sum() > _LONG_FROM)

    def stroke(self, painter: QPainter, placed: Placed, colour: QColor, contour_px: float) -> None:
        """Paint the lines, a contour ``contour_px`` wide on the screen; only what meets the painter's clip."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        placed = laid_alike(placed)
        few = self._within(painter, placed, contour_px)
        traces = []
        for number, kind in enumerate(KINDS):
            pen = _Pen.of(kind, placed, contour_px)
            if few is None:
                trace = self._whole(number, pen, placed.mapping)
            else:
                lines = [self.lines[k] for k in few if self._kinds[k] == number]
                trace = _trace(lines, pen, placed.mapping, tiles=1)
            traces.append((trace, kind.width_beside(contour_px), look.px(marks.RIM_PX) * kind.share))
        marks.stroke_traces(painter, traces, placed, colour)

    def changed_since(self, before: "LineWork") -> tuple[Points, Points]:
        """The least and the most x and y ``(n, 2)`` mm of boxes that hold all lines that are in only one of the two.

        A box for each of their curves; where those would be many, for each line, or one for all.
        """
        first, last = _in_common(before.lines, self.lines)
        old, new = ({id(line): line for line in each[first : len(each) - last]} for each in (before.lines, self.lines))
        differing = [line for key, line in (old | new).items() if (key in old) != (key in new)]
        if sum(len(line.points) // 3 for line in differing) > _MOST_BOXES:
            low, high = bounds_of(differing)
            many = len(differing) > _MOST_BOXES
            return (low.min(axis=0)[None], high.max(axis=0)[None]) if many else (low, high)
        curves = np.concatenate([np.empty((0, 4, 2)), *(bezier.curves_of(line.points) for line in differing)])
        return curves.min(axis=1), curves.max(axis=1)

    def _within(self, painter: QPainter, placed: Placed, contour_px: float) -> list[int] | None:
        """Which lines meet the painter's clip, to be worked out afresh; None when all are worth keeping ready.

        Thousands are not: the garbage collector would stop the window for several frames to look through their pieces.
        """
        crowded = self._curves.sum() > _LONG_FROM
        if not placed.mapping.is_flat or not (painter.hasClipping() or crowded):
            return None
        rooms = rects_of(painter.clipRegion()) if painter.hasClipping() else [placed.viewport]
        found = self._meeting(rooms, placed, reach_px(contour_px))
        return [int(k) for k in found] if crowded or len(found) <= _FEW * len(self.lines) else None

    def _meeting(self, rooms: Sequence[QRectF], placed: Placed, reach: float) -> Indices:
        """Which lines may be seen in any of these parts of the screen, of a picture laid flat."""
        beyond = reach / placed.sight.zoom
        meets = np.zeros(len(self.lines), dtype=np.bool_)
        for room in rooms:
            (left, top), (right, bottom) = (placed.mm_at(at) or (0, 0) for at in (room.topLeft(), room.bottomRight()))
            corner, opposite = (right + beyond, bottom + beyond), (left - beyond, top - beyond)
            meets |= ((self._low <= corner) & (self._high >= opposite)).all(axis=1)
        return np.flatnonzero(meets)

    def _whole(self, number: int, pen: "_Pen", mapping: Mapping) -> Trace:
        """Of all lines of a kind; kept."""
        key = (number, pen, mapping)
        if key not in self._traces:
            lines = [self.lines[k] for k in np.flatnonzero(self._kinds == number)]
            across = min(max(math.isqrt(len(lines) // _A_TILE), 1), _MOST_TILES)
            self._traces[key] = _trace(lines, pen, mapping, tiles=across)
        self._traces.move_to_end(key)
        while len(self._traces) > _KEPT:
            self._traces.popitem(last=False)
        return self._traces[key]


def paint_line(painter: QPainter, line: Line, placed: Placed, colour: QColor) -> None:
    """One line by itself, as it looks on the tracing page."""
    LineWork((line,)).stroke(painter, placed, colour, look.px(CONTOUR.width_px))


def rects_of(region: QRegion) -> list[QRectF]:
    """The rectangles that a region is made of."""
    return [QRectF(rect) for rect in cast(Iterable[QRect], region)]  # the stubs do not know that it is one


def laid_alike(placed: Placed) -> Placed:
    """With one mapping for all pictures that are laid flat."""
    return replace(placed, mapping=ANY_FLAT) if placed.mapping.is_flat else placed


def reach_px(contour_px: float) -> float:
    """How far from the middle of a line it may be painted."""
    return contour_px + look.px(marks.RIM_PX) + 2.0


def bounds_of(lines: Sequence[Line]) -> tuple[Points, Points]:
    """The least and the most x and y ``(n, 2)`` mm of each line's points and handles, which hold the line."""
    if not lines:
        return np.empty((0, 2)), np.empty((0, 2))
    every = np.concatenate([line.points for line in lines])
    first = np.cumsum([0, *(len(line.points) for line in lines[:-1])])
    return np.minimum.reduceat(every, first), np.maximum.reduceat(every, first)


@dataclass(frozen=True)
class _Pen:
    """How finely lines are divided: for up to 2 ** (``step`` / 2) pixels of the screen a mm; and into which dashes."""

    step: int
    dash_mm: float
    gap_mm: float

    @classmethod
    def of(cls, kind: Kind, placed: Placed, contour_px: float) -> "_Pen":
        step = math.ceil(2.0 * math.log2(placed.sight.zoom * placed.device_pixel_ratio))
        # Where lines are wider than on the tracing page so are dashes; in steps, so that they are seldom laid anew.
        broader = max(contour_px / look.px(CONTOUR.width_px), 1.0)
        px = 2.0 ** (round(4.0 * math.log2(look.px(broader) / placed.sight.zoom)) / 4) if kind.dash_px else 0.0
        return cls(step, kind.dash_px * px, kind.gap_px * px)


def _in_common(one: Sequence[Line], other: Sequence[Line]) -> tuple[int, int]:
    """How many lines at the start, and then at the end, are the very same."""
    most = min(len(one), len(other))
    first = next((k for k in range(most) if one[k] is not other[k]), most)
    last = next((k for k in range(most - first) if one[-1 - k] is not other[-1 - k]), most - first)
    return first, last


def _spliced(old: NDArray[T], gone: slice, instead: NDArray[T]) -> NDArray[T]:
    return np.concatenate([old[: gone.start], instead, old[gone.stop :]])


def _trace(lines: Sequence[Line], pen: _Pen, mapping: Mapping, *, tiles: int) -> Trace:
    """Lines of one kind, in groups by so many tiles across and down."""
    if not lines:
        return trace_of([], [], mapping)
    starts, ends, line = _chords(lines, _TOLERANCE_PX / 2.0 ** (pen.step / 2), mapping)
    if pen.dash_mm:
        starts, ends, line = broken(starts, ends, line, pen.dash_mm, pen.gap_mm)
    tile = _tiles(lines, tiles)[line]
    order = np.argsort(tile, kind="stable")
    cuts = np.flatnonzero(np.diff(tile[order])) + 1
    return trace_of(np.split(starts[order], cuts), np.split(ends[order], cuts), mapping)


def _chords(lines: Sequence[Line], tolerance_mm: float, mapping: Mapping) -> tuple[Points, Points, Indices]:
    """Every chord's start and end ``(m, 2)`` mm, and its line ``(m,)``."""
    each = [bezier.curves_of(line.points) for line in lines]
    curves = np.concatenate(each)
    owner = np.repeat(np.arange(len(each)), [len(one) for one in each])
    pieces = bezier.pieces_for(curves, tolerance_mm)
    if not mapping.is_flat:
        lengths = np.linalg.norm(np.diff(curves, axis=1), axis=2).sum(axis=1)
        pieces = np.maximum(pieces, np.ceil(lengths / LONGEST_CHORD_MM).astype(np.int64))
    index, t = bezier.steps_of(pieces)
    ends = bezier.at(curves[index], t)
    starts = np.roll(ends, 1, axis=0)
    first = np.cumsum(pieces) - pieces
    starts[first] = curves[:, 0]
    return starts, ends, owner[index]


def broken(
    starts: Points, ends: Points, line: Indices, dash_mm: float, gap_mm: float, *, fewest_gaps: int = 0
) -> tuple[Points, Points, Indices]:
    """Chords ``(m, 2)`` cut exactly into dashes.

    Each line begins and ends with one, dashes and gaps being evened out for that; one without room for two is whole,
    unless each is to have ``fewest_gaps``.
    """
    after = np.cumsum(np.linalg.norm(ends - starts, axis=1))
    before = np.r_[0.0, after[:-1]]
    firsts = np.flatnonzero(np.r_[True, line[1:] != line[:-1]])
    begin, end = before[firsts], np.r_[before[firsts[1:]], after[-1]]
    gaps = np.rint((end - begin - dash_mm) / (dash_mm + gap_mm)).clip(fewest_gaps).astype(np.int64)
    stretch = (end - begin) / (dash_mm + gaps * (dash_mm + gap_mm))
    of, rank = np.repeat(np.arange(len(gaps)), gaps), _ranks(gaps)
    gap_ends = begin[of] + rank * (dash_mm + gap_mm) * stretch[of]
    gap_starts = gap_ends - gap_mm * stretch[of]
    # The gaps of all lines, one after another along them, tell of any place whether it lies in one.
    cuts = np.unique(np.concatenate([before[:1], after, gap_starts, gap_ends]))
    middle = (cuts[:-1] + cuts[1:]) / 2.0
    drawn = np.searchsorted(gap_starts, middle) == np.searchsorted(gap_ends, middle)
    low, high, chord = cuts[:-1][drawn], cuts[1:][drawn], np.searchsorted(after, middle[drawn])
    length = (after - before)[chord]
    one, other = (_along(starts[chord], ends[chord], (at - before[chord]) / length) for at in (low, high))
    return one, other, line[chord]


def _along(starts: Points, ends: Points, share: Points) -> Points:
    """Exactly the start at 0 and the end at 1, so that pieces that are joined are seen to be."""
    return np.asarray(starts * (1.0 - share[:, None]) + ends * share[:, None])


def _ranks(counts: Indices) -> Indices:
    """1 to n for each of the counts, one after another."""
    return np.arange(1, counts.sum() + 1) - np.repeat(np.cumsum(counts) - counts, counts)


def _tiles(lines: Sequence[Line], across: int) -> Indices:
    """Which of the tiles each line's middle lies in, ``(n,)``."""
    low, high = bounds_of(lines)
    middle = (low + high) / 2.0
    origin, reach = middle.min(axis=0), np.maximum(np.ptp(middle, axis=0), 1e-9)
    column, row = np.minimum((middle - origin) / reach * across, across - 1).astype(np.int64).T
    return np.asarray(row * across + column)
