"""From a frame to the picture on the screen: what is asked for, and what is handed over. For a thread of its own."""

from dataclasses import dataclass
from time import monotonic
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

from app.picture import qimage_from_grey, qimage_from_srgb
from core.errors import CanvasError

if TYPE_CHECKING:
    from core.canvas.following import Followed
    from core.frames.frame import Frame
    from core.live_picture import LiveLook

Codes = NDArray[np.uint8]

GAIN_EVERY_S = 0.5
"""How often the brightness is matched anew: a hand that passes must not make the picture flicker."""


@dataclass(frozen=True)
class Order:
    """``kind``: "colour", "grey" or "steps", with the ``boundaries`` between those, Munsell value. ``squint_mm`` 0 is
    none. ``flat``: laid flat, where the canvas is followed. ``width_px``: of the picture laid flat, at the most.
    ``matched``: as bright as the reference."""

    kind: str = "colour"
    boundaries: tuple[float, ...] = ()
    squint_mm: float = 0.0
    flat: bool = True
    width_px: int = 1280
    matched: bool = False


@dataclass(frozen=True, eq=False)
class Shot:
    """A picture ready to be shown: of the canvas laid flat, or of the whole frame. ``made``: ``time.monotonic()``."""

    image: QImage
    is_flat: bool
    frame: "Frame"
    followed: "Followed | None"
    made: float


class Making(Protocol):
    """What :class:`core.live_picture.LivePicture` does."""

    def flat(
        self, frame: "Frame", corners_px: Any, *, k1: float, width_px: int, look: "LiveLook"
    ) -> Codes:  # pragma: no cover
        ...

    def as_seen(self, frame: "Frame", look: "LiveLook") -> Codes:  # pragma: no cover
        ...


class Maker:
    """Used from one thread. ``gain``: finds how much brighter the picture is to be, from a frame and its place."""

    def __init__(self, picture: Making, gain: "Gain | None" = None) -> None:
        self._picture, self._gain = picture, gain
        self._matched, self._matched_at = 1.0, -GAIN_EVERY_S

    def make(self, frame: "Frame", followed: "Followed | None", order: Order) -> Shot:
        try:
            flat = order.flat and followed is not None
            codes = self._codes(frame, followed if order.flat else None, order, self._look(frame, followed, order))
        except CanvasError:  # corners that cannot be a canvas
            flat, followed = False, None
            codes = self._codes(frame, None, order, self._look(frame, None, order))
        image = qimage_from_grey(codes) if codes.ndim == 2 else qimage_from_srgb(codes)
        return Shot(image, flat, frame, followed, monotonic())

    def _codes(self, frame: "Frame", followed: "Followed | None", order: Order, look: "LiveLook") -> Codes:
        if followed is None:
            return self._picture.as_seen(frame, look)
        width = max(64, min(order.width_px, frame.width))
        return self._picture.flat(frame, followed.corners_px, k1=followed.k1, width_px=width, look=look)

    def _look(self, frame: "Frame", followed: "Followed | None", order: Order) -> "LiveLook":
        from core.live_picture import LiveLook

        gain = self._gain_of(frame, followed) if order.matched else 1.0
        kind: Any = order.kind if order.boundaries or order.kind != "steps" else "grey"
        return LiveLook(kind, order.boundaries, order.squint_mm, gain)

    def _gain_of(self, frame: "Frame", followed: "Followed | None") -> float:
        now = monotonic()
        if followed is not None and self._gain is not None and now - self._matched_at >= GAIN_EVERY_S:
            self._matched, self._matched_at = self._gain(frame, followed), now
        return self._matched


class Gain(Protocol):
    def __call__(self, frame: "Frame", followed: "Followed", /) -> float: ...
