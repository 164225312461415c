"""How far off the canvas may be, in mm: from the spread of its edges, the lens, or a hand that placed the corners."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.distortion import LARGEST_K1
from core.canvas.plumb_lines import StraightLines, corner_shifts
from core.errors import CanvasError

BY_HAND_PX = 2.0
"""Usual error of a corner placed by hand with a magnifier, photo px each way: from memory."""

Points = NDArray[np.float64]


def uncertainty_of_lines(canvas: CanvasMap, lines: StraightLines) -> float:
    """RMS error in mm over the canvas, when its corners are where traced sides meet."""
    shifts, lens = corner_shifts(lines, canvas.width, canvas.height)
    return _rms(canvas, shifts, lens)


def uncertainty_of_corners(canvas: CanvasMap, corner_px: ArrayLike = BY_HAND_PX, *, k1_sigma: float = 0.0) -> float:
    """RMS error in mm over the canvas, for corners good to ``corner_px`` each way (one number, or four).

    ``k1_sigma``: standard deviation of the lens.
    """
    each = np.broadcast_to(np.asarray(corner_px, dtype=np.float64), (4,))
    shifts = np.zeros((9, 4, 2))
    for corner in range(4):
        for axis in range(2):
            shifts[2 * corner + axis, corner, axis] = each[corner]
    return _rms(canvas, shifts, np.array([0.0] * 8 + [k1_sigma]))


def _rms(canvas: CanvasMap, shifts: Points, lens: Points) -> float:
    """Root of the summed squares of what each of ``n`` independent errors does, averaged over the canvas."""
    face = grid_mm(canvas.size)
    seen = canvas.mm_to_px(face)
    total = 0.0
    for shift, change in zip(shifts, lens, strict=True):
        if not shift.any() and change == 0.0:
            continue
        k1 = float(np.clip(canvas.k1 + change, -LARGEST_K1, LARGEST_K1))
        try:
            other = CanvasMap(canvas.corners_px + shift, canvas.size, canvas.width, canvas.height, k1)
        except CanvasError:
            return float(np.hypot(canvas.size.width_mm, canvas.size.height_mm))
        total += float(((other.px_to_mm(seen) - face) ** 2).sum(axis=1).mean())
    return float(np.sqrt(total))
