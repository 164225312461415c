"""Warmth relative to what lies round a place, as painters judge it: T less the mean T of the surround."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Map = NDArray[np.float32]
Mask = NDArray[np.bool_]

SIZE_MM = 30.0
"""Sigma of the surround unless told otherwise: a passage and what lies next to it."""
_FEWEST_PX = 6.0
"""A blur of more pixels than twice this is made on a reduced picture."""
_LEAST_KNOWN = 0.05


def relative_warmth(
    warmth: NDArray[Any], size_mm: float = SIZE_MM, *, px_per_mm: float, withheld: Mask | None = None
) -> Map:
    """T of each place less that of its surround, ``(H, W)`` float32, of a map of T ``(H, W)`` (NaN: withheld).

    The surround is a Gaussian with sigma ``size_mm`` over what is known alone (normalised convolution), so that
    withheld places and the canvas's edge pull nothing. NaN where withheld, or where less than a twentieth of the
    surround is known. ValueError unless both sizes are above 0 and the shapes agree.
    """
    if not (size_mm > 0 and px_per_mm > 0):
        raise ValueError(f"size_mm and px_per_mm must be above 0, got {size_mm}, {px_per_mm}")
    given = np.asarray(warmth, dtype=np.float32)
    if given.ndim != 2 or (withheld is not None and withheld.shape != given.shape):
        raise ValueError(f"expected a map (H, W) and a mask of its shape, got {given.shape}")
    known = np.isfinite(given)
    if withheld is not None:
        known &= ~withheld
    return np.where(known, given - surround(given, known.astype(np.float32), size_mm * px_per_mm), np.float32(np.nan))


def surround(values: Map, weight: Map, sigma_px: float) -> Map:
    """Weighted Gaussian mean of ``values`` ``(H, W)`` with ``weight`` ``(H, W)``, 0 or above; nothing lies beyond the
    edges. NaN where less than a twentieth of the surround's weight is known."""
    height, width = values.shape
    factor = max(1, int(sigma_px // _FEWEST_PX))
    small = (max(1, round(width / factor)), max(1, round(height / factor)))
    pulled = np.where(weight > 0, values, np.float32(0.0)) * weight
    sums = [pulled, weight]
    if factor > 1:
        sums = [np.asarray(cv2.resize(part, small, interpolation=cv2.INTER_AREA)) for part in sums]
        sigma_px = float(np.sqrt(max(sigma_px**2 - factor**2 / 6, 1.0))) / factor
    total, mass = (cv2.GaussianBlur(part, (0, 0), sigma_px, borderType=cv2.BORDER_CONSTANT) for part in sums)
    whole = cv2.GaussianBlur(np.ones_like(mass), (0, 0), sigma_px, borderType=cv2.BORDER_CONSTANT)
    if factor > 1:
        total, mass, whole = (
            np.asarray(cv2.resize(part, (width, height), interpolation=cv2.INTER_LINEAR))
            for part in (total, mass, whole)
        )
    enough = mass >= _LEAST_KNOWN * whole
    return np.where(enough, total / np.maximum(mass, np.float32(1e-9)), np.float32(np.nan)).astype(np.float32)
