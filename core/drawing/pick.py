"""What lies nearest to a place: a line, a point of a line, an end, a landmark."""

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from core.drawing import bezier
from core.drawing.drawing import Drawing, Line
from core.drawing.edit import End

Array = NDArray[np.float64]

_CHORD_MM = 0.2  # the chords that are searched first leave the curve by no more than this
_ROUNDS = 12  # each looks four times as closely
_MOST_TRIED = 12


@dataclass(frozen=True)
class OnLine:
    """A place on a line: its ``line``, its ``place`` (curve number plus t), the point and how far it was, mm."""

    line: int
    place: float
    x_mm: float
    y_mm: float
    away_mm: float


class Picker:
    """Finds things in one drawing; what it needs is worked out at the first question.

    A question takes about 2 ms in a drawing of 2,000 lines and 100,000 chords: plain arrays, no index of places.
    """

    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing

    def line(self, x_mm: float, y_mm: float, radius_mm: float) -> OnLine | None:
        """The nearest place on any line within ``radius_mm``, or None; exact on the curve."""
        if not self.drawing.lines:
            return None
        chords = self._chords
        at = np.array([x_mm, y_mm])
        reach = radius_mm + _CHORD_MM
        near = np.flatnonzero(((chords.low <= at + reach) & (chords.high >= at - reach)).all(axis=1))
        if not len(near):
            return None
        start, side = chords.start[near], chords.side[near]
        away = at - start
        share = np.clip((away * side).sum(axis=1) / np.maximum((side * side).sum(axis=1), 1e-300), 0.0, 1.0)
        gap = np.linalg.norm(away - share[:, None] * side, axis=1)
        order = np.argsort(gap)[:_MOST_TRIED]
        tried = order[gap[order] <= gap.min() + 2 * _CHORD_MM]
        nearest = min((self._exact(int(near[k]), at) for k in tried), key=lambda each: each.away_mm)
        return nearest if nearest.away_mm <= radius_mm else None

    def landmark(self, x_mm: float, y_mm: float, radius_mm: float) -> int | None:
        """The index of the nearest landmark within ``radius_mm``, or None."""
        return _nearest(self._landmarks, x_mm, y_mm, radius_mm)

    def end(self, x_mm: float, y_mm: float, radius_mm: float, *, but: Collection[End] = ()) -> End | None:
        """The nearest end of an open line within ``radius_mm``, leaving out those in ``but``; or None."""
        ends, places = self._ends
        wanted = [k for k, end in enumerate(ends) if end not in but] if but else list(range(len(ends)))
        found = _nearest(places[wanted], x_mm, y_mm, radius_mm)
        return None if found is None else ends[wanted[found]]

    def _exact(self, chord: int, at: Array) -> OnLine:
        """The nearest place on the chord's stretch of its curve, looked for ever more closely."""
        chords = self._chords
        curve, low, high = chords.curves[chords.curve[chord]][None], chords.t_low[chord], chords.t_high[chord]
        nine = np.repeat(curve, 9, axis=0)
        begin, end, best = low, high, low
        for _ in range(_ROUNDS):
            t = np.linspace(begin, end, 9)
            best = float(t[int(np.linalg.norm(bezier.at(nine, t) - at, axis=1).argmin())])
            step = (end - begin) / 8
            begin, end = max(best - step, low), min(best + step, high)
        x, y = bezier.at(curve, np.array([best]))[0]
        line = int(chords.line[chord])
        place = float(chords.curve[chord] - chords.first[line]) + best
        return OnLine(line, place, float(x), float(y), float(np.hypot(x - at[0], y - at[1])))

    @cached_property
    def _ends(self) -> tuple[list[End], Array]:
        open_lines = [index for index, line in enumerate(self.drawing.lines) if not line.closed]
        ends = [End(index, at_start) for index in open_lines for at_start in (True, False)]
        return ends, np.array([end.place(self.drawing) for end in ends]).reshape(-1, 2)

    @cached_property
    def _landmarks(self) -> Array:
        return self.drawing.landmark_points()

    @cached_property
    def _chords(self) -> "_Chords":
        return _chords_of(self.drawing.lines)


@dataclass(frozen=True, eq=False)
class _Chords:
    """Every chord of every curve: where it starts and leads, its bounds, and of which line, curve and t it is."""

    curves: Array  # (c, 4, 2)
    first: NDArray[np.int64]  # of each line, its first curve
    start: Array
    side: Array
    low: Array
    high: Array
    line: NDArray[np.int64]
    curve: NDArray[np.int64]
    t_low: Array
    t_high: Array


def _chords_of(lines: tuple[Line, ...]) -> _Chords:
    each = [bezier.curves_of(line.points) for line in lines]
    counts = np.array([len(curves) for curves in each])
    curves = np.concatenate(each)
    pieces = bezier.pieces_for(curves, _CHORD_MM)
    curve, t_high = bezier.steps_of(pieces)
    t_low = t_high - 1.0 / pieces[curve]
    start, end = bezier.at(curves[curve], t_low), bezier.at(curves[curve], t_high)
    return _Chords(
        curves=curves,
        first=np.cumsum(counts) - counts,
        start=start,
        side=end - start,
        low=np.minimum(start, end),
        high=np.maximum(start, end),
        line=np.repeat(np.arange(len(lines)), counts)[curve],
        curve=curve,
        t_low=t_low,
        t_high=t_high,
    )


def point_of(line: Line, x_mm: float, y_mm: float, radius_mm: float, *, among: Collection[int]) -> int | None:
    """Which of a line's points ``among`` these is nearest to a place, within ``radius_mm``; or None.

    A node counts before a handle that lies as near.
    """
    wanted = sorted(among, key=lambda point: point % 3 != 0)
    if not wanted:
        return None
    found = _nearest(line.points[wanted], x_mm, y_mm, radius_mm)
    return None if found is None else wanted[found]


def _nearest(points: Array, x_mm: float, y_mm: float, radius_mm: float) -> int | None:
    if not len(points):
        return None
    gaps = np.linalg.norm(points - (x_mm, y_mm), axis=1)
    best = int(gaps.argmin())
    return best if gaps[best] <= radius_mm else None
