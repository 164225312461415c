"""A picture looked up at places between its pixels."""

import cv2
import numpy as np
from numpy.typing import NDArray

_ROW = 1024  # OpenCV takes maps of at most 32767 rows: a long list is folded


def sampled(picture: NDArray[np.float32], points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Values ``(n,)`` or ``(n, C)`` of a picture ``(H, W)`` or ``(H, W, C)`` at x, y ``(n, 2)`` in pixels, bilinear.

    Pixel centres are at whole numbers; places outside have the value of the nearest pixel.
    """
    count = len(points)
    folded = np.zeros((-(-count // _ROW) * _ROW, 2), dtype=np.float32)
    folded[:count] = points
    x, y = (np.ascontiguousarray(axis.reshape(-1, _ROW)) for axis in folded.T)
    seen = cv2.remap(picture, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen, dtype=np.float64).reshape(-1, *picture.shape[2:])[:count]
