"""Where a sheet with a drawing lies on the canvas, and its lines there."""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import homography, project
from core.canvas.corners import checked_corners
from core.drawing.drawing import Drawing, Line
from core.errors import CanvasError, DrawingError
from core.size import Size

Array = NDArray[np.float64]

OUTSIDE = "Part of the drawing lies outside the canvas."
_SMALL_MM = 0.05  # a line that is over the canvas's edge by no more lies on it


def corners_on(
    canvas: Size, sheet: Size, *, filling: bool = False, shift_mm: tuple[float, float] = (0.0, 0.0)
) -> Array:
    """Where the corners ``(4, 2)`` of an upright sheet lie on the canvas, mm.

    In its middle, in the sheet's own size or, ``filling``, as large as the canvas holds the whole of it; then shifted
    to the right and down.
    """
    scale = min(canvas.width_mm / sheet.width_mm, canvas.height_mm / sheet.height_mm) if filling else 1.0
    half = 0.5 * scale * np.array([sheet.width_mm, sheet.height_mm])
    middle = 0.5 * np.array([canvas.width_mm, canvas.height_mm]) + np.asarray(shift_mm, dtype=np.float64)
    return np.asarray(middle + half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]))


def placing(sheet: Size, canvas: Size, corners_mm: ArrayLike | None) -> Array:
    """``(3, 3)`` homography from mm on the sheet to mm on the canvas.

    ``corners_mm``: ``(4, 2)``, where the sheet's corners lie on the canvas; None for the middle of the canvas, upright
    and in its own size. Raises DrawingError when they cannot be a sheet's.
    """
    wanted = corners_on(canvas, sheet) if corners_mm is None else corners_mm
    # The check is made for pixels and wants sides of 16: in tenths of a mm every sheet has them.
    try:
        corners = checked_corners(10.0 * np.asarray(wanted, dtype=np.float64), of="sheet") / 10.0
    except (CanvasError, TypeError, ValueError) as error:
        raise DrawingError(
            "The sheet's corners on the canvas cannot be a sheet's. Give the top left, top right, bottom right and "
            "bottom left corner, in mm."
        ) from error
    return homography(corners, sheet)


def laid_on(drawing: Drawing, canvas: Size, matrix: Array) -> Drawing:
    """A sheet's drawing on the canvas: its lines and landmarks through a :func:`placing`; its notes stay."""
    lines = tuple(replace(line, points=project(matrix, line.points)) for line in drawing.lines)
    places = project(matrix, drawing.landmark_points())
    landmarks = tuple(
        replace(mark, x_mm=float(x), y_mm=float(y)) for mark, (x, y) in zip(drawing.landmarks, places, strict=True)
    )
    return Drawing(canvas, lines, landmarks, drawing.notes)


def is_outside(drawing: Drawing) -> bool:
    """Whether part of a drawing's lines lies outside its canvas."""
    far = np.array([drawing.size.width_mm, drawing.size.height_mm]) + _SMALL_MM
    return any(_leaves(line, far) for line in drawing.lines)


def _leaves(line: Line, far: Array) -> bool:
    """Whether a line goes beyond the canvas; one whose handles do not cannot."""
    if (line.points >= -_SMALL_MM).all() and (line.points <= far).all():
        return False
    left, top, right, bottom = line.bounds
    return min(left, top) < -_SMALL_MM or right > far[0] or bottom > far[1]
