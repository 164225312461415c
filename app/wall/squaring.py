"""The squaring grid over a picture: light rim and dark line, and the names of columns and rows along the edges."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QImage, QPainter

from app import look
from app.picture import layer
from app.wall import marks
from app.wall.mapping import Mapping
from app.wall.sight import Placed, Sight
from app.wall.trace import Trace, divided, trace_of
from core.drawing.squaring import Grid, Kind

# From the lightest to the heaviest, which lie over them.
_WIDTHS: tuple[tuple[float, tuple[Kind, ...]], ...] = (
    (1.0, (Kind.CELL_DIAGONAL, Kind.DIAGONAL)),
    (1.5, (Kind.CELL,)),
    (3.0, (Kind.THIRD, Kind.HALF, Kind.BORDER)),
)
_AWAY_PX = 4.0
_PAD_PX = 4.0
_CHORD_MM = 25.0
_OUTWARD = np.array([-1, -1, 2, 2])  # what a bar grows by: left, top, width and height
_PLACES = 33  # tried along a column or row for where its name is first in sight


@dataclass(frozen=True, eq=False)
class SquaringGrid:
    """Lies over every hanging alike; on a photo as shot it bends with the canvas."""

    grid: Grid

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if placed.mapping.is_flat:
            room = placed.viewport
            view = (placed.sight, (room.width(), room.height()), placed.device_pixel_ratio, look.scale())
            painter.drawImage(room.topLeft(), _layer(self.grid, *view))
            return
        for weight, (width, _) in enumerate(_weights(self.grid)):
            marks.stroke_trace(painter, _trace(self.grid, weight, placed.mapping), placed, look.px(width))
        self._paint_labels(painter, placed)

    def paint_flat(self, painter: QPainter, placed: Placed) -> None:
        """Over a picture laid flat, straight onto the painter's own ground."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for width, segments in _weights(self.grid):
            stroke_segments(painter, placed, segments, look.px(width))
        self._paint_labels(painter, placed)

    def _paint_labels(self, painter: QPainter, placed: Placed) -> None:
        """At the edges of the canvas, or of the part of it that is seen; as many as find room."""
        labels = self.grid.labels
        if not labels:
            return
        wide, high = _plate_size(self.grid, look.scale())
        room = placed.viewport.adjusted(0, 0, -wide / 2, -high / 2)
        starts = first_seen(placed.points(_courses(self.grid).reshape(-1, 2)).reshape(-1, _PLACES, 2), room)
        ratio = placed.device_pixel_ratio
        last: dict[bool, QRectF] = {}
        corner: QRectF | None = None
        for label, (x, y) in zip(labels, starts.tolist(), strict=True):
            if math.isnan(x):
                continue
            plate = QRectF(x - wide / 2, y + _AWAY_PX, wide, high)
            if not label.names_column:
                plate.moveTo(x + _AWAY_PX, y - high / 2)
            near = (last.get(label.names_column), corner)
            if not any(other is not None and plate.intersects(other) for other in near):
                last[label.names_column] = plate
                corner = corner or plate  # the first column, which the first rows could cover
                at = QPointF(round(plate.x() * ratio) / ratio, round(plate.y() * ratio) / ratio)
                painter.drawImage(at, _plate(label.text, wide, high, ratio, look.scale()))


@lru_cache(maxsize=2)
def _layer(grid: Grid, sight: Sight, room: tuple[float, float], ratio: float, scale: float) -> QImage:
    """Over all pictures laid flat the grid lies alike, so it is painted once; ``scale``, as in :func:`_plate`."""
    placed = Placed(Mapping.flat(1.0), sight, QRectF(0, 0, *room), ratio)
    return layer(*room, ratio, lambda painter: SquaringGrid(grid).paint_flat(painter, placed))


@lru_cache(maxsize=4)
def _plate_size(grid: Grid, scale: float) -> tuple[float, float]:
    """Width and height of a label, as much as the longest needs; ``scale``, as in :func:`_plate`."""
    measured = QFontMetricsF(look.font("note"))
    longest = max(measured.horizontalAdvance(label.text) for label in grid.labels)
    return longest + 2 * _PAD_PX, measured.height() + _PAD_PX


@lru_cache(maxsize=256)
def _plate(text: str, wide: float, high: float, ratio: float, scale: float) -> QImage:
    """A label as a picture, so that it is written only once; ``scale``, that of the type, tells its sizes apart."""

    def paint(painter: QPainter) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        marks.plate(painter, QRectF(0, 0, wide, high), text, look.font("note"))

    return layer(wide, high, ratio, paint)


