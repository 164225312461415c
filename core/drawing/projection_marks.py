"""The pattern that a projector throws to be measured: nine marks of two light squares each, at known places in mm.

A mark is a chequer of two by two: light, dark, dark, light. Its middle is a saddle of light, which blur, glare and a
camera that burns out the light squares leave where it is, since both light squares grow towards it alike.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.drawing.projection import Points, Projection
from core.drawing.projection_light import lit, rendered_chains
from core.size import Size

INSET = 0.15
"""How far the outer marks stand inside the canvas, as a share of its sides: a projection may be that far out."""
NAMES = (
    "top left", "top", "top right", "left", "middle", "right", "bottom left", "bottom", "bottom right",
)  # fmt: skip
_HALF_SHARE, _LEAST_HALF_MM, _MOST_HALF_MM = 0.07, 4.0, 40.0
_FINE = 4  # samples across a pixel
_ARM_SHARE, _FRAME_PX = 0.08, 2.5


@dataclass(frozen=True, eq=False)
class MarkPattern:
    """``points``: ``(9, 2)`` mm, rows of three from the top left. ``half_mm``: the side of each light square."""

    points: Points
    half_mm: float

    @property
    def apart_mm(self) -> float:
        """The shorter of the distances between neighbours."""
        return float(min(self.points[1, 0] - self.points[0, 0], self.points[3, 1] - self.points[0, 1]))


def mark_pattern(size: Size) -> MarkPattern:
    """The pattern for a canvas."""
    shares = np.array([INSET, 0.5, 1 - INSET])
    x, y = np.meshgrid(shares * size.width_mm, shares * size.height_mm)
    half = np.clip(_HALF_SHARE * min(size.width_mm, size.height_mm), _LEAST_HALF_MM, _MOST_HALF_MM)
    return MarkPattern(np.stack([x.ravel(), y.ravel()], axis=1), float(half))


def rendered_marks(projection: Projection, *, brightness: float = 1.0) -> NDArray[np.uint8]:
    """The marks as the projector is to send them: grey sRGB codes ``(H, W)`` uint8 of the screen, black around.

    Every pixel sends the share of light that the light squares cover of it, from 16 samples.
    """
    pattern = mark_pattern(projection.size)
    cover = np.zeros((projection.height, projection.width), np.uint8)
    half = pattern.half_mm
    square = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    for point in pattern.points:
        around = projection.mm_to_px(point + square)
        left, top = np.clip(np.floor(around.min(axis=0)).astype(int) - 1, 0, [projection.width, projection.height])
        right, bottom = np.clip(np.ceil(around.max(axis=0)).astype(int) + 2, 0, [projection.width, projection.height])
        if right > left and bottom > top:
            cover[top:bottom, left:right] |= _cover(projection, point, half, (left, top, right, bottom))
    return lit(cover, brightness)


def rendered_frame(projection: Projection, *, brightness: float = 1.0) -> NDArray[np.uint8]:
    """The canvas's own outline, a cross inside every corner and one in the middle, to pull the corners by.

    Grey sRGB codes ``(H, W)`` uint8 of the screen.
    """
    wide, high = projection.size.width_mm, projection.size.height_mm
    arm = _ARM_SHARE * min(wide, high)
    outline = np.array([[0, 0], [wide, 0], [wide, high], [0, high], [0, 0]], dtype=np.float64)
    bars = np.array([[[-arm, 0], [arm, 0]], [[0, -arm], [0, arm]]])
    places = [(wide / 2, high / 2), *((x, y) for x in (arm, wide - arm) for y in (arm, high - arm))]
    crosses = [np.asarray(place) + bar / 2 for place in places for bar in bars]
    return rendered_chains((outline, *crosses), projection, weight_px=_FRAME_PX, brightness=brightness)


def _cover(projection: Projection, point: Points, half: float, box: tuple[int, int, int, int]) -> NDArray[np.uint8]:
    left, top, right, bottom = box
    fine = (np.arange(_FINE) + 0.5) / _FINE - 0.5
    x = (np.arange(left, right)[:, None] + fine).ravel()
    y = (np.arange(top, bottom)[:, None] + fine).ravel()
    # Row by column, since a pair for each of the samples would take five times as long.
    to_mm = np.linalg.inv(projection.matrix)
    lifted = [(row[0] * x + (row[1] * y + row[2])[:, None]).astype(np.float32) for row in to_mm]
    across, down = lifted[0] / lifted[2] - np.float32(point[0]), lifted[1] / lifted[2] - np.float32(point[1])
    inside = (np.abs(across) <= half) & (np.abs(down) <= half) & (across * down > 0)
    shares = inside.reshape(bottom - top, _FINE, right - left, _FINE).mean(axis=(1, 3))
    return np.asarray(np.rint(255 * shares), dtype=np.uint8)
