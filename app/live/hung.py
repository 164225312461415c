"""From a shot to what hangs: where the canvas lies in it, and the drawing over it.

As the camera sees it, the frame stays where it is on the screen and the lines follow the canvas: the frame hangs by one
mapping, the anchor, which is taken anew only when the canvas has gone elsewhere; the lines are painted through the
newest. Where the canvas lies still to within ``STILL_PX``, the mapping before is taken again: lines then neither
tremble nor need painting anew. While it moves they are painted plainly (:mod:`app.live.lines`).
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QPainter

from app.live.lines import paint_plainly
from app.live.making import Shot
from app.live.meter import Meter
from app.picture import Picture
from app.wall.acetate import Acetate
from app.wall.hanging import Hanging, Overlay
from app.wall.mapping import Mapping
from app.wall.sight import Placed, Sight
from core.canvas.canvas_map import CanvasMap
from core.errors import CanvasError
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.following import Followed

STILL_PX = 0.4
"""Of the frame: less than this no screen shows."""
STANDS_AFTER = 5
"""Frames in the same place, before the lines are painted with all care."""
ELSEWHERE = 0.05
"""Of the frame's width: farther than this, the picture is centred anew."""

Corners = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SeenAcetate(Acetate):
    """The drawing over a frame that hangs by another mapping than the one that tells where the canvas lies now."""

    seen: Mapping | None = None
    moving: bool = False

    @classmethod
    def through(cls, acetate: Acetate, seen: Mapping, *, moving: bool) -> "SeenAcetate":
        parts = (acetate.strength, acetate.colour, acetate.weight_px, acetate.weight_mm, acetate.landmarks)
        return cls(acetate.ink, *parts, seen, moving)

    def paint(self, painter: QPainter, placed: Placed) -> None:
        there = self._there(placed)
        if self.moving:
            paint_plainly(painter, self, there)
        else:
            super().paint(painter, there)

    def is_sharp(self, placed: Placed) -> bool:
        return super().is_sharp(self._there(placed))

    def sharpen(self, placed: Placed) -> None:
        super().sharpen(self._there(placed))

    def _there(self, placed: Placed) -> Placed:
        """The same pixels of the frame at the same places of the screen, with the canvas where it is now."""
        if self.seen is None:
            return placed
        middle = placed.mapping.to_picture([placed.sight.x_mm, placed.sight.y_mm])
        x_mm, y_mm = self.seen.to_mm(middle)[0].tolist()
        if not (np.isfinite(x_mm) and np.isfinite(y_mm)):
            return placed
        return replace(placed, mapping=self.seen, sight=Sight(x_mm, y_mm, placed.magnification * self.seen.px_per_mm))


@dataclass(frozen=True, eq=False)
class Stamp:
    """Laid over a picture, it tells when that has been painted, once all that waited for the painting is done."""

    taken: float
    meter: Meter
    teller: QObject

    def paint(self, painter: QPainter, placed: Placed) -> None:
        QTimer.singleShot(0, self.teller, self._tell)

    def _tell(self) -> None:
        self.meter.painted(self.taken)


@dataclass(eq=False)
class _Where:
    """A place of the canvas in frames of one size, with its mapping."""

    corners: Corners
    shape: tuple[int, int, float]
    mapping: Mapping

    def is_near(self, corners: Corners, shape: tuple[int, int, float], px: float) -> bool:
        return shape == self.shape and float(np.abs(corners - self.corners).max()) <= px


class Hanger:
    """Knows where the canvas lay before."""

    def __init__(self, size: Size) -> None:
        self._size = size
        self._flat: dict[int, Mapping] = {}
        self._unplaced: dict[tuple[int, int], Mapping] = {}
        self._still: _Where | None = None
        self._anchor: _Where | None = None
        self._stood = 0  # frames in which the canvas has not moved

    def forget(self) -> None:
        """The camera was changed."""
        self._still = self._anchor = None

    def hanging(self, shot: Shot, title: str, acetate: Acetate | None, over: Overlay | None = None) -> Hanging:
        """``acetate``: None where it is not wanted. ``over``: laid over all."""
        mapping, lines = self._lie(shot, acetate)
        overlays = tuple(each for each in (lines, over) if each is not None)
        placed = shot.is_flat or lines is not None
        return Hanging(title, Picture((shot.image,)), mapping, overlays, is_measured=placed, of_canvas=True)

    def _lie(self, shot: Shot, acetate: Acetate | None) -> tuple[Mapping, Acetate | None]:
        width, height = shot.image.width(), shot.image.height()
        if shot.is_flat:
            if width not in self._flat:
                self._flat = {width: Mapping.flat(width / self._size.width_mm)}
            return self._flat[width], acetate
        now = None if shot.followed is None else self._seen(shot.followed, width, height)
        if now is None:
            anchor = self._anchor
            held = anchor is not None and anchor.shape[:2] == (width, height)
            return anchor.mapping if anchor is not None and held else self._spread(width, height), None
        if self._anchor is None or not self._anchor.is_near(now.corners, now.shape, ELSEWHERE * width):
            self._anchor = now
        moving = self._stood < STANDS_AFTER
        lines = None if acetate is None else SeenAcetate.through(acetate, now.mapping, moving=moving)
        return self._anchor.mapping, lines

    def _seen(self, followed: "Followed", width: int, height: int) -> _Where | None:
        """Where the canvas lies in a frame; None for corners that cannot be a canvas."""
        shape = (width, height, followed.k1)
        corners = np.asarray(followed.corners_px, dtype=np.float64)
        if self._still is None or not self._still.is_near(corners, shape, STILL_PX):
            try:
                found = CanvasMap(corners, self._size, width, height, followed.k1)
                mapping = Mapping.as_shot(found.matrix, self._size, lens_k1=followed.k1, photo_size=(width, height))
            except (CanvasError, ValueError):
                return None
            self._still, self._stood = _Where(corners, shape, mapping), -1
        self._stood += 1
        return self._still

    def _spread(self, width: int, height: int) -> Mapping:
        """As if the canvas filled the middle of the frame, so that all of the frame is shown."""
        if (width, height) not in self._unplaced:
            scale = max(width / self._size.width_mm, height / self._size.height_mm)
            left, top = (width - scale * self._size.width_mm) / 2, (height - scale * self._size.height_mm) / 2
            matrix = np.array([[scale, 0, left - 0.5], [0, scale, top - 0.5], [0, 0, 1.0]])
            self._unplaced = {(width, height): Mapping.as_shot(matrix, self._size)}
        return self._unplaced[width, height]
