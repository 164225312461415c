"""A picture of values seen at one scale: smoothed so far, and on no more pixels than that needs."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Map = NDArray[np.float32]
Floats = NDArray[np.float64]

_MOST_PX = 4.0
"""A picture smoothed by more than this many pixels is halved: it holds nothing that half as many do not."""
_BEFORE_HALVING_PX = 0.9
_BEFORE, _COARSE_MM = 1 / 3, 2.0
_LEAST_LEFT = 0.1
_REMAP_LONGEST = 1024
_REMAP_ROWS = 16_000


@dataclass(frozen=True, eq=False)
class Scaled:
    """``value`` ``(h, w)`` float32 smoothed by a Gaussian of ``sigma_mm``, at ``px_per_mm``; the canvas's top left
    corner is that of its first pixel."""

    value: Map
    px_per_mm: float
    sigma_mm: float

    def at(self, x_mm: Floats, y_mm: Floats) -> Map:
        """Values between the pixels, at places in mm on the canvas, in arrays of any one shape."""
        return sampled(self.value, x_mm * self.px_per_mm - 0.5, y_mm * self.px_per_mm - 0.5)


def at_scale(value: Map, px_per_mm: float, sigma_mm: float) -> Scaled:
    """``value`` ``(H, W)`` at ``px_per_mm``, smoothed by ``sigma_mm``."""
    picture, density, done = np.asarray(value, dtype=np.float32), px_per_mm, 0.0
    while sigma_mm * density > _MOST_PX:
        even = [(0, side % 2) for side in picture.shape]
        smoothed = cv2.GaussianBlur(np.pad(picture, even, mode="edge"), (0, 0), _BEFORE_HALVING_PX)
        picture = np.asarray(cv2.resize(smoothed, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA))
        # The mean of two pixels is as wide as a Gaussian of half a pixel.
        done += (_BEFORE_HALVING_PX**2 + 0.25) / density**2
        density /= 2
    rest = np.sqrt(max(sigma_mm**2 - done, 0.0)) * density
    if rest > 0.1:
        picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), rest, borderType=cv2.BORDER_REFLECT))
    return Scaled(picture, density, sigma_mm)


def profile_ground(value: Map, px_per_mm: float, scale_mm: float) -> tuple[Scaled, float]:
    """What profiles across edges of this scale are taken from, and the sigma in mm by which it is smoothed: of wide
    edges fine texture tells nothing."""
    before = _BEFORE * scale_mm if scale_mm >= _COARSE_MM else 0.0
    return at_scale(value, px_per_mm, before), before


def without_blur(sigma_mm: Floats, *blurs_mm: float | Floats) -> Floats:
    """The sigma without blurs that came on top of it; no less than a tenth of what was measured."""
    left = sigma_mm**2 - sum(np.square(blur) for blur in blurs_mm)
    return np.asarray(np.sqrt(np.maximum(left, (_LEAST_LEFT * sigma_mm) ** 2)))


def sampled(picture: Map, column: Floats, row: Floats) -> Map:
    """A picture ``(h, w)`` between its pixels; ``column``, ``row``: pixels, in arrays of any one shape."""
    count = column.size
    rows = -(-count // _REMAP_LONGEST)
    flat = np.zeros((2, rows * _REMAP_LONGEST), np.float32)
    flat[0, :count], flat[1, :count] = column.ravel(), row.ravel()
    across, down = flat.reshape(2, rows, _REMAP_LONGEST)
    parts = [slice(first, first + _REMAP_ROWS) for first in range(0, rows, _REMAP_ROWS)]
    found = [
        cv2.remap(picture, across[part], down[part], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
        for part in parts  # remap takes no more than 32,767 rows
    ]
    values = np.concatenate([part.ravel() for part in found]) if found else np.zeros(0, np.float32)
    return np.asarray(values[:count].reshape(column.shape), dtype=np.float32)
