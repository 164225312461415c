"""What is compared when drift is measured: directions of change, blind to the light and to value faults.

A picture becomes log luminance and two log colour ratios; the light, the white balance and the exposure are then
added constants or slow slopes, and go with the gradient. The gradient of the three channels is divided by its own
local strength, so that a passage painted with half the contrast counts as much as one painted with all of it.
(Normalised gradient fields: Haber and Modersitzki 2006, *Intensity gradient based registration and fusion of
multi-modal images*; here softened by a noise floor so that empty passages stay empty.)
"""

import cv2
import numpy as np
from numpy.typing import NDArray

Plane = NDArray[np.float32]

DARKEST = 0.02
"""Added to linear light before the logarithm: deep shadow in paint reflects about this much (common practice)."""
COLOUR_WEIGHT = 0.7
"""Weight of the two colour ratios against luminance."""
NOISE_FLOOR = 0.02
"""Change of log light per mm below which a passage counts as flat."""


def shrunk(picture: Plane, width: int, height: int) -> Plane:
    """``picture`` at another resolution, every source pixel counted."""
    if picture.shape[1] == width and picture.shape[0] == height:
        return picture
    smaller = width <= picture.shape[1]
    return np.asarray(
        cv2.resize(picture, (width, height), interpolation=cv2.INTER_AREA if smaller else cv2.INTER_LINEAR),
        dtype=np.float32,
    )


def log_channels(linear: Plane) -> tuple[Plane, ...]:
    """Log luminance and two log colour ratios of linear light ``(H, W, 3)``, three ``(H, W)`` float32."""
    logs = cv2.log(np.maximum(linear, 0).astype(np.float32) + np.float32(DARKEST))
    red, green, blue = cv2.split(logs)
    return 0.25 * red + 0.65 * green + 0.1 * blue, red - green, 0.5 * (red + green) - blue


def directions(channels: tuple[Plane, ...], px_per_mm: float, sigma_mm: float) -> Plane:
    """Locally normalised gradients at the scale ``sigma_mm``: ``(6, H, W)`` float32, length at most about 1 a pixel."""
    sigma = sigma_mm * px_per_mm
    planes: list[Plane] = []
    for channel, weight in zip(channels, (1.0, COLOUR_WEIGHT, COLOUR_WEIGHT), strict=True):
        smooth = cv2.GaussianBlur(channel, (0, 0), sigma)
        planes += [cv2.Sobel(smooth, cv2.CV_32F, *way, scale=weight / 8) for way in ((1, 0), (0, 1))]
    gradient = np.stack(planes)
    strength = cv2.GaussianBlur(energy(gradient), (0, 0), 3 * sigma)
    return np.asarray(gradient / np.sqrt(strength + (NOISE_FLOOR / px_per_mm) ** 2), dtype=np.float32)


def energy(planes: Plane) -> Plane:
    """Sum of squares over the planes, ``(H, W)``."""
    return np.asarray(np.einsum("chw,chw->hw", planes, planes), dtype=np.float32)
