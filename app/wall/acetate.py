"""The line drawing as a see-through sheet over a picture."""

import weakref
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QRegion

from app import look
from app.wall import marks
from app.wall.layers import Film, Layers
from app.wall.line_work import LineWork, laid_alike, reach_px
from app.wall.mapping import Mapping
from app.wall.sight import Placed
from core.drawing.drawing import Drawing

_RING_PX = 6.0
_NAMES_BELOW = 0.7  # of the canvas's width in sight: from here on the landmarks' names are shown
_MOST_RECTS = 60  # of a region that is painted anew; one of more is slower than all that lies between

_layers = Layers()


class Ink:
    """One drawing, with what its painting needs; shared by every acetate that shows it."""

    def __init__(self, drawing: Drawing) -> None:
        self.drawing = drawing
        self._before: weakref.ref[Ink] | None = None
        self._work_before: LineWork | None = None

    def after(self, drawing: Drawing) -> "Ink":
        """Of the drawing that this one has become: what is the same in both is not worked out again."""
        made = Ink(drawing)
        made._before = weakref.ref(self)
        made._work_before = self.__dict__.get("work", self._work_before)
        return made

    @cached_property
    def work(self) -> LineWork:
        before, self._work_before = self._work_before, None
        return LineWork(self.drawing.lines, before)

    def was(self, other: "Ink") -> bool:
        """Whether this is what the other has become."""
        return self._before is not None and self._before() is other


@dataclass(frozen=True, eq=False)
class Acetate:
    """``strength`` 0-1; ``weight_mm``, where given, is the width of contours on the canvas, else ``weight_px``. Other
    kinds of line are as much lighter as their pens: see :mod:`app.wall.kinds`."""

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
            painter.setOpacity(min(self.strength, 1.0))
            _layers.draw(painter, self._film(placed), laid_alike(placed))

    def is_sharp(self, placed: Placed) -> bool:
        """Whether it is as it should be at this sight, or is not seen."""
        return self.strength <= 0.0 or _layers.is_sharp(self._film(placed), laid_alike(placed))

    def sharpen(self, placed: Placed) -> None:
        """Bring it nearer to that, for about as long as a frame."""
        _layers.sharpen(self._film(placed), laid_alike(placed))

    def _film(self, placed: Placed) -> "_Film":
        room, mapping = placed.viewport, laid_alike(placed).mapping
        return _Film(
            self.ink, self.colour.rgba(), self.weight_px, self.weight_mm, self.landmarks, look.scale(), mapping,
            (room.width(), room.height()), placed.device_pixel_ratio,
        )  # fmt: skip


@dataclass(frozen=True)
class _Film:
    """All that layers depend on but the sight: hangings side by side for which it is the same share them."""

    ink: Ink
    rgba: int
    weight_px: float
    weight_mm: float | None
    landmarks: bool
    scale: float
    mapping: Mapping
    room: tuple[float, float]
    device_pixel_ratio: float

    def paint_sharp(self, painter: QPainter, placed: Placed) -> None:
        colour = QColor.fromRgba(self.rgba)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.ink.work.stroke(painter, placed, colour, self._contour_px(placed))
        if self.landmarks:
            _paint_landmarks(painter, placed, self.ink.drawing, colour)

    def takes_long(self, placed: Placed) -> bool:
        return self.ink.work.takes_long(placed)

    def extent(self, placed: Placed) -> QRectF:
        size = self.ink.drawing.size
        corners = [(0.0, 0.0), (size.width_mm, 0.0), (size.width_mm, size.height_mm), (0.0, size.height_mm)]
        return placed.polygon(corners).boundingRect()

    def changed_from(self, other: Film, placed: Placed) -> QRegion | None:
        if not isinstance(other, _Film) or not self.ink.was(other.ink) or not placed.mapping.is_flat:
            return None
        if self._style != other._style or (
            self.landmarks and self.ink.drawing.landmarks != other.ink.drawing.landmarks
        ):
            return None
        return changed_region(self.ink, other.ink, placed, self._contour_px(placed))

    @property
    def _style(self) -> tuple[object, ...]:
        return (
            self.rgba, self.weight_px, self.weight_mm, self.landmarks, self.scale, self.mapping, self.room,
            self.device_pixel_ratio,
        )  # fmt: skip

    def _contour_px(self, placed: Placed) -> float:
        if self.weight_mm is None:
            return look.px(self.weight_px)
        return max(self.weight_mm * placed.sight.zoom, 1.0)


def changed_region(ink: Ink, before: Ink, placed: Placed, contour_px: float) -> QRegion:
    """The part of the screen, of a picture laid flat, where the lines differ; empty where they do not."""
    low, high = ink.work.changed_since(before.work)
    reach = reach_px(contour_px)
    region = QRegion()
    for left, top, right, bottom in np.hstack([placed.points(low) - reach, placed.points(high) + reach]).tolist():
        region |= QRectF(left, top, right - left, bottom - top).toAlignedRect()
    return region if region.rectCount() <= _MOST_RECTS else QRegion(region.boundingRect())


def _paint_landmarks(painter: QPainter, placed: Placed, drawing: Drawing, colour: QColor) -> None:
    marked = drawing.landmarks
    if not marked:
        return
    room = placed.viewport.adjusted(-20, -20, 20, 20)
    centres = [QPointF(x, y) for x, y in placed.points([(m.x_mm, m.y_mm) for m in marked]).tolist()]
    seen = [(m, at) for m, at in zip(marked, centres, strict=True) if room.contains(at)]
    marks.small_rings(painter, [at for _, at in seen], look.px(_RING_PX), look.px(2.0), colour)
    if placed.viewport.width() / placed.sight.zoom < _NAMES_BELOW * drawing.size.width_mm:
        _paint_names(painter, [(m.name, at) for m, at in seen])


def _paint_names(painter: QPainter, named: list[tuple[str, QPointF]]) -> None:
    """As many names as find room: none may cover another name or another landmark."""
    font, radius = look.font("note"), look.px(_RING_PX)
    taken = [QRectF(at.x() - radius, at.y() - radius, 2 * radius, 2 * radius) for _, at in named]
    for name, at in named:
        plate = marks.text_rect(name, font)
        plate.moveTo(at.x() + radius + 4, at.y() - plate.height() / 2)
        if name and not any(plate.intersects(other) for other in taken):
            taken.append(plate)
            marks.plate(painter, plate, name, font)
