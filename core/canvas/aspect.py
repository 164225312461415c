"""Whether four corners can be a rectangle of a known shape, seen by a camera of a usual focal length."""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

FOCAL_LENGTHS = (0.55, 0.7, 0.9, 1.3, 2.5)
"""Focal lengths tried, over the picture's diagonal: 24 mm to 108 mm on a 36 × 24 mm frame."""
SPREAD = 0.03
"""How far hand-held photos of real stretchers stray, in ln(aspect) and in radians from square."""


def shape_error(corners: Points, aspect: float, diagonal: float) -> tuple[Points, Points]:
    """Misfit of quads ``(n, 4, 2)`` (TL TR BR BL, straightened px about the centre) to a rectangle.

    ``aspect``: width / height. Answers ln(seen aspect / aspect) ``(n,)`` and the misfit ``(n,)`` in spreads squared,
    from aspect and squareness together, at the focal length that suits the quad best. After Zhang and He 2006,
    Whiteboard scanning and image enhancement, Digital Signal Processing 17(2), 414-432: the columns of the homography,
    with the camera taken out, are the rectangle's sides.
    """
    top_left, top_right, bottom_right, bottom_left = (corners[:, i] for i in range(4))
    across, down, skew = top_right - bottom_right, bottom_left - bottom_right, top_left - top_right + bottom_right
    skew = skew - bottom_left
    area = across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0]
    area = np.where(np.abs(area) < 1e-9, 1e-9, area)
    g = (skew[:, 0] * down[:, 1] - skew[:, 1] * down[:, 0]) / area
    h = (across[:, 0] * skew[:, 1] - across[:, 1] * skew[:, 0]) / area
    wide = top_right * (1 + g)[:, None] - top_left
    high = bottom_left * (1 + h)[:, None] - top_left
    best_off, best = np.zeros(len(corners)), np.full(len(corners), np.inf)
    for focal in FOCAL_LENGTHS:
        one = np.column_stack([wide / (focal * diagonal), g])
        two = np.column_stack([high / (focal * diagonal), h])
        length_one, length_two = np.linalg.norm(one, axis=1), np.linalg.norm(two, axis=1)
        off = np.log(length_one / length_two / aspect)
        square = np.arcsin(np.clip((one * two).sum(axis=1) / (length_one * length_two), -1, 1))
        misfit = (off**2 + square**2) / SPREAD**2
        better = misfit < best
        best_off, best = np.where(better, off, best_off), np.where(better, misfit, best)
    return best_off, best
