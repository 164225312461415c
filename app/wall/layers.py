"""See-through layers of lines: painted once, shared by hangings, mended where a line changes, moved with the picture.

Thousands of lines take several frames to paint. So while the sight changes, the layers that are there are shown as they
lie now, shifted or scaled; once the sight rests, a sharp one is painted band by band, between events.
"""

import gc
import math
from collections import OrderedDict
from dataclasses import dataclass, replace
from typing import Protocol

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QImage, QPainter, QRegion, QTransform

from app.picture import layer
from app.wall.sight import Placed, Sight

_KEPT = 4  # one for each hanging on a full wall, and one for lines on the tracing page
_WHOLE_PX = 0.02  # a shift this near to whole pixels of the screen is one
_BANDS = 10


class Film(Protocol):
    """What layers show: everything about it but the sight. Equal ones share their layers."""

    def __hash__(self) -> int: ...

    def paint_sharp(self, painter: QPainter, placed: Placed) -> None:
        """Paint all of it, or what meets the painter's clip."""

    def takes_long(self, placed: Placed) -> bool:
        """Whether it takes longer than a frame to paint."""

    def extent(self, placed: Placed) -> QRectF:
        """The part of the screen that it lies in."""

    def changed_from(self, other: "Film", placed: Placed) -> QRegion | None:
        """Where on the screen it differs from ``other``, of which it was made; None when that is not known."""


@dataclass(frozen=True, eq=False)
class _Layer:
    placed: Placed
    image: QImage

    def moved_to(self, placed: Placed) -> QTransform:
        """From where things lie in the layer to where they lie now."""
        return self.placed.picture_to_screen.inverted()[0] * placed.picture_to_screen

    def rect_in(self, placed: Placed) -> QRectF:
        """The part of the screen that it covers now."""
        return self.moved_to(placed).mapRect(self.placed.viewport)


@dataclass(eq=False)
class _Begun:
    """A layer that is painted down to so far."""

    layer: _Layer
    down_to: int = 0


