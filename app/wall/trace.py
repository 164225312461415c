"""Lines of the canvas as short straight pieces in a picture: what is quick to paint, and to leave out when not seen.

QPainter takes ten times as long to stroke a path of many curves as to draw the same course in single pieces with square
ends; at the widths that are used on the wall the two cannot be told apart.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from PySide6.QtCore import QLineF, QRectF
from PySide6.QtGui import QPolygonF

from app.wall.mapping import Mapping, Points

LONGEST_CHORD_MM = 5.0  # under a lens even a straight line bends


@dataclass(frozen=True, eq=False)
class Trace:
    """Pieces in picture coordinates, line after line; ``bounds`` (N, 4) left, top, right, bottom of each line."""

    pieces: tuple[list[QLineF], ...]
    bounds: Points

    def seen_in(self, part: QRectF) -> list[int]:
        """Which lines can be seen in a part of the picture."""
        left, top, right, bottom = self.bounds.T
        visible = (right >= part.left()) & (left <= part.right()) & (bottom >= part.top()) & (top <= part.bottom())
        return [int(index) for index in np.flatnonzero(visible)]

    @cached_property
    def courses(self) -> tuple[QPolygonF, ...]:
        """Each line in one, for the wide strokes whose joints must be round."""
        return tuple(QPolygonF([line[0].p1(), *(piece.p2() for piece in line)]) for line in self.pieces)


def trace_of(starts: Sequence[Points], ends: Sequence[Points], mapping: Mapping) -> Trace:
    """Of lines given by the ``(n, 2)`` mm where their pieces start and end; pieces out of the camera's sight are left
    out."""
    pieces, bounds = [], []
    for start, end in zip(starts, ends, strict=True):
        there = np.hstack([mapping.to_picture(start), mapping.to_picture(end)])
        there = there[np.isfinite(there).all(axis=1)]
        if len(there):
            pieces.append([QLineF(*piece) for piece in there.tolist()])
            both = there.reshape(-1, 2)
            bounds.append(np.concatenate([both.min(axis=0), both.max(axis=0)]))
    return Trace(tuple(pieces), np.array(bounds).reshape(-1, 4))


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
