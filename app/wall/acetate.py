"""The line drawing as a see-through sheet over a picture."""

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPolygonF

from app import look
from app.wall import marks
from app.wall.mapping import Mapping
from app.wall.sight import Placed
from core.drawing.bezier import flatten
from core.drawing.drawing import Drawing, Line

_RING_PX = 6.0
_NAMES_BELOW = 0.7  # of the canvas's width in sight: from here on the landmarks' names are shown
_FLATTEN_MM = 0.05
_LONGEST_CHORD_MM = 5.0  # under a lens even a straight line bends


@dataclass(frozen=True, eq=False)
class Ink:
    """The lines of one drawing, made into paths once and shared by every acetate that shows it."""

    drawing: Drawing


@dataclass(frozen=True, eq=False)
class Acetate:
    """``strength`` 0-1; ``weight_mm``, where given, is the width of the lines on the canvas, else ``weight_px``."""

    ink: Ink
    strength: float = 1.0
    colour: QColor = field(default_factory=lambda: QColor(look.INK))
    weight_px: float = 2.0
    weight_mm: float | None = None
    landmarks: bool = True

    @classmethod
    def of(cls, drawing: Drawing, **options: Any) -> "Acetate":
        """Of a drawing; change the options later with ``dataclasses.replace``, which keeps the paths."""
        return cls(Ink(drawing), **options)

    def paint(self, painter: QPainter, placed: Placed) -> None:
        if self.strength <= 0.0:
            return
        painter.save()
        painter.setOpacity(min(self.strength, 1.0))
        width = self.weight_px if self.weight_mm is None else max(self.weight_mm * placed.sight.zoom, 1.0)
        seen = placed.picture_to_screen.inverted()[0].mapRect(placed.viewport.adjusted(-width, -width, width, width))
        path = placed.picture_to_screen.map(_within(_paths(self.ink, placed.mapping), seen))
        marks.stroke(painter, path, width, self.colour)
        if self.landmarks:
            self._paint_landmarks(painter, placed)
        painter.restore()

    def _paint_landmarks(self, painter: QPainter, placed: Placed) -> None:
        marked = self.ink.drawing.landmarks
        if not marked:
            return
        room = placed.viewport.adjusted(-20, -20, 20, 20)
        centres = [QPointF(x, y) for x, y in placed.points([(m.x_mm, m.y_mm) for m in marked]).tolist()]
        seen = [(m, at) for m, at in zip(marked, centres, strict=True) if room.contains(at)]
        for _, at in seen:
            marks.ring(painter, at, look.px(_RING_PX), look.px(2.0), self.colour)
        if placed.viewport.width() / placed.sight.zoom < _NAMES_BELOW * self.ink.drawing.size.width_mm:
            self._paint_names(painter, [(m.name, at) for m, at in seen])

    def _paint_names(self, painter: QPainter, named: list[tuple[str, QPointF]]) -> None:
        """As many names as find room: none may cover another name or another landmark."""
        font, radius = look.font("note"), look.px(_RING_PX)
        taken = [QRectF(at.x() - radius, at.y() - radius, 2 * radius, 2 * radius) for _, at in named]
        for name, at in named:
            plate = marks.text_rect(name, font)
            plate.moveTo(at.x() + radius + 4, at.y() - plate.height() / 2)
            if name and not any(plate.intersects(other) for other in taken):
                taken.append(plate)
                marks.plate(painter, plate, name, font)


@dataclass(frozen=True, eq=False)
class _Paths:
    """In picture coordinates: every line with its bounds, and all of them in one."""

    lines: tuple[tuple[QRectF, QPainterPath], ...]
    together: QPainterPath


@lru_cache(maxsize=8)
def _paths(ink: Ink, mapping: Mapping) -> _Paths:
    make = _flat_path if mapping.is_flat else _projected_path
    paths = [make(line, mapping) for line in ink.drawing.lines if len(line.points)]
    together = QPainterPath()
    for path in paths:
        together.addPath(path)
    return _Paths(tuple((path.controlPointRect(), path) for path in paths), together)


def _within(paths: _Paths, seen: QRectF) -> QPainterPath:
    """The lines that can be seen, in one path, so that crossings do not show through at half strength."""
    visible = [path for bounds, path in paths.lines if seen.intersects(bounds.adjusted(-1e-6, -1e-6, 1e-6, 1e-6))]
    if len(visible) == len(paths.lines):
        return paths.together
    found = QPainterPath()
    for path in visible:
        found.addPath(path)
    return found


def _flat_path(line: Line, mapping: Mapping) -> QPainterPath:
    points = (line.points * mapping.px_per_mm).tolist()
    path = QPainterPath(QPointF(*points[0]))
    for i in range(1, len(points) - 2, 3):
        path.cubicTo(*points[i], *points[i + 1], *points[i + 2])
    if line.closed:
        path.closeSubpath()
    return path


def _projected_path(line: Line, mapping: Mapping) -> QPainterPath:
    points = flatten(line.points, _FLATTEN_MM) if len(line.points) > 1 else line.points
    if line.closed:
        points = np.concatenate([points, points[:1]])
    bent = mapping.to_picture(divided(points, _LONGEST_CHORD_MM))
    path = QPainterPath()
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in bent[np.isfinite(bent).all(axis=1)].tolist()]))
    return path


def divided(points: np.ndarray[Any, np.dtype[np.float64]], longest: float) -> np.ndarray[Any, np.dtype[np.float64]]:
    """A polyline ``(N, 2)`` with points put in so that no piece is longer than ``longest``."""
    steps = np.diff(points, axis=0)
    counts = np.maximum(np.ceil(np.linalg.norm(steps, axis=1) / longest), 1).astype(int)
    index = np.repeat(np.arange(len(steps)), counts)
    along = (np.arange(len(index)) - np.repeat(np.cumsum(counts) - counts, counts) + 1) / counts[index]
    return np.asarray(np.concatenate([points[:1], points[index] + along[:, None] * steps[index]]), dtype=np.float64)
