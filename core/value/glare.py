"""first lay"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat


@dataclass(frozen=True)
class Glare:
    """``withheld`` ``(H, W)`` bool: where glare hides the paint; ``share`` of the canvas, 0-1."""

    withheld: NDArray[np.bool_]
    share: float


def find_glare(canvas: Flat, reference: Flat, *, clipped: NDArray[np.bool_] | None = None) -> Glare:
    hot = canvas.linear.min(axis=2) > 0.97
    grown = cv2.dilate(hot.astype(np.uint8), cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (33, 33))) > 0
    return Glare(grown, float(grown.mean()))
