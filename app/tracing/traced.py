"""The lines of a drawing as they look on the tracing page, each kind in its own way; quick for thousands of lines."""

import math
from collections import OrderedDict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from app import look
from app.tracing.kinds import CONTOUR, KINDS, Kind, kind_of
from app.wall import marks
from app.wall.mapping import Points
from app.wall.sight import Placed
from app.wall.trace import Trace, trace_of
from core.drawing import bezier
from core.drawing.drawing import Line

_TOLERANCE_PX = 0.4  # how far the chords that are painted may leave the curve
_TILES = 6  # the lines lie in so many groups across and down, so that those out of sight are left out
_KEPT = 6  # two steps of the zoom for each kind
_FEW = 0.5  # of the lines: fewer are worked out afresh, so that a change of one line costs next to nothing
_REACH_PX = 8.0

Indices = NDArray[np.int64]


class TracedLines:
    """Paints lines by kind; never changes. Within a clip only what meets the clip is painted.

    ``before``: what was shown so far; what has been worked out for kinds without a change is taken from it.
    """

    def __init__(self, lines: tuple[Line, ...], colour: QColor, before: "TracedLines | None" = None) -> None:
        self.lines = lines
        self.colour = colour
        self._kinds: NDArray[np.int64] = np.array([KINDS.index(kind_of(line.layer)) for line in lines], dtype=np.int64)
        self.low, self.high = bounds_of(lines)
        self._of = tuple([lines[k] for k in np.flatnonzero(self._kinds == n)] for n in range(len(KINDS)))
        self._traces: OrderedDict[tuple[int, int], Trace] = OrderedDict()
        if before is not None:
            same = [_are_same(one, other) for one, other in zip(self._of, before._of, strict=True)]
            self._traces.update((key, trace) for key, trace in before._traces.items() if same[key[0]])

    def paint(self, painter: QPainter, placed: Placed) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        step = math.ceil(2.0 * math.log2(placed.sight.zoom * placed.device_pixel_ratio))
        few = self._within(painter, placed)
        for number, kind in enumerate(KINDS):
            if few is not None:
                trace = _trace([self.lines[k] for k in few if self._kinds[k] == number], kind, placed, step)
            else:
                trace = self._whole(number, kind, placed, step)
            marks.stroke_trace(painter, trace, placed, look.px(kind.width_px), self.colour)

    def _within(self, painter: QPainter, placed: Placed) -> list[int] | None:
        """Which lines meet the painter's clip; None when they are most of all, or nothing is clipped."""
        if not painter.hasClipping():
            return None
        reach = _REACH_PX / placed.sight.zoom
        clip = painter.clipBoundingRect()
        (left, top), (right, bottom) = (placed.mm_at(at) or (0.0, 0.0) for at in (clip.topLeft(), clip.bottomRight()))
        meets = (self.low <= (right + reach, bottom + reach)) & (self.high >= (left - reach, top - reach))
        found = np.flatnonzero(meets.all(axis=1))
        return None if len(found) > _FEW * len(self.lines) else [int(k) for k in found]

    def _whole(self, number: int, kind: Kind, placed: Placed, step: int) -> Trace:
        key = (number, step)
        if key not in self._traces:
            self._traces[key] = _trace(self._of[number], kind, placed, step)
        self._traces.move_to_end(key)
        while len(self._traces) > _KEPT:
            self._traces.popitem(last=False)
        return self._traces[key]


def _are_same(one: Sequence[Line], other: Sequence[Line]) -> bool:
    return len(one) == len(other) and all(a is b for a, b in zip(one, other, strict=True))


def bounds_of(lines: Sequence[Line]) -> tuple[Points, Points]:
    """The least and the most x and y ``(n, 2)`` mm of each line's points and handles, which hold the line."""
    if not lines:
        return np.empty((0, 2)), np.empty((0, 2))
    every = np.concatenate([line.points for line in lines])
    first = np.cumsum([0, *(len(line.points) for line in lines[:-1])])
    return np.minimum.reduceat(every, first), np.maximum.reduceat(every, first)


