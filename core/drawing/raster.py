"""The acetate put onto a picture: a drawing's lines and landmarks drawn over pixels, for prints and saved pictures."""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drawing import Drawing

Colour = tuple[int, int, int]

RING_MM, FIGURE_MM = 1.5, 3.0  # a landmark's ring and the height of its number
LEAST_RING_PX, LEAST_FIGURE_PX = 4.0, 9.0
_SHIFT = 6  # 1/64 pixel
_FARTHEST_PX = 2**24
# An antialiased line of OpenCV is wider than its thickness: measured over all directions, 1.36 px at a thickness of 1,
# 3.36 at 2, and 2 px more at each odd one from 3.
_FINEST_PX, _STEP_PX = 1.36, 2.0
_FONT = cv2.FONT_HERSHEY_SIMPLEX


def lines_over(
    picture: NDArray[np.uint8],
    drawing: Drawing,
    px_per_mm: float,
    *,
    colour: Colour = (200, 30, 30),
    strength: float = 1.0,
    line_weight_mm: float = 0.5,
    landmarks: bool = True,
) -> NDArray[np.uint8]:
    """A copy of a flat picture with the drawing over it.

    ``picture``: ``(H, W, 3)`` uint8 sRGB, its pixel ``(row, column)`` centred at ``((column + 0.5) / px_per_mm,
    (row + 0.5) / px_per_mm)`` mm. ``colour``: sRGB 0-255. ``strength``: 0 (nothing) to 1 (opaque), blended in sRGB code
    values. ``line_weight_mm``: the line's width; widths under a pixel are drawn fainter instead of wider. Landmarks are
    small rings, numbered from 1 in the drawing's order. Raises ValueError for other shapes and ranges.
    """
    if picture.ndim != 3 or picture.shape[2] != 3 or picture.dtype != np.uint8:
        raise ValueError(f"A picture is (H, W, 3) uint8, not {picture.shape} {picture.dtype}.")
    if not (math.isfinite(px_per_mm) and px_per_mm > 0 and line_weight_mm > 0 and 0.0 <= strength <= 1.0):
        raise ValueError("px_per_mm and line_weight_mm must be more than 0, and strength within 0-1.")
    cover = line_cover((picture.shape[0], picture.shape[1]), drawing, px_per_mm, line_weight_mm=line_weight_mm)
    if landmarks:
        _draw_landmarks(cover, drawing, px_per_mm, line_weight_mm)
    answer = picture.copy()
    rows, columns = np.nonzero(cover)
    share = cover[rows, columns, None].astype(np.float32) * np.float32(strength / 255.0)
    under = answer[rows, columns].astype(np.float32)
    answer[rows, columns] = np.rint(under + share * (np.array(colour, dtype=np.float32) - under)).astype(np.uint8)
    return answer


def line_cover(
    shape: tuple[int, int], drawing: Drawing, px_per_mm: float, *, line_weight_mm: float
) -> NDArray[np.uint8]:
    """How far the lines cover each pixel of a flat picture: ``shape`` ``(H, W)`` uint8, 0 none to 255 all."""
    chains = [fixed_points(chain * px_per_mm - 0.5) for chain in drawing.polylines(min(0.05, 0.25 / px_per_mm))]
    return stroked(shape, chains, line_weight_mm * px_per_mm)


def stroked(shape: tuple[int, int], chains: list[NDArray[np.int32]], weight_px: float) -> NDArray[np.uint8]:
    """How far chains of :func:`fixed_points` cover each pixel, at a width that need not be whole.

    It lies between the two widths on either side of it. ``shape`` ``(H, W)``; the answer uint8, 0 none to 255 all.
    """

    def at(step: int) -> NDArray[np.uint8]:
        cover = np.zeros(shape, dtype=np.uint8)
        cv2.polylines(cover, chains, False, 255, _thickness(step), cv2.LINE_AA, _SHIFT)
        return cover

    if not chains:
        return np.zeros(shape, dtype=np.uint8)
    if weight_px <= _FINEST_PX:
        fainter = np.rint(np.arange(256) * (weight_px / _FINEST_PX)).astype(np.uint8)
        return np.asarray(fainter[at(0)])
    share, step = math.modf((weight_px - _FINEST_PX) / _STEP_PX)
    return np.asarray(cv2.addWeighted(at(int(step)), 1.0 - share, at(int(step) + 1), share, 0.0))


def _thickness(step: int) -> int:
    """The thickness to ask OpenCV for, to get a line ``_FINEST_PX`` and ``step`` times ``_STEP_PX`` wide."""
    return (1, 2)[step] if step < 2 else 2 * step - 1


def fixed_points(points: NDArray[np.float64]) -> NDArray[np.int32]:
    """Pixels ``(n, 2)``, whole numbers at pixel centres, as OpenCV's fixed-point numbers ``(n, 1, 2)``."""
    clipped = np.clip(points, -_FARTHEST_PX, _FARTHEST_PX)
    return np.rint(clipped * (1 << _SHIFT)).astype(np.int32).reshape(-1, 1, 2)


def _draw_landmarks(cover: NDArray[np.uint8], drawing: Drawing, px_per_mm: float, line_weight_mm: float) -> None:
    radius = max(RING_MM * px_per_mm, LEAST_RING_PX)
    figure = max(FIGURE_MM * px_per_mm, LEAST_FIGURE_PX)
    (_, plain_height), _ = cv2.getTextSize("8", _FONT, 1.0, 1)
    weight = _thickness(max(0, round((line_weight_mm * px_per_mm - _FINEST_PX) / _STEP_PX)))
    scale = figure / plain_height
    high, wide = cover.shape
    for number, (x, y) in enumerate(drawing.landmark_points() * px_per_mm - 0.5, start=1):
        at = (round(x * (1 << _SHIFT)), round(y * (1 << _SHIFT)))
        cv2.circle(cover, at, round(radius * (1 << _SHIFT)), 255, weight, cv2.LINE_AA, _SHIFT)
        (text_wide, text_high), _ = cv2.getTextSize(str(number), _FONT, scale, weight)
        gap = radius * 1.3
        left = x + gap if x + gap + text_wide < wide else x - gap - text_wide
        base = y - gap if y - gap - text_high >= 0 else y + gap + text_high
        cv2.putText(
            cover, str(number), (round(left), round(min(base, high - 1))), _FONT, scale, 255, weight, cv2.LINE_AA
        )
