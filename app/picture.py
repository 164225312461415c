"""Arrays become pictures here, and nowhere else.

Everything in this module is safe in a worker thread: it makes QImages only, never a QPixmap or a widget.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter, QTransform

Bytes = NDArray[np.uint8]

SHARP_FROM = 3.0  # screen pixels per picture pixel from which single pixels are shown as squares
SMALLEST_LEVEL = 256  # the halves stop once both sides are at most this

_SEE_THROUGH = QImage.Format.Format_ARGB32_Premultiplied
_LOW_BITS = np.uint32(0x7F7F7F7F)
_BAND = 64  # rows of the half done at a time, so that they stay in the cache


def qimage_from_srgb(array: Bytes) -> QImage:
    """A 32-bit QImage (Format_RGB32) that owns its pixels, of sRGB codes ``(H, W, 3)`` uint8, red first."""
    if array.ndim != 3 or array.shape[2] != 3:
        raise ValueError(f"expected an array (H, W, 3), got {array.shape}")
    return _owned(array, QImage.Format.Format_RGB888)


def qimage_from_grey(array: Bytes) -> QImage:
    """A 32-bit QImage (Format_RGB32) that owns its pixels, of grey sRGB codes ``(H, W)`` uint8."""
    if array.ndim != 2:
        raise ValueError(f"expected an array (H, W), got {array.shape}")
    return _owned(array, QImage.Format.Format_Grayscale8)


def srgb_of_qimage(image: QImage) -> Bytes:
    """The way back: sRGB codes ``(H, W, 3)`` uint8 of any QImage, a copy."""
    plain = image.convertToFormat(QImage.Format.Format_RGB888)
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), plain.bytesPerLine())
    return rows[:, : 3 * plain.width()].reshape(plain.height(), plain.width(), 3).copy()


def _owned(array: Bytes, layout: QImage.Format) -> QImage:
    if array.dtype != np.uint8:
        raise ValueError(f"expected uint8 codes, got {array.dtype}")
    height, width = array.shape[:2]
    if not (width and height):
        raise ValueError(f"expected at least one pixel, got {array.shape}")
    rows = np.ascontiguousarray(array)
    # The view borrows the array's memory; converting to 32 bits is what makes the owned copy.
    view = QImage(rows.data, width, height, rows.strides[0], layout)
    image = view.convertToFormat(QImage.Format.Format_RGB32)
    if image.isNull():
        raise MemoryError(f"no room for a picture of {width} × {height} pixels")
    return image


def _half(image: QImage) -> QImage:
    """Half the size, rounded up: the mean of every four pixels (of two or one at an odd edge).

    QImage's own scaling cuts fractions off and so darkens by half a code each time. Here all four bytes of a pixel are
    averaged at once, rounded down one way and up the other, which keeps the mean: (a & b) + ((a ^ b) >> 1) is the mean
    rounded down and (a | b) - ((a ^ b) >> 1) the mean rounded up (Dietz, "The Aggregate Magic Algorithms").
    """
    half = QImage(math.ceil(image.width() / 2), math.ceil(image.height() / 2), QImage.Format.Format_RGB32)
    if half.isNull():
        raise MemoryError(f"no room for half of a picture of {image.width()} × {image.height()} pixels")
    pixels = np.frombuffer(image.constBits(), np.uint32).reshape(image.height(), image.width())
    into = np.frombuffer(half.bits(), np.uint32).reshape(half.height(), half.width())
    for first in range(0, half.height(), _BAND):
        band = pixels[2 * first : 2 * (first + _BAND)]
        upper, lower = band[0::2], band[1::2]
        if len(lower) < len(upper):
            lower = np.concatenate([lower, upper[-1:]])
        rows = (upper & lower) + (((upper ^ lower) >> 1) & _LOW_BITS)
        here, beside = rows[:, 0::2], rows[:, 1::2]
        if beside.shape[1] < here.shape[1]:
            beside = np.concatenate([beside, here[:, -1:]], axis=1)
        into[first : first + len(here)] = (here | beside) - (((here ^ beside) >> 1) & _LOW_BITS)
    return half


@dataclass(frozen=True, eq=False)
class Picture:
    """A picture ready to hang: the full size first, then each half of the one before, all Format_RGB32.

    Building takes about 0.1 s at 24 megapixels: do it in a worker, and keep the result.
    Coordinates are picture pixels with the origin at the outer corner of the first pixel (whose centre is 0.5, 0.5).
    """

    levels: tuple[QImage, ...]

    @classmethod
    def from_srgb(cls, array: Bytes) -> "Picture":
        """Of sRGB codes ``(H, W, 3)`` uint8."""
        return cls.from_qimage(qimage_from_srgb(array))

    @classmethod
    def from_grey(cls, array: Bytes) -> "Picture":
        """Of grey sRGB codes ``(H, W)`` uint8."""
        return cls.from_qimage(qimage_from_grey(array))

    @classmethod
    def from_qimage(cls, image: QImage) -> "Picture":
        """Of any QImage; one that is not Format_RGB32 is converted."""
        levels = [image.convertToFormat(QImage.Format.Format_RGB32)]
        while max(levels[-1].width(), levels[-1].height()) > SMALLEST_LEVEL:
            levels.append(_half(levels[-1]))
        return cls(tuple(levels))

    @property
    def image(self) -> QImage:
        """The full size."""
        return self.levels[0]

    @property
    def width(self) -> int:
        return self.levels[0].width()

    @property
    def height(self) -> int:
        return self.levels[0].height()

    def halvings_for(self, magnification: float) -> int:
        """Which level is the smallest with a pixel for every screen pixel at this many screen per picture pixels."""
        halvings = math.floor(math.log2(1.0 / magnification)) if 0.0 < magnification < 1.0 else 0
        return min(halvings, len(self.levels) - 1)

    def paint(
        self, painter: QPainter, to_screen: QTransform, viewport: QRectF, device_pixel_ratio: float = 1.0
    ) -> None:
        """Paint what lies inside ``viewport``; ``to_screen`` scales and shifts picture pixels to screen units.

        Smooth when minified or slightly magnified, square pixels from ``SHARP_FROM`` device pixels each.
        """
        magnification = to_screen.m11() * device_pixel_ratio
        halvings = self.halvings_for(magnification)
        side = 2**halvings  # of a level's pixel, in picture pixels
        seen = to_screen.inverted()[0].mapRect(viewport)
        left, top = (max(math.floor(edge / side) - 2, 0) for edge in (seen.left(), seen.top()))
        right = min(math.ceil(seen.right() / side) + 2, self.width / side)
        bottom = min(math.ceil(seen.bottom() / side) + 2, self.height / side)
        if left >= right or top >= bottom:
            return
        source = QRectF(left, top, right - left, bottom - top)
        target = to_screen.mapRect(QRectF(left * side, top * side, source.width() * side, source.height() * side))
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, magnification < SHARP_FROM)
        painter.drawImage(target, self.levels[halvings], source)
        painter.restore()


def painted(width: int, height: int, device_pixel_ratio: float, paint: Callable[[QPainter], Any]) -> QImage:
    """A QImage of ``width`` × ``height`` screen units with what ``paint`` paints on it; the ground is left as it is."""
    return _painted(width, height, device_pixel_ratio, paint, see_through=False)


def layer(width: float, height: float, device_pixel_ratio: float, paint: Callable[[QPainter], Any]) -> QImage:
    """The same on a see-through ground."""
    return _painted(width, height, device_pixel_ratio, paint, see_through=True)


def _painted(
    width: float, height: float, device_pixel_ratio: float, paint: Callable[[QPainter], Any], *, see_through: bool
) -> QImage:
    across, down = (max(1, math.ceil(side * device_pixel_ratio)) for side in (width, height))
    image = QImage(across, down, _SEE_THROUGH if see_through else QImage.Format.Format_RGB32)
    if see_through:
        image.fill(0)
    image.setDevicePixelRatio(device_pixel_ratio)
    painter = QPainter(image)
    try:
        paint(painter)
    finally:
        painter.end()
    return image
