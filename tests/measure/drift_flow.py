"""The other way to measure drift, kept to compare with: dense inverse search on locally normalised luminance.

DIS optical flow (Kroeger, Timofte, Dai and Van Gool 2016, *Fast optical flow using dense inverse search*) as OpenCV has
it, on log luminance divided by its own local spread, so that uneven light and wrong values matter less. Dense,
variational refinement included, and after it a Gaussian mean over the neighbourhood, which is what helps most.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.drawing.drift_features import log_channels, shrunk

PX_PER_MM = 2.0
SURROUND_MM = 8.0
MEAN_MM = 5.0


def flow_drift(reference: Flat, canvas: Flat) -> NDArray[np.float32]:
    """Drift ``(height_mm, width_mm, 2)`` on the 1 mm grid."""
    search = cv2.DISOpticalFlow_create(cv2.DISOPTICAL_FLOW_PRESET_MEDIUM)
    search.setFinestScale(1)
    search.setPatchSize(12)
    search.setPatchStride(4)
    flow = search.calc(_normalised(reference), _normalised(canvas), None)
    flow = cv2.GaussianBlur(flow, (0, 0), MEAN_MM * PX_PER_MM) / PX_PER_MM
    shape = (round(canvas.size.width_mm), round(canvas.size.height_mm))
    return np.asarray(cv2.resize(flow, shape, interpolation=cv2.INTER_AREA), dtype=np.float32)


def _normalised(flat: Flat) -> NDArray[np.uint8]:
    shape = (round(flat.size.width_mm * PX_PER_MM), round(flat.size.height_mm * PX_PER_MM))
    luminance = cv2.GaussianBlur(log_channels(shrunk(flat.linear, *shape))[0], (0, 0), 0.8 * PX_PER_MM)
    sigma = SURROUND_MM * PX_PER_MM
    off = luminance - cv2.GaussianBlur(luminance, (0, 0), sigma)
    spread = np.sqrt(cv2.GaussianBlur(off * off, (0, 0), sigma) + 0.03**2)
    return np.rint(np.clip(128 + 45 * off / spread, 0, 255)).astype(np.uint8)
