"""Where the painting's edges are too hard or too soft, drawn over it in faded greys.

Told apart by pattern and tone as well as by hue: too hard is a heavy unbroken line, dark; too soft a row of large
light dots with a dark rim, warm. Edges that are right are thin and grey.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.edge.compare import EdgeComparison
from core.edge.kinds import USUAL_DIAGONAL_MM
from core.edge.picture import faded
from core.edge.stretches import Stretch, Verdict
from core.edge.styles import dashed

Pixels = NDArray[np.uint8]
Colour = tuple[int, int, int]

_HARD: Colour = (16, 42, 110)
_SOFT: Colour = (245, 184, 36)
_RIGHT: Colour = (120, 120, 120)
_RIM: Colour = (255, 255, 255)
_DARK_RIM: Colour = (24, 24, 24)
LEGEND = (
    ("too hard: heavy line", _HARD),
    ("too soft or lost: row of dots", _SOFT),
    ("right: thin line", _RIGHT),
)
_HEAVY_MM, _THIN_MM, _DOT_MM, _APART_MM, _RIM_MM = 1.1, 0.3, 1.0, 3.4, 0.35
"""On a canvas of the usual size; on others by their diagonal, or a large one's would not show on the printed sheet."""
_FINE = 4


def faults_picture(picture: Pixels, compared: EdgeComparison, px_per_mm: float) -> Pixels:
    """``picture`` ``(H, W, 3)`` uint8 sRGB of the canvas laid flat, faded, with its edges on it: the same shape."""
    grey = faded(picture)
    drawn = np.ascontiguousarray(np.repeat(grey[:, :, None], 3, axis=2))
    pen = float(np.hypot(*grey.shape)) / px_per_mm / USUAL_DIAGONAL_MM
    for each in compared.stretches:
        if each.verdict is Verdict.RIGHT:
            _line(drawn, each, px_per_mm, pen * _THIN_MM, _RIGHT)
    for each in reversed(compared.faults):  # the heaviest on top
        if each.verdict is Verdict.HARD:
            _line(drawn, each, px_per_mm, pen * (_HEAVY_MM + 2 * _RIM_MM), _RIM)
            _line(drawn, each, px_per_mm, pen * _HEAVY_MM, _HARD)
        else:
            _dots(drawn, each, px_per_mm, pen)
    return drawn


def _line(drawn: Pixels, stretch: Stretch, px_per_mm: float, width_mm: float, colour: Colour) -> None:
    wide = max(1, round(width_mm * px_per_mm))
    cv2.polylines(drawn, [_fixed(stretch.path_mm, px_per_mm)], False, colour, wide, cv2.LINE_AA, _FINE)


def _dots(drawn: Pixels, stretch: Stretch, px_per_mm: float, pen: float) -> None:
    for dot in dashed(stretch.path_mm, 0.0, pen * _APART_MM):
        x, y = _fixed(dot, px_per_mm)[0, 0].tolist()
        for radius_mm, colour in ((_DOT_MM + _RIM_MM, _DARK_RIM), (_DOT_MM, _SOFT)):
            cv2.circle(drawn, (x, y), round(pen * radius_mm * px_per_mm * 2**_FINE), colour, -1, cv2.LINE_AA, _FINE)


def _fixed(points_mm: NDArray[np.float64], px_per_mm: float) -> NDArray[np.int32]:
    return np.asarray(np.rint((points_mm * px_per_mm - 0.5) * 2**_FINE).astype(np.int32).reshape(-1, 1, 2))
