"""Lines and landmarks on the canvas face, in mm."""

from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from core.drawing import bezier
from core.errors import DrawingError
from core.size import Size

FLAT_MM = 0.05  # chords this near the curve look like the curve at arm's length
MEASURED_MM = 1e-3  # for lengths and bounds
SPACED_MM = 0.01  # for equal distances along a line
MOST_SAMPLES = 4_000_000


class LineSamples(NamedTuple):
    """Places along the lines, evenly spaced within each line.

    ``points``: ``(n, 2)`` mm. ``normals``: ``(n, 2)`` unit vectors, to the right of the line's direction of travel as
    seen on the canvas. ``line_index``: ``(n,)`` int64, which of the drawing's lines.
    """

    points: NDArray[np.float64]
    normals: NDArray[np.float64]
    line_index: NDArray[np.int64]

    @property
    def tangents(self) -> NDArray[np.float64]:
        """Unit vectors along the line, ``(n, 2)``."""
        return np.stack([self.normals[:, 1], -self.normals[:, 0]], axis=1)


@dataclass(frozen=True, eq=False)
class Line:
    """One line as a chain of cubic Bézier curves.

    ``points``: ``(3 n + 1, 2)`` float64 mm, n ≥ 1: start, then (control, control, end) for each of n curves. The array
    is the line's own copy and read-only. A closed line ends where it starts; a missing last side is added.
    ``layer``: ``contour``, ``inner form`` or ``shadow edge``, or whatever the file's group was called.
    Raises ValueError when the points have another shape or are not finite.
    """

    points: NDArray[np.float64]
    closed: bool = False
    name: str = ""
    layer: str = "contour"

    def __post_init__(self) -> None:
        points = np.array(self.points, dtype=np.float64)
        if points.ndim != 2 or points.shape[1] != 2 or len(points) < 4 or len(points) % 3 != 1:
            raise ValueError(f"A line is (3 n + 1, 2) points with n at least 1, not {points.shape}.")
        if not np.isfinite(points).all():
            raise ValueError("A line's points must be finite.")
        if self.closed and not np.array_equal(points[0], points[-1]):
            points = np.concatenate([points, bezier.chain_through(points[[-1, 0]])[1:]])
        points.setflags(write=False)
        object.__setattr__(self, "points", points)

    @classmethod
    def through(
        cls, points: NDArray[np.float64], *, closed: bool = False, name: str = "", layer: str = "contour"
    ) -> "Line":
        """The line with straight sides through ``(n, 2)`` points in mm, n ≥ 2."""
        return cls(bezier.chain_through(points), closed=closed, name=name, layer=layer)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Line):
            return NotImplemented
        if other is self:
            return True
        same = (self.closed, self.name, self.layer) == (other.closed, other.name, other.layer)
        return same and np.array_equal(self.points, other.points)

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.closed, self.name, self.layer, self.points.tobytes()))

    def polyline(self, tolerance_mm: float = FLAT_MM) -> NDArray[np.float64]:
        """The line as ``(m, 2)`` points in mm whose chords keep within ``tolerance_mm`` of it."""
        return bezier.flatten(self.points, tolerance_mm)

    @property
    def length_mm(self) -> float:
        """Length along the line, mm."""
        return float(np.linalg.norm(np.diff(self.polyline(MEASURED_MM), axis=0), axis=1).sum())

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom in mm, true to ``MEASURED_MM``."""
        flat = self.polyline(MEASURED_MM)
        (left, top), (right, bottom) = flat.min(axis=0), flat.max(axis=0)
        return float(left), float(top), float(right), float(bottom)


@dataclass(frozen=True)
class Landmark:
    """A named point, mm."""

    name: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Drawing:
    """All lines and landmarks of one painting.

    ``notes``: what had to be assumed or left out when the drawing was read, a plain sentence each.
    """

    size: Size
    lines: tuple[Line, ...] = ()
    landmarks: tuple[Landmark, ...] = ()
    notes: tuple[str, ...] = field(default=(), compare=False)

    @property
    def bounds(self) -> tuple[float, float, float, float] | None:
        """Left, top, right, bottom of all lines and landmarks in mm; None when there are none."""
        boxes = [line.bounds for line in self.lines]
        boxes += [(mark.x_mm, mark.y_mm, mark.x_mm, mark.y_mm) for mark in self.landmarks]
        if not boxes:
            return None
        array = np.array(boxes)
        (left, top), (right, bottom) = array[:, :2].min(axis=0), array[:, 2:].max(axis=0)
        return float(left), float(top), float(right), float(bottom)

    @property
    def length_mm(self) -> float:
        """Length of all lines together, mm."""
        return sum(line.length_mm for line in self.lines)

    def polylines(self, tolerance_mm: float = FLAT_MM) -> list[NDArray[np.float64]]:
        """Every line as ``(m, 2)`` float64 points in mm whose chords keep within ``tolerance_mm`` of the curve."""
        if not self.lines:
            return []
        curves, first = self._curves()
        index, t = bezier.steps_of(bezier.pieces_for(curves, tolerance_mm))
        ends = bezier.at(curves[index], t)
        cuts = np.searchsorted(index, first[1:])
        return [
            np.concatenate([line.points[:1], part]) for line, part in zip(self.lines, np.split(ends, cuts), strict=True)
        ]

    def landmark_points(self) -> NDArray[np.float64]:
        """The landmarks ``(n, 2)`` float64, mm."""
        return np.array([(mark.x_mm, mark.y_mm) for mark in self.landmarks], dtype=np.float64).reshape(-1, 2)

    def sampled(self, step_mm: float) -> LineSamples:
        """Places along every line at equal distances of about ``step_mm``, in the middle of each step.

        A line of length L has max(1, round(L / step_mm)) places, L over that number apart, so that neither its ends nor
        a closed line's start are crowded. Raises DrawingError when that would be more than four million places.
        """
        if not (np.isfinite(step_mm) and step_mm > 0):
            raise ValueError("The step must be more than 0 mm.")
        if not self.lines:
            return LineSamples(np.empty((0, 2)), np.empty((0, 2)), np.empty(0, dtype=np.int64))
        curves, first = self._curves()
        index, t_end = bezier.steps_of(bezier.pieces_for(curves, SPACED_MM))
        t_start = np.where(np.r_[True, index[1:] != index[:-1]], 0.0, np.r_[0.0, t_end[:-1]])
        chords = bezier.at(curves[index], t_end) - bezier.at(curves[index], t_start)
        run = np.r_[0.0, np.cumsum(np.linalg.norm(chords, axis=1))]
        begin = run[np.searchsorted(index, first)]
        length = np.r_[begin[1:], run[-1]] - begin
        counts = np.maximum(np.rint(length / step_mm), 1.0)
        if counts.sum() > MOST_SAMPLES:
            raise DrawingError("There is too much line to measure at so small a step: take a larger step.")
        line_index, part = bezier.steps_of(counts.astype(np.int64))
        places = begin[line_index] + (part - 0.5 / counts[line_index]) * length[line_index]
        piece = np.clip(np.searchsorted(run, places, side="right") - 1, 0, len(index) - 1)
        share = (places - run[piece]) / np.maximum(run[piece + 1] - run[piece], 1e-300)
        t = t_start[piece] + np.clip(share, 0.0, 1.0) * (t_end[piece] - t_start[piece])
        on = curves[index[piece]]
        tangents = _unit(bezier.slope(on, t), chords[piece])
        normals = np.stack([-tangents[:, 1], tangents[:, 0]], axis=1)
        return LineSamples(bezier.at(on, t), normals, line_index)

    def _curves(self) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        """All curves ``(n, 4, 2)``, line after line, and the index of each line's first."""
        each = [bezier.curves_of(line.points) for line in self.lines]
        counts = np.array([len(curves) for curves in each])
        return np.concatenate(each), np.cumsum(counts) - counts


def _unit(vectors: NDArray[np.float64], instead: NDArray[np.float64]) -> NDArray[np.float64]:
    """``vectors`` at length 1; where one vanishes (a cusp), the direction ``instead``, failing both, to the right."""
    vectors = np.where(np.linalg.norm(vectors, axis=1, keepdims=True) > 1e-9, vectors, instead)
    length = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(length > 0, vectors / np.maximum(length, 1e-300), np.array([1.0, 0.0]))
