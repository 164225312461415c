"""Maps averaged onto the grid of one millimetre that a check is written in."""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.size import Size
from core.tone import luminance_of_linear, value_of_luminance

Map = NDArray[np.float32]


def on_millimetres(picture: Map, size: Size) -> Map:
    """A map averaged onto the 1 mm grid, ``(height_mm, width_mm)``; NaN where less than half of a cell is known."""
    shape = (round(size.width_mm), round(size.height_mm))
    known = np.isfinite(picture)
    share = cv2.resize(known.astype(np.float32), shape, interpolation=cv2.INTER_AREA)
    total = cv2.resize(np.where(known, picture, 0.0).astype(np.float32), shape, interpolation=cv2.INTER_AREA)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(share >= 0.5, total / share, np.nan).astype(np.float32)


def value_on_millimetres(linear: Map, size: Size, *, withheld: NDArray[np.bool_] | None = None) -> Map:
    """Munsell value on the 1 mm grid of linear light ``(H, W, 3)``; light is averaged, not value, as the eye does."""
    y = luminance_of_linear(linear)
    if withheld is not None:
        y = np.where(withheld, np.float32(np.nan), y)
    averaged = on_millimetres(y, size)
    known = np.isfinite(averaged)
    return np.where(known, value_of_luminance(np.where(known, averaged, 0.0)), np.nan).astype(np.float32)
