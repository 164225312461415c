"""Whether the shape between a sheet's corners is that sheet's: a sheet said wrongly stretches every line on it.

Measured on hand-held photos of sheets filling 85 % of the frame, corners off by 1 px: the misfit
(:func:`core.canvas.aspect.shape_error`, spreads squared) of the true shape is under 0.1, of 4:3 for A4 0.36-4.2, of
4:3 for Letter 0.5-1.0, of A4 for 4:3 2.7-3.9.
"""

import numpy as np
from numpy.typing import ArrayLike

from core.canvas.aspect import shape_error
from core.canvas.distortion import straighten
from core.drawing.scan_find import standing_as
from core.photo import Photo
from core.size import PAPERS, Size

FITS, OFF = 0.15, 0.5
"""A sheet whose misfit is over ``OFF`` is doubted where another's is under ``FITS`` ..."""
NO_FIT = 4.0
"""... or where it is over this, some 6 %, whatever the others' is."""


def shape_doubt(photo: Photo, corners_px: ArrayLike, sheet: Size, canvas: Size, *, k1: float = 0.0) -> str:
    """A sentence when the corners ``(4, 2)`` photo px have plainly another sheet's shape; else nothing.

    The canvas's own size, A4, A3 and Letter are what is compared with, either way up.
    """
    misfit = _misfit(photo, corners_px, sheet, k1)
    if misfit <= OFF:
        return ""
    others = {"the canvas": canvas, "A4 or A3": PAPERS["A4"], "Letter": PAPERS["Letter"]}
    fits = {name: _misfit(photo, corners_px, other, k1) for name, other in others.items()}
    best = min(fits, key=lambda name: fits[name])
    said = f"{sheet.in_cm()}: choose the sheet that it is, or its lines are stretched."
    if fits[best] < FITS:
        return f"The shape between its corners is that of {best} rather than of {said}"
    return f"The shape between its corners is not that of {said}" if misfit > NO_FIT else ""


def _misfit(photo: Photo, corners_px: ArrayLike, sheet: Size, k1: float) -> float:
    straight = straighten(np.asarray(corners_px, dtype=np.float64), k1, photo.width, photo.height)
    about = straight - np.array([photo.width - 1.0, photo.height - 1.0]) / 2.0
    _, misfit = shape_error(
        about[None], standing_as(sheet, straight).aspect, float(np.hypot(photo.width, photo.height))
    )
    return float(misfit[0])
