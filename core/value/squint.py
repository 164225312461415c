"""Squinting: a blur that merges small shapes, done in linear light as the eye's own blur is."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import luminance_of_value, munsell_value

Map = NDArray[np.float32]
_KNOTS = 4096
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
        return value_of_luminance(_blur(luminance_of_value_map(given), sigma_mm * px_per_mm))
    if given.ndim != 3 or given.shape[2] != 3:
        raise ValueError(f"expected linear light (H, W, 3) or value (H, W), got shape {given.shape}")
    return given.copy() if sigma_mm == 0 else _blur(given, sigma_mm * px_per_mm)


def luminance_of_value_map(value: Map) -> Map:
    """Luminance 0-1 of Munsell values, float32, by the exact polynomial (ASTM D1535)."""
    return luminance_of_value(value).astype(np.float32)


def value_of_luminance(y: Map) -> Map:
    """Munsell value of luminance 0-1, float32, within 0.001 of the exact solution (a table over the cube root)."""
    root = np.cbrt(np.clip(y, 0.0, _MOST))
    at = root * np.float32((_KNOTS - 1) / np.cbrt(_MOST))
    low = np.minimum(at.astype(np.int32), _KNOTS - 2)
    part = at - low
    return np.asarray(_TABLE[low] + part * (_TABLE[low + 1] - _TABLE[low]), dtype=np.float32)


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


_MOST = np.float32(luminance_of_value(15.0))
_TABLE = munsell_value(np.linspace(0.0, np.cbrt(float(_MOST)), _KNOTS) ** 3).astype(np.float32)
