"""Where on the canvas one looks, how closely, and how that lies in one picture's place on the wall.

Lengths are mm on the canvas; while corners are placed, photo pixels take their part.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPolygonF, QTransform

from app.wall.mapping import Mapping, Points

LEAST_OF_FIT = 1 / 8
MOST_PX_PER_PX = 32.0


@dataclass(frozen=True)
class Sight:
    """The point of the canvas in the middle of every hanging, and the screen pixels per mm (device independent)."""

    x_mm: float
    y_mm: float
    zoom: float


@dataclass(frozen=True)
class Reach:
    """How far one can move: the centre stays on the canvas, the zoom between two bounds."""

    width_mm: float
    height_mm: float
    least: float
    most: float

    def hold(self, sight: Sight) -> Sight:
        x, y, zoom = (float(np.nan_to_num(v)) for v in (sight.x_mm, sight.y_mm, sight.zoom))
        return Sight(
            min(max(x, 0.0), self.width_mm),
            min(max(y, 0.0), self.height_mm),
            min(max(zoom, self.least), self.most),
        )


@dataclass(frozen=True, eq=False)
class Placed:
    """One picture as it lies in its viewport now; overlays are painted through this.

    ``is_moving``: the sight is changing, so that what takes long to paint may be shown roughly.
    """

    mapping: Mapping
    sight: Sight
    viewport: QRectF
    device_pixel_ratio: float = 1.0
    is_moving: bool = False

    @property
    def magnification(self) -> float:
        """Screen pixels per picture pixel."""
        return self.sight.zoom / self.mapping.px_per_mm

    @cached_property
    def picture_to_screen(self) -> QTransform:
        centre = self.mapping.to_picture([self.sight.x_mm, self.sight.y_mm])[0]
        middle = self.viewport.center()
        scale = self.magnification
        return QTransform(scale, 0, 0, scale, middle.x() - scale * centre[0], middle.y() - scale * centre[1])

    def points(self, mm: ArrayLike) -> Points:
        """Screen points ``(N, 2)`` of ``(N, 2)`` mm."""
        to_screen = self.picture_to_screen
        return self.mapping.to_picture(mm) * to_screen.m11() + (to_screen.dx(), to_screen.dy())

    def point(self, x_mm: float, y_mm: float) -> QPointF:
        x, y = self.points([x_mm, y_mm])[0]
        return QPointF(float(x), float(y))

    def polygon(self, mm: ArrayLike) -> QPolygonF:
        return QPolygonF([QPointF(x, y) for x, y in self.points(mm).tolist()])

    def mm_at(self, at: QPointF) -> tuple[float, float] | None:
        """The point of the canvas plane under a screen point, or None where that plane is not seen."""
        picture = self.picture_to_screen.inverted()[0].map(at)
        x, y = self.mapping.to_mm([picture.x(), picture.y()])[0]
        return (float(x), float(y)) if np.isfinite(x) and np.isfinite(y) else None

    def screen_px(self, mm: float, x_mm: float, y_mm: float) -> float:
        """The length on the screen of ``mm`` about a point of the canvas."""
        return mm * self.mapping.local_px_per_mm(x_mm, y_mm) * self.magnification

    def panned(self, dx: float, dy: float) -> Sight:
        """The sight after the picture was dragged by this much of the screen."""
        return self._looking_at(self.viewport.center() - QPointF(dx, dy), self.sight.zoom)

    def zoomed(self, factor: float, about: QPointF) -> Sight:
        """The sight after zooming so that what is under ``about`` stays there."""
        middle = self.viewport.center()
        return self._looking_at(about + (middle - about) / factor, self.sight.zoom * factor)

    def _looking_at(self, at: QPointF, zoom: float) -> Sight:
        mm = self.mm_at(at)
        return self.sight if mm is None else Sight(*mm, zoom)


def fit_zoom(mapping: Mapping, width_mm: float, height_mm: float, viewport: QRectF, margin_px: float) -> float:
    """The largest zoom at which the whole canvas lies in the viewport with the margin, looked at in its middle."""
    corners = [(0.0, 0.0), (width_mm, 0.0), (width_mm, height_mm), (0.0, height_mm)]
    middle = mapping.to_picture([width_mm / 2, height_mm / 2])[0]
    reach_mm = np.abs(mapping.to_picture(corners) - middle).max(axis=0) / mapping.px_per_mm
    half = np.array([viewport.width(), viewport.height()]) / 2.0 - margin_px
    return float((np.maximum(half, 1.0) / reach_mm).min())


def centred(width_mm: float, height_mm: float, zoom: float) -> Sight:
    """Looking at the middle of the canvas."""
    return Sight(width_mm / 2, height_mm / 2, zoom)
