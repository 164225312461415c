"""Lines of the canvas as short straight pieces in a picture: what is quick to paint, and to leave out when not seen.

QPainter takes ten times as long to stroke a path of many curves, and twice as long to stroke polylines, as to draw the
same course in single pieces with flat ends. The pieces lap over each other at every joint just so far that their outer
corners meet, as mitred joins do.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QLineF, QRectF

from app.wall.mapping import Mapping, Points

LONGEST_CHORD_MM = 5.0  # under a lens even a straight line bends
_SEAM = 0.1  # of the width, by which pieces lap further, so that no seam shows between two smoothed edges
_WIDTHS_KEPT = 4  # those of a rim and a line, before and after a step of the zoom
_MOST_LAP = 1.0  # of half the width: joints that turn by more than a right angle are cut square
END_LAP = 0.8  # of half the width, for free ends: covers about as much as a round one (π / 4)


@dataclass(frozen=True, eq=False)
class Trace:
    """``lines``: ``(n, 4)`` pieces of each, from x, y to x, y in picture coordinates; ``bounds`` ``(N, 4)`` left, top,
    right, bottom of each."""

    lines: tuple[Points, ...]
    bounds: Points
    _lapped: dict[int, dict[int, list[QLineF]]] = field(default_factory=dict, repr=False)

    def seen_in(self, part: QRectF) -> list[int]:
        """Which lines can be seen in a part of the picture."""
        left, top, right, bottom = self.bounds.T
        visible = (right >= part.left()) & (left <= part.right()) & (bottom >= part.top()) & (top <= part.bottom())
        return [int(index) for index in np.flatnonzero(visible)]

    def lapped(self, index: int, width: float) -> list[QLineF]:
        """The pieces of a line, for a pen about this wide with flat ends; kept for a quarter of an octave."""
        step = math.ceil(4.0 * math.log2(width))
        if step not in self._lapped and len(self._lapped) >= _WIDTHS_KEPT:
            del self._lapped[next(iter(self._lapped))]
        kept = self._lapped.setdefault(step, {})
        if index not in kept:
            kept[index] = _lapped(self.lines[index], 2.0 ** (step / 4))
        return kept[index]


def _lapped(line: Points, width: float) -> list[QLineF]:
    starts, ends = line[:, :2], line[:, 2:]
    along = ends - starts
    along = along / np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    cosine = (along * np.roll(along, -1, axis=0)).sum(axis=1).clip(-1, 1)
    turning = np.sqrt((1 - cosine) / np.maximum(1 + cosine, 1e-12))  # the tangent of half the turn at each piece's end
    joined = (ends == np.roll(starts, -1, axis=0)).all(axis=1)
    lap = np.where(joined, np.minimum(turning + _SEAM, _MOST_LAP), END_LAP)[:, None] * width / 2
    lapped = np.hstack([starts - np.roll(lap, 1) * along, ends + lap * along])
    return list(map(QLineF, *lapped.T.tolist()))  # the quickest way to make many


def trace_of(starts: Sequence[Points], ends: Sequence[Points], mapping: Mapping) -> Trace:
    """Of lines given by the ``(n, 2)`` mm where their pieces start and end; pieces out of the camera's sight are left
    out."""
    lines, bounds = [], []
    for start, end in zip(starts, ends, strict=True):
        there = np.hstack([mapping.to_picture(start), mapping.to_picture(end)])
        there = there[np.isfinite(there).all(axis=1)]
        if len(there):
            lines.append(there)
            both = there.reshape(-1, 2)
            bounds.append(np.concatenate([both.min(axis=0), both.max(axis=0)]))
    return Trace(tuple(lines), np.array(bounds).reshape(-1, 4))


def closed_trace(outlines: Sequence[Points], mapping: Mapping) -> Trace:
    """Of closed polygons ``(N, 2)`` mm."""
    rings = [np.concatenate([outline, outline[:1]]) for outline in outlines]
    if not mapping.is_flat:
        rings = [divided(ring, LONGEST_CHORD_MM) for ring in rings]
    return trace_of([ring[:-1] for ring in rings], [ring[1:] for ring in rings], mapping)


def divided(points: Points, longest: float) -> Points:
    """A polyline ``(N, 2)`` with points put in so that no piece is longer than ``longest``."""
    steps = np.diff(points, axis=0)
    counts = np.maximum(np.ceil(np.linalg.norm(steps, axis=1) / longest), 1).astype(int)
    index = np.repeat(np.arange(len(steps)), counts)
    along = (np.arange(len(index)) - np.repeat(np.cumsum(counts) - counts, counts) + 1) / counts[index]
    return np.asarray(np.concatenate([points[:1], points[index] + along[:, None] * steps[index]]), dtype=np.float64)
