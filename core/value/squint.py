"""Squinting: a blur that merges small shapes, done in linear light as the eye's own blur is."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.tone import luminance_of_values, value_of_luminance

Map = NDArray[np.float32]
_FEWEST_PX = 6.0
"""A blur of more pixels than twice this is made on a reduced picture: nothing finer is left to show."""


def squint(picture: NDArray[Any], sigma_mm: float, px_per_mm: float) -> Map:
    """Blur by a Gaussian of ``sigma_mm`` on the canvas.

    ``picture``: linear light ``(H, W, 3)``, or Munsell value ``(H, W)``, which is blurred as luminance and given
    back as value. Averages are of light: a fine mixture of black and white reads as the grey it looks from afar.
    The answer has the same shape, float32; ``sigma_mm`` 0 gives a copy. ValueError below 0 or for other shapes.
    """
    if sigma_mm < 0 or px_per_mm <= 0:
        raise ValueError(f"squint by 0 mm or more, at more than 0 px/mm; got {sigma_mm} mm at {px_per_mm} px/mm")
    given = np.asarray(picture, dtype=np.float32)
    if given.ndim == 2:
        if sigma_mm == 0:
            return given.copy()
        return value_of_luminance(_blur(luminance_of_values(given), sigma_mm * px_per_mm))
    if given.ndim != 3 or given.shape[2] != 3:
        raise ValueError(f"expected linear light (H, W, 3) or value (H, W), got shape {given.shape}")
    return given.copy() if sigma_mm == 0 else _blur(given, sigma_mm * px_per_mm)


def _blur(picture: Map, sigma_px: float) -> Map:
    """A Gaussian with mirrored borders; wide ones on a reduced picture, which is far quicker and looks the same."""
    factor = int(sigma_px // _FEWEST_PX)
    if factor < 2:
        return np.asarray(cv2.GaussianBlur(picture, (0, 0), sigma_px, borderType=cv2.BORDER_REFLECT), dtype=np.float32)
    height, width = picture.shape[:2]
    small = cv2.resize(
        picture, (max(1, round(width / factor)), max(1, round(height / factor))), interpolation=cv2.INTER_AREA
    )
    left = np.sqrt(max(sigma_px**2 - factor**2 / 6, 1.0)) / factor
    blurred = cv2.GaussianBlur(small, (0, 0), left, borderType=cv2.BORDER_REFLECT)
    return np.asarray(cv2.resize(blurred, (width, height), interpolation=cv2.INTER_LINEAR), dtype=np.float32)