def first_seen(courses: NDArray[np.float64], room: QRectF) -> NDArray[np.float64]:
    """Where each of ``(n, m, 2)`` courses on the screen first comes into a room: ``(n, 2)``, NaN where it does not."""
    low, high = np.array([room.left(), room.top()]), np.array([room.right(), room.bottom()])
    seen: NDArray[np.bool_] = np.all((courses >= low) & (courses <= high), axis=2)
    first = seen.argmax(axis=1)
    each = np.arange(len(courses))
    at = courses[each, first]
    back = courses[each, np.maximum(first - 1, 0)] - at
    back = np.where(np.isfinite(back), back, 0.0)
    to_edge = np.where(back < 0, low - at, high - at) / np.where(back == 0, 1.0, back)
    share = np.where(back == 0, 1.0, to_edge).min(axis=1).clip(max=1.0)
    there = np.asarray(seen.any(axis=1)).reshape(-1, 1)
    return np.asarray(np.where(there, at + share[:, None] * back, np.nan), dtype=np.float64)


@lru_cache(maxsize=4)
def _courses(grid: Grid) -> NDArray[np.float64]:
    """Down the middle of every column, and along that of every row: ``(n, m, 2)`` mm."""
    along = np.linspace(0.0, 1.0, _PLACES)[None, :, None]
    starts = np.array([(label.x_mm, label.y_mm) for label in grid.labels])[:, None, :]
    size = np.array([grid.size.width_mm, grid.size.height_mm])
    way = np.array([(0.0, 1.0) if label.names_column else (1.0, 0.0) for label in grid.labels])[:, None, :]
    return np.asarray(starts + along * way * size, dtype=np.float64)


@lru_cache(maxsize=4)
def _weights(grid: Grid) -> tuple[tuple[float, NDArray[np.float64]], ...]:
    """The segments that are drawn in each width, the lightest first."""
    return tuple((width, grid.of(*kinds)) for width, kinds in _WIDTHS)


@lru_cache(maxsize=24)
def _trace(grid: Grid, weight: int, mapping: Mapping) -> Trace:
    return trace_of_segments(_weights(grid)[weight][1], mapping)


def stroke_segments(painter: QPainter, placed: Placed, segments: NDArray[np.float64], width_px: float) -> None:
    """Straight lines ``(n, 4)`` of the canvas, from x, y to x, y in mm: all of their rim, then all of themselves.

    In a picture laid flat, upright and level ones are set onto whole pixels of the screen: crisp, and quicker to paint.
    """
    if not placed.mapping.is_flat:
        marks.stroke_trace(painter, trace_of_segments(segments, placed.mapping), placed, width_px)
        return
    ends = placed.points(segments.reshape(-1, 2)).reshape(-1, 4)
    square = (segments[:, 0] == segments[:, 2]) | (segments[:, 1] == segments[:, 3])
    ratio = placed.device_pixel_ratio
    width, rim = max(1, round(width_px * ratio)), max(1, round(look.px(marks.RIM_PX) * ratio))
    bars = _bars(ends[square] * ratio, width)
    slanting = [QLineF(*each) for each in ends[~square].tolist()]
    for ink, wider in ((look.PAPER, rim), (look.INK, 0)):
        if len(bars):
            grown = (bars + wider * _OUTWARD) / ratio
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(ink)
            painter.drawRects([QRectF(*bar) for bar in grown.tolist()])
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if slanting:
            painter.setPen(marks.pen(ink, (width + 2 * wider) / ratio, Qt.PenCapStyle.SquareCap))
            painter.drawLines(slanting)


def _bars(ends: NDArray[np.float64], width: int) -> NDArray[np.float64]:
    """Upright and level lines ``(n, 4)`` as left, top, width and height of bars of whole pixels."""
    low, high = np.minimum(ends[:, :2], ends[:, 2:]), np.maximum(ends[:, :2], ends[:, 2:])
    begin = np.rint(low - width / 2)
    return np.asarray(np.hstack([begin, np.rint(high - width / 2) - begin + width]), dtype=np.float64)


def trace_of_segments(segments: NDArray[np.float64], mapping: Mapping) -> Trace:
    """Straight lines ``(n, 4)`` of the canvas, from x, y to x, y in mm, as they lie in a picture.

    In as few pieces as the lens allows, since every joint shows a little: with k1 = -0.14 an edge of 400 mm is bowed by
    10 mm, and so a piece of ``_CHORD_MM`` of it by 0.04 mm.
    """
    courses = [segment.reshape(2, 2) for segment in segments]
    if mapping.lens is not None:
        courses = [divided(course, _CHORD_MM) for course in courses]
    return trace_of([course[:-1] for course in courses], [course[1:] for course in courses], mapping)
