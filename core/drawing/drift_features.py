"""What is compared when drift is measured: directions of change, blind to the light and to value faults.

A picture becomes log luminance and two log colour ratios; the light, the white balance and the exposure are then
added constants or slow slopes, and go with the gradient. The gradient is divided by its own local strength, so that a
passage painted with half the contrast counts as much as one painted with all of it. (Normalised gradient fields:
Haber and Modersitzki 2006, *Intensity gradient based registration and fusion of multi-modal images*; here softened by
a noise floor so that empty passages stay empty.)
"""

from collections.abc import Sequence
from functools import reduce

import cv2
import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.float32]

DARKEST = 0.02
"""Added to linear light before the logarithm: about what the blackest oil paint reflects (common practice)."""
NOISE_FLOOR = 0.02
"""Change of log light per mm below which a passage counts as flat."""
OUTLINE_WIDTHS = (0.7, 1.2, 2.0)
"""Sigmas, in units, at which outlines are looked for."""
FAINTEST_OUTLINE = 0.1
"""Change of log light per mm that begins to count as an outline."""
SURROUND = 2.5
"""Radius over which strength is judged, in units of the detail."""


def shrunk(picture: Plane, width: int, height: int) -> Plane:
    """``picture`` at another resolution; every pixel counts when it gets smaller."""
    if picture.shape[1] == width and picture.shape[0] == height:
        return picture
    way = cv2.INTER_AREA if width <= picture.shape[1] else cv2.INTER_LINEAR
    return np.asarray(cv2.resize(picture, (width, height), interpolation=way), dtype=np.float32)


def log_channels(linear: Plane) -> tuple[Plane, Plane, Plane]:
    """Log luminance and two log colour ratios of linear light ``(H, W, 3)``, three ``(H, W)`` float32."""
    light = np.fmax(linear, 0).astype(np.float32)  # fmax: a NaN is black, and does not spread over the canvas
    red, green, blue = cv2.split(cv2.log(light + np.float32(DARKEST)))
    return 0.25 * red + 0.65 * green + 0.1 * blue, red - green, 0.5 * (red + green) - blue


def outline_channels(luminance: Plane, px_per_mm: float, unit: float) -> tuple[Plane, Plane, Plane]:
    """How strong the outlines are, whichever side of them is lighter: three ``(H, W)`` planes, fine to coarse.

    In these a line drawn on a toned ground looks like the edge in the reference that it was drawn from.
    """
    fine, middle, coarse = (_outlines(luminance, px_per_mm, width * unit) for width in OUTLINE_WIDTHS)
    return fine, middle, coarse


def _outlines(luminance: Plane, px_per_mm: float, sigma_mm: float) -> Plane:
    smooth = cv2.GaussianBlur(luminance, (0, 0), sigma_mm * px_per_mm)
    x, y = (cv2.Sobel(smooth, cv2.CV_32F, *way, scale=px_per_mm / 8) for way in ((1, 0), (0, 1)))
    return np.asarray(cv2.log(cv2.magnitude(x, y) + np.float32(FAINTEST_OUTLINE)), dtype=np.float32)


def directions(channels: Sequence[Plane], px_per_mm: float, detail_mm: float) -> list[Plane]:
    """Locally normalised x and y gradients of each channel at the scale ``detail_mm``: ``(H, W)`` planes."""
    sigma = detail_mm * px_per_mm
    gradient: list[Plane] = []
    for channel in channels:
        smooth = cv2.GaussianBlur(channel, (0, 0), sigma)
        gradient += [cv2.Sobel(smooth, cv2.CV_32F, *way, scale=1 / 8) for way in ((1, 0), (0, 1))]
    strength = cv2.GaussianBlur(energy(gradient), (0, 0), SURROUND * sigma)
    gain = 1 / np.sqrt(strength + np.float32(NOISE_FLOOR / px_per_mm) ** 2)
    return [cv2.multiply(plane, gain) for plane in gradient]


def energy(planes: Sequence[Plane]) -> Plane:
    """Sum of squares over the planes, ``(H, W)``."""
    return reduce(cv2.add, (cv2.multiply(plane, plane) for plane in planes))
