"""Where the sheet with a drawing lies in a photo: its outline, to be offered; which sheet it may be, which way up.

The outline is looked for as a canvas's is (:mod:`core.canvas.outline`), with the sheet either way up.

Measured on 24 drawings on A4 photographed at 5 pixels per mm with a lens of k1 -0.03, on six grounds from dark to
near-white and cluttered, with nothing but the sheet's size given, the wrong way up (``python -m
tests.measure.scan_find``): all 24 sheets found, corners off by at most 0.2 px; of the true length 97.9 % has a line
within 0.4 mm (worst 94.6 %), of the length found 0.8 % is false (worst 1.9 %), lines off by 0.06 mm.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.corners import checked_corners
from core.canvas.given import lens_of, trace_given
from core.canvas.locate import REFUSED_BELOW
from core.canvas.outline import Outline, find_outline
from core.canvas.uncertainty import uncertainty_of_corners, uncertainty_of_lines
from core.drawing.scan_sheet import has_shape
from core.errors import CanvasError, DrawingError
from core.photo import Photo
from core.size import PAPERS, Size

Array = NDArray[np.float64]

_WHERE = {"top": "at the top", "right": "on the right", "bottom": "at the bottom", "left": "on the left"}
_MOST_CUT = 3  # sides: of a sheet that runs out of the photo on more, nothing was found
_NOT_FOUND = "The sheet's outline was not found in this photo."


@dataclass(frozen=True, eq=False)
class SheetFix:
    """A sheet found in a photo.

    ``corners_px``: ``(4, 2)`` float64 photo px, TL TR BR BL as the sheet stands in the photo. ``sheet``: the way up it
    was found. ``k1``: the lens (:mod:`core.canvas.lens`). ``confidence``: 0-1. ``uncertainty_mm``: RMS on the sheet.
    """

    corners_px: Array
    sheet: Size
    k1: float
    confidence: float
    uncertainty_mm: float


def find_sheet(photo: Photo, sheet: Size) -> SheetFix:
    """The sheet's outline, the sheet standing either way up; first as the photo does.

    Raises DrawingError with a sentence when it is not found or runs out of the photo.
    """
    first = sheet if (sheet.aspect > 1.0) == (photo.width > photo.height) else sheet.turned
    best, trouble = None, ""
    for way in (first, first.turned):
        outline = _outline(photo, way)
        if outline is None:
            continue
        if outline.cropped:
            trouble = trouble or _cut_off(outline)
        elif best is None or outline.confidence > best.confidence:
            best = _fix(photo, way, outline)
        if best is not None and way is first:
            break
    if best is None:
        raise DrawingError(trouble or _NOT_FOUND)
    return best


def lens_at(photo: Photo, corners_px: ArrayLike) -> float:
    """The lens ``k1`` that the sheet's own edges tell, between corners ``(4, 2)`` photo px placed by hand; 0 where they
    are too faint. Raises DrawingError when the corners cannot be a sheet's."""
    try:
        corners = checked_corners(corners_px, photo.width, photo.height, of="sheet")
    except CanvasError as error:
        raise DrawingError(str(error)) from error
    return float(lens_of(trace_given(photo, corners)).k1)


def standing_as(sheet: Size, corners_px: ArrayLike) -> Size:
    """The sheet the way up that the shape between its corners ``(4, 2)`` has: lying where that is broader than high."""
    corners = np.asarray(corners_px, dtype=np.float64)
    sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    is_lying = sides[0] + sides[2] > sides[1] + sides[3]
    return sheet if (sheet.aspect >= 1.0) == is_lying else sheet.turned


def turned_corners(corners_px: ArrayLike, quarters: int) -> Array:
    """The corners ``(4, 2)`` named anew for a photo that has to be turned clockwise by so many quarters to stand."""
    return np.roll(np.asarray(corners_px, dtype=np.float64), quarters, axis=0)


def likely_sheet(photo: Photo, canvas: Size) -> Size:
    """The sheet whose shape a photo has, either way up: a scan's of A4 or Letter paper. Else the canvas's own size."""
    for sheet in (canvas, PAPERS["A4"], PAPERS["Letter"]):
        if has_shape(photo, sheet) or has_shape(photo, sheet.turned):
            return sheet
    return canvas


def _outline(photo: Photo, sheet: Size) -> Outline | None:
    try:
        outline = find_outline(photo, size=sheet)
    except CanvasError:
        return None
    if outline.cropped:
        return outline if len(outline.cropped) < _MOST_CUT else None
    return outline if outline.confidence >= REFUSED_BELOW and outline.lines is not None else None


def _fix(photo: Photo, sheet: Size, outline: Outline) -> SheetFix:
    assert outline.lines is not None
    on_sheet = CanvasMap(outline.corners_px, sheet, photo.width, photo.height, outline.k1)
    lines = uncertainty_of_lines(on_sheet, outline.lines)
    away = float(np.hypot(lines, uncertainty_of_corners(on_sheet, outline.stray_px)))
    return SheetFix(outline.corners_px, sheet, outline.k1, outline.confidence, away)


def _cut_off(outline: Outline) -> str:
    sides = " and ".join(_WHERE[side] for side in outline.cropped)
    return f"The sheet seems to run out of the photo {sides}."
