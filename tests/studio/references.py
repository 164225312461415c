"""Real photographs to paint from, carried by scikit-image, cropped to a canvas; and landmarks placed on them."""

from functools import cache

import cv2
import numpy as np
import skimage.data
from numpy.typing import NDArray

from core.colorimetry import decode_srgb
from core.size import Size

NAMES = ("chelsea", "astronaut", "coffee", "rocket")


def pixels(name: str, size: Size, *, width: int | None = None) -> NDArray[np.uint8]:
    """scikit-image's photograph, cropped about its centre to the canvas's shape, encoded sRGB ``(H, W, 3)`` uint8.

    With ``width`` it is enlarged to that many pixels across, as a painter's own 12 MP reference would be.
    """
    picture = _carried(name)
    height, full = picture.shape[:2]
    w = min(full, int(height * size.aspect))
    h = min(height, int(full / size.aspect))
    top, left = (height - h) // 2, (full - w) // 2
    cut = picture[top : top + h, left : left + w]
    if width is None:
        return cut.copy()
    return cv2.resize(cut, (width, round(width / size.aspect)), interpolation=cv2.INTER_CUBIC)


@cache
def _carried(name: str) -> NDArray[np.uint8]:
    return np.ascontiguousarray(getattr(skimage.data, name)()[..., :3])


def linear(encoded: NDArray[np.uint8]) -> NDArray[np.float32]:
    return decode_srgb(np.arange(256) / 255).astype(np.float32)[encoded]


def landmarks(
    encoded: NDArray[np.uint8], size: Size, *, count: int = 24, margin_mm: float = 12.0
) -> NDArray[np.float64]:
    """Points a painter would mark, ``(n, 2)`` mm: the strongest corners of the slightly blurred picture, spread."""
    grey = cv2.GaussianBlur(linear(encoded).mean(axis=2) ** 0.45, (0, 0), encoded.shape[1] / 300)
    scale = np.array([size.width_mm / encoded.shape[1], size.height_mm / encoded.shape[0]])
    mask = np.zeros(grey.shape, np.uint8)
    mx, my = (int(margin_mm / s) for s in scale)
    mask[my:-my, mx:-mx] = 255
    spread = 0.07 * size.width_mm / scale[0]
    found = cv2.goodFeaturesToTrack(
        grey.astype(np.float32), count, 0.01, spread, mask=mask, blockSize=max(3, int(encoded.shape[1] / 100))
    )
    return (np.asarray(found, dtype=np.float64).reshape(-1, 2) + 0.5) * scale