class Layers:
    """For each film the newest layer, and beside it one that shows more of the canvas, where there is one."""

    def __init__(self) -> None:
        self._kept: OrderedDict[Film, list[_Layer]] = OrderedDict()
        self._begun: dict[tuple[Film, Sight], _Begun] = {}

    def draw(self, painter: QPainter, film: Film, placed: Placed) -> None:
        """Lay the film over what is painted: sharp, or roughly while the sight moves and it takes long."""
        found = self._sharp(film, placed)
        if found is None and placed.is_moving and film.takes_long(placed):
            found = self._shifted(film, placed)
            if found is None and self._covers(film, placed):
                self._draw_roughly(painter, self._kept[film], placed)
                return
        if found is None:
            found = self._new(film, placed)
            self._keep(film, found)
        painter.drawImage(placed.viewport.topLeft(), found.image)

    def is_sharp(self, film: Film, placed: Placed) -> bool:
        """Whether nothing is left to be sharpened at this sight."""
        return self._sharp(film, placed) is not None or not film.takes_long(placed)

    def sharpen(self, film: Film, placed: Placed) -> None:
        """Go on with a sharp layer, for about as long as a frame; call until :meth:`is_sharp`."""
        key = (film, placed.sight)
        if key not in self._begun:
            self._begun = {key: _Begun(_blank(placed))}
        begun = self._begun[key]
        room = placed.viewport.toAlignedRect()
        height = math.ceil(room.height() / _BANDS)
        _paint_within(begun.layer.image, QRegion(0, begun.down_to, room.width(), height), film, placed)
        begun.down_to += height
        if begun.down_to >= room.height():
            del self._begun[key]
            self._keep(film, begun.layer)

    def _sharp(self, film: Film, placed: Placed) -> _Layer | None:
        return next((each for each in self._of(film) if each.placed.sight == placed.sight), None)

    def _of(self, film: Film) -> list[_Layer]:
        """Its layers; those of the film that it was made of are mended and become its own."""
        if film not in self._kept:
            for other in reversed(self._kept):
                mended = [(each, film.changed_from(other, each.placed)) for each in self._kept[other]]
                if all(region is not None for _, region in mended):
                    for each, region in mended:
                        assert region is not None
                        _paint_within(each.image, region, film, each.placed)
                    self._kept[film] = self._kept.pop(other)
                    break
            else:
                return []
        self._kept.move_to_end(film)
        return self._kept[film]

    def _new(self, film: Film, placed: Placed) -> _Layer:
        room = placed.viewport
        made = layer(
            room.width(), room.height(), placed.device_pixel_ratio, lambda painter: _paint(painter, film, placed)
        )
        return _Layer(placed, made)

    def _keep(self, film: Film, newest: _Layer) -> None:
        wider = [each for each in self._kept.get(film, []) if each.placed.sight.zoom < newest.placed.sight.zoom]
        wider.sort(key=lambda each: each.placed.sight.zoom)
        self._kept[film] = [newest, *(each for each in wider[:1] if film.takes_long(each.placed))]
        self._kept.move_to_end(film)
        while len(self._kept) > _KEPT:
            self._kept.popitem(last=False)

    def _shifted(self, film: Film, placed: Placed) -> _Layer | None:
        """The newest layer moved by whole pixels, and sharp where it was not seen before; None after a zoom."""
        newest = next(iter(self._of(film)), None)
        if newest is None or newest.placed.sight.zoom != placed.sight.zoom:
            return None
        ratio, move = placed.device_pixel_ratio, newest.moved_to(placed)
        dx, dy = round(move.dx() * ratio), round(move.dy() * ratio)
        if max(abs(dx - move.dx() * ratio), abs(dy - move.dy() * ratio)) > _WHOLE_PX:
            placed = replace(placed, sight=placed.panned(dx / ratio - move.dx(), dy / ratio - move.dy()))
        image = newest.image.copy(QRect(-dx, -dy, newest.image.width(), newest.image.height()))
        image.setDevicePixelRatio(ratio)
        shown = QRectF(dx / ratio, dy / ratio, placed.viewport.width(), placed.viewport.height())
        _paint_within(image, _room(placed) - QRegion(_inner(shown)), film, placed)
        made = _Layer(placed, image)
        self._keep(film, made)
        return made

    def _covers(self, film: Film, placed: Placed) -> bool:
        """Whether all that can be seen of the canvas lies in one of the layers."""
        seen = film.extent(placed) & placed.viewport
        grown = (each.rect_in(placed).adjusted(-1, -1, 1, 1) for each in self._of(film))
        return any(rect.contains(seen) for rect in grown)

    def _draw_roughly(self, painter: QPainter, layers: list[_Layer], placed: Placed) -> None:
        """The newest layer as it lies now, and about it the wider one."""
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        free = _room(placed)
        for each in layers:
            painter.save()
            painter.setClipRegion(free, Qt.ClipOperation.IntersectClip)
            painter.setTransform(each.moved_to(placed), combine=True)
            painter.drawImage(QPointF(0, 0), each.image)
            painter.restore()
            free -= QRegion(each.rect_in(placed).toAlignedRect())
        painter.restore()


def _blank(placed: Placed) -> _Layer:
    room = placed.viewport
    return _Layer(placed, layer(room.width(), room.height(), placed.device_pixel_ratio, lambda painter: None))


def _room(placed: Placed) -> QRegion:
    return QRegion(placed.viewport.toAlignedRect())


def _paint_within(image: QImage, part: QRegion, film: Film, placed: Placed) -> None:
    """Paint a part of a layer anew."""
    part &= _room(placed)
    if part.isEmpty():
        return
    painter = QPainter(image)
    painter.setClipRegion(part)
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_Clear)
    painter.fillRect(placed.viewport, Qt.GlobalColor.transparent)
    painter.setCompositionMode(QPainter.CompositionMode.CompositionMode_SourceOver)
    _paint(painter, film, placed)
    painter.end()


def _paint(painter: QPainter, film: Film, placed: Placed) -> None:
    """The many small objects of the painting are gone at once: made in vain, they would only set off a collection of
    garbage, for which everything waits several frames."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        film.paint_sharp(painter, placed)
    finally:
        if collecting:
            gc.enable()


def _inner(rect: QRectF) -> QRect:
    """The whole screen units that lie wholly in a rectangle."""
    left, top = math.ceil(rect.left()), math.ceil(rect.top())
    return QRect(left, top, math.floor(rect.right()) - left, math.floor(rect.bottom()) - top)
