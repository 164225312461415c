"""The sheet a drawing is on, laid flat from a photo."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.corners import checked_corners
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.errors import CanvasError, DrawingError
from core.photo import Photo
from core.size import Size

Array = NDArray[np.float64]

FINEST_PX_PER_MM = 8.0
"""More does not find more: lines are put to 0.05 mm at this."""
LEAST_PX_PER_MM = 2.5
"""Of lines 0.3-1.2 mm wide 96 % are still found at 3 pixels per mm, 95 % at 2.6."""
MOST_PIXELS = 24_000_000
CUT_OFF_MM = 1.0
"""A sheet that reaches farther beyond the photo than this is cut off."""
MOST_STRETCH = 0.02
_SIDES = ("on the left", "at the top", "on the right", "at the bottom")


def flatbed_corners(photo: Photo) -> Array:
    """The corners ``(4, 2)`` photo px of a scan that shows the sheet and nothing else: the picture's own."""
    right, bottom = photo.width - 0.5, photo.height - 0.5
    return np.array([[-0.5, -0.5], [right, -0.5], [right, bottom], [-0.5, bottom]])


def has_shape(photo: Photo, sheet: Size) -> bool:
    """Whether a photo has the shape of a sheet, within 2 %."""
    return abs(float(np.log(photo.width / photo.height / sheet.aspect))) <= MOST_STRETCH


def check_shape(photo: Photo, sheet: Size) -> None:
    """Raises DrawingError when a flatbed scan has not the sheet's shape."""
    if not has_shape(photo, sheet):
        raise DrawingError(
            f"The scan of {photo.width} × {photo.height} pixels has not the shape of a sheet of {sheet.in_cm()}. "
            "Give the sheet's own size, crop the scan to the sheet, or place its corners."
        )


def sheet_flat(photo: Photo, corners_px: ArrayLike, sheet: Size, *, k1: float = 0.0) -> Flat:
    """The sheet laid flat, as fine as the photo is, at most 8 pixels per mm.

    Raises DrawingError when the corners cannot be a sheet's, when it is cut off by the photo's edge, and when the photo
    is too small for lines to show.
    """
    canvas = _sheet_map(photo, corners_px, sheet, k1)
    _check_whole(canvas)
    supported = float(canvas.scales(grid_mm(sheet)).min())
    if supported < LEAST_PX_PER_MM:
        more, has = LEAST_PX_PER_MM / supported, np.floor(10.0 * supported) / 10.0
        raise DrawingError(
            f"The photo is too small for the lines to show: it has {has:.1f} pixels for each mm of the sheet, "
            f"and {LEAST_PX_PER_MM:g} are needed. Take it from nearer, or, framed like this one, with at least "
            f"{np.ceil(more * photo.width / 100) * 100:.0f} × {np.ceil(more * photo.height / 100) * 100:.0f} pixels."
        )
    most = np.sqrt(MOST_PIXELS / (sheet.width_mm * sheet.height_mm))
    return lay_flat(photo, canvas.corners_px, sheet, k1=k1, px_per_mm=float(min(supported, FINEST_PX_PER_MM, most)))


def _sheet_map(photo: Photo, corners_px: ArrayLike, sheet: Size, k1: float) -> CanvasMap:
    """Where each mm of the sheet lies in the photo. Raises DrawingError when the corners cannot be a sheet's."""
    try:
        corners = checked_corners(corners_px, photo.width, photo.height, of="sheet")
    except CanvasError as error:
        raise DrawingError(str(error)) from error
    try:
        return CanvasMap(corners, sheet, photo.width, photo.height, k1)
    except CanvasError as error:
        raise DrawingError(
            "With the lens taken out, these corners cannot be a sheet's. Place each on its own corner of the sheet."
        ) from error


def _check_whole(canvas: CanvasMap) -> None:
    """Raises DrawingError when part of the sheet lies beyond the photo."""
    edge = canvas.mm_to_px(grid_mm(canvas.size))
    scale = float(canvas.scales(grid_mm(canvas.size)).mean())
    limit = np.array([canvas.width, canvas.height]) - 0.5
    beyond = np.concatenate([(-0.5 - edge).max(axis=0), (edge - limit).max(axis=0)]) / scale
    cut = [side for side, far in zip(_SIDES, beyond, strict=True) if far > CUT_OFF_MM]
    if cut:
        raise DrawingError(
            f"The sheet is cut off {' and '.join(cut)} by the photo's edge. Photograph it again with a little of the "
            "table showing on every side, or correct its corners."
        )