def paint_line(painter: QPainter, line: Line, placed: Placed, colour: QColor) -> None:
    """One line by itself, as it will look."""
    kind = kind_of(line.layer)
    step = math.ceil(2.0 * math.log2(placed.sight.zoom * placed.device_pixel_ratio))
    marks.stroke_trace(painter, _trace([line], kind, placed, step), placed, look.px(kind.width_px), colour)


def _trace(lines: Sequence[Line], kind: Kind, placed: Placed, step: int) -> Trace:
    """Lines of one kind in chords fine enough for ``2 ** (step / 2)`` pixels of the screen a mm, tile by tile."""
    if not lines:
        return trace_of([], [], placed.mapping)
    zoom = 2.0 ** (step / 2)
    starts, ends, line = _chords(lines, _TOLERANCE_PX / zoom)
    if kind.dash_px:
        px = look.px(1.0) * placed.device_pixel_ratio / zoom
        starts, ends, line = _broken(starts, ends, line, kind.dash_px * px, kind.gap_px * px)
    tile = _tiles(lines)[line]
    order = np.argsort(tile, kind="stable")
    cuts = np.flatnonzero(np.diff(tile[order])) + 1
    return trace_of(np.split(starts[order], cuts), np.split(ends[order], cuts), placed.mapping)


def _chords(lines: Sequence[Line], tolerance_mm: float) -> tuple[Points, Points, Indices]:
    """Every chord's start and end ``(m, 2)`` mm, and its line ``(m,)``."""
    each = [bezier.curves_of(line.points) for line in lines]
    curves = np.concatenate(each)
    owner = np.repeat(np.arange(len(each)), [len(one) for one in each])
    pieces = bezier.pieces_for(curves, tolerance_mm)
    index, t = bezier.steps_of(pieces)
    ends = bezier.at(curves[index], t)
    starts = np.roll(ends, 1, axis=0)
    first = np.cumsum(pieces) - pieces
    starts[first] = curves[:, 0]
    return starts, ends, owner[index]


def _broken(
    starts: Points, ends: Points, line: Indices, dash_mm: float, gap_mm: float
) -> tuple[Points, Points, Indices]:
    """The chords of broken lines: those that lie in a dash, each line beginning with one."""
    lengths = np.linalg.norm(ends - starts, axis=1)
    parts = np.maximum(np.ceil(lengths / (dash_mm / 4.0)), 1).astype(np.int64)
    index, share = bezier.steps_of(parts)
    side = (ends - starts)[index]
    one = starts[index] + (share - 1.0 / parts[index])[:, None] * side
    other = starts[index] + share[:, None] * side
    run = np.cumsum(lengths) - lengths
    run -= run[np.searchsorted(line, line)]
    middle = run[index] + (share - 0.5 / parts[index]) * lengths[index]
    drawn = middle % (dash_mm + gap_mm) < dash_mm
    return one[drawn], other[drawn], line[index][drawn]


def _tiles(lines: Sequence[Line]) -> Indices:
    """Which of the tiles each line's middle lies in, ``(n,)``."""
    low, high = bounds_of(lines)
    middle = (low + high) / 2.0
    origin, reach = middle.min(axis=0), np.maximum(np.ptp(middle, axis=0), 1e-9)
    across, down = np.minimum((middle - origin) / reach * _TILES, _TILES - 1).astype(np.int64).T
    return np.asarray(down * _TILES + across)


def changed_rect(before: Sequence[Line], after: Sequence[Line], placed: Placed) -> QRectF:
    """The part of the screen where the lines differ; empty where they do not."""
    old, new = {id(line): line for line in before}, {id(line): line for line in after}
    differing = [line for key, line in (old | new).items() if (key in old) != (key in new)]
    if not differing:
        return QRectF()
    low, high = bounds_of(differing)
    (left, top), (right, bottom) = placed.points([low.min(axis=0), high.max(axis=0)]).tolist()
    reach = look.px(CONTOUR.width_px + 2 * marks.RIM_PX) + 2.0
    return QRectF(left - reach, top - reach, right - left + 2 * reach, bottom - top + 2 * reach)
