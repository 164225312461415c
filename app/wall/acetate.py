"""The line drawing as a see-through sheet over a picture."""

import math
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from app import look
from app.picture import layer
from app.wall import marks
from app.wall.mapping import Mapping, Points
from app.wall.sight import Placed, Sight
from app.wall.trace import LONGEST_CHORD_MM, Trace, trace_of
from core.drawing import bezier
from core.drawing.drawing import Drawing, Line

_RING_PX = 6.0
_NAMES_BELOW = 0.7  # of the canvas's width in sight: from here on the landmarks' names are shown
_TOLERANCE_PX = 0.4  # how far the chords that are painted may leave the curve
_LAYERS_KEPT = 3  # one for each hanging on a full wall
_ANY_FLAT = Mapping.flat(10.0)  # pictures laid flat differ in px per mm, but their acetates lie on the screen alike


@dataclass(frozen=True, eq=False)
class Ink:
    """One drawing, whose paths are made once for each zoom and shared by every acetate that shows it."""

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
        """By way of a layer, so that at less than full strength crossings do not show through."""
        if self.strength > 0.0:
            room = placed.viewport
            flat = placed.mapping.is_flat
            shown = _Shown(
                self.ink, self.colour.rgba(), self.weight_px, self.weight_mm, self.landmarks, look.scale(),
                _ANY_FLAT if flat else placed.mapping, placed.sight, (room.width(), room.height()),
                placed.device_pixel_ratio,
            )  # fmt: skip
            painter.setOpacity(min(self.strength, 1.0))
            painter.drawImage(room.topLeft(), _layer(shown))

    def paint_lines(self, painter: QPainter, placed: Placed) -> None:
        """At full strength, straight onto the painter's own ground."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        width = look.px(self.weight_px) if self.weight_mm is None else max(self.weight_mm * placed.sight.zoom, 1.0)
        half_octaves = math.ceil(2.0 * math.log2(placed.magnification * placed.device_pixel_ratio))
        marks.stroke_trace(painter, _trace(self.ink, placed.mapping, half_octaves), placed, width, self.colour)
        if self.landmarks:
            self._paint_landmarks(painter, placed)

    def _paint_landmarks(self, painter: QPainter, placed: Placed) -> None:
        marked = self.ink.drawing.landmarks
        if not marked:
            return
        room = placed.viewport.adjusted(-20, -20, 20, 20)
        centres = [QPointF(x, y) for x, y in placed.points([(m.x_mm, m.y_mm) for m in marked]).tolist()]
        seen = [(m, at) for m, at in zip(marked, centres, strict=True) if room.contains(at)]
        marks.small_rings(painter, [at for _, at in seen], look.px(_RING_PX), look.px(2.0), self.colour)
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


@dataclass(frozen=True)
class _Shown:
    """All that a layer of lines depends on: hangings side by side for which it is the same share one layer."""

    ink: Ink
    rgba: int
    weight_px: float
    weight_mm: float | None
    landmarks: bool
    scale: float
    mapping: Mapping
    sight: Sight
    room: tuple[float, float]
    device_pixel_ratio: float


@lru_cache(maxsize=_LAYERS_KEPT)
def _layer(shown: _Shown) -> QImage:
    lines = Acetate(
        shown.ink, 1.0, QColor.fromRgba(shown.rgba), shown.weight_px, shown.weight_mm, landmarks=shown.landmarks
    )
    placed = Placed(shown.mapping, shown.sight, QRectF(0, 0, *shown.room), shown.device_pixel_ratio)
    return layer(*shown.room, shown.device_pixel_ratio, lambda painter: lines.paint_lines(painter, placed))


@lru_cache(maxsize=24)
def _trace(ink: Ink, mapping: Mapping, half_octaves: int) -> Trace:
    """The lines in chords fine enough for up to 2 ** (``half_octaves`` / 2) screen pixels per picture pixel."""
    chains = [curves for curves in map(_curves, ink.drawing.lines) if len(curves)]
    if not chains:
        return trace_of([], [], mapping)
    curves = np.concatenate(chains)
    pieces = bezier.pieces_for(curves, _TOLERANCE_PX / (2.0 ** (half_octaves / 2) * mapping.px_per_mm))
    if not mapping.is_flat:
        pieces = np.maximum(pieces, _pieces_for_lens(curves))
    index, t = bezier.steps_of(pieces)
    ends = bezier.at(curves[index], t)
    first = np.cumsum(pieces) - pieces
    starts = np.roll(ends, 1, axis=0)
    starts[first] = curves[:, 0]
    counts = np.add.reduceat(pieces, np.cumsum([0, *map(len, chains[:-1])]))
    cuts = np.cumsum(counts)[:-1]
    return trace_of(np.split(starts, cuts), np.split(ends, cuts), mapping)


def _pieces_for_lens(curves: Points) -> np.ndarray[Any, np.dtype[np.int64]]:
    """How many pieces keep every chord of curves ``(n, 4, 2)`` short enough to be bent by a lens."""
    lengths = np.linalg.norm(np.diff(curves, axis=1), axis=2).sum(axis=1)
    return np.asarray(np.ceil(lengths / LONGEST_CHORD_MM), dtype=np.int64)


def _curves(line: Line) -> Points:
    curves = bezier.curves_of(line.points)
    if line.closed and len(curves) and not np.allclose(line.points[0], line.points[-1]):
        first, last = line.points[0], line.points[-1]
        closing = last + (first - last) * np.array([[0.0], [1 / 3], [2 / 3], [1.0]])
        curves = np.concatenate([curves, closing[None]])
    return curves
