"""The photo of the blank canvas laid flat: by the canvas photo's corners if the camera stood still, else by its own."""

import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.canvas.given import trace_given
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import CERTAIN_FROM, CanvasFix, locate_canvas
from core.errors import CanvasError, PainterError
from core.photo import Photo
from core.size import Size

SAME_SHAPE = 0.01
STOOD_STILL = 0.004
"""Of the canvas's width: a canvas no further than this from where the other photo has it was taken from one place."""
OTHER_PLACE = (
    "The blank was not photographed from the same place as the canvas; it was laid flat from its own outline, and the "
    "light taken to be the same on the canvas."
)
UNSURE = (
    "The blank's outline was found, but not with certainty. Photograph the blank again from where the canvas was "
    "photographed, with its edges clear of the wall."
)
NOT_SEEN = (
    "The outline of the blank could not be made out in its photo; it was taken to lie where the canvas does in the "
    "canvas photo. If the camera was moved in between, photograph the blank again from the same place."
)


def blank_flat(
    blank: Photo, photo: Photo, fix: CanvasFix, size: Size, px_per_mm: float
) -> tuple[Flat, tuple[str, ...]]:
    """The blank at ``px_per_mm``, and notes for the painter. ``fix``: where the canvas lies in ``photo``.

    Raises PainterError when the two photos differ in shape and the blank's own canvas cannot be found.
    """
    scale = np.array([blank.width / photo.width, blank.height / photo.height])
    expected = fix.corners_px * scale if abs(scale[0] / scale[1] - 1) <= SAME_SHAPE else None
    if expected is not None and _lies_at(blank, expected):
        return lay_flat(blank, expected, size, k1=fix.k1, px_per_mm=px_per_mm), ()
    own = _own(blank, size)
    if own is not None:
        notes = (OTHER_PLACE,) if own.confidence >= CERTAIN_FROM else (OTHER_PLACE, UNSURE)
        return lay_flat(blank, own.corners_px, size, k1=own.k1, px_per_mm=px_per_mm), notes
    if expected is None:
        raise PainterError(
            "The photo of the blank has another shape than the canvas photo, and no canvas was found in it. Take both "
            "from the same place, held the same way, or leave the blank out."
        )
    return lay_flat(blank, expected, size, k1=fix.k1, px_per_mm=px_per_mm), (NOT_SEEN,)


def _lies_at(blank: Photo, corners: NDArray[np.float64]) -> bool:
    traced = trace_given(blank, corners)
    width = float(np.linalg.norm(corners[2] - corners[0])) / np.sqrt(2)
    return traced is not None and float(np.abs(traced.corners_px - corners).max()) <= STOOD_STILL * width


def _own(blank: Photo, size: Size) -> CanvasFix | None:
    try:
        return locate_canvas(blank, size)
    except CanvasError:
        return None
