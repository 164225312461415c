"""A drawn 24-patch colour chart, after colour-science's published values."""

import warnings

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import RGB_TO_XYZ

Picture = NDArray[np.float32]
WIDTH_MM, HEIGHT_MM = 108.0, 74.0
_PATCH, _GAP, _SCALE = 15.0, 2.4, 4


def published_reflectance() -> NDArray[np.float64]:
    """``(24, 3)`` linear sRGB primaries under D65: colour-science's 'ColorChecker24 - After November 2014' (xyY, ICC
    D50), adapted by its own Bradford transform."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        chart = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
        xyz = colour.xyY_to_XYZ(np.array(list(chart.data.values())))
        d65 = np.array([0.3127, 0.3290])
        adapted = colour.chromatic_adaptation(
            xyz,
            colour.xy_to_XYZ(chart.illuminant),
            colour.xy_to_XYZ(d65),
            method="Von Kries",
            transform="Bradford",
        )
    return np.asarray(adapted @ np.linalg.inv(RGB_TO_XYZ).T)


def drawn_chart() -> Picture:
    """The chart as it lies, ``(h, w, 3)`` reflectance: dark frame, 24 patches in four rows of six."""
    chart = np.full((round(HEIGHT_MM * _SCALE), round(WIDTH_MM * _SCALE), 3), 0.035, np.float32)
    step = _PATCH + _GAP
    left, top = (WIDTH_MM - 6 * step + _GAP) / 2, (HEIGHT_MM - 4 * step + _GAP) / 2
    for number, colour in enumerate(published_reflectance()):
        row, column = divmod(number, 6)
        x, y = (left + column * step) * _SCALE, (top + row * step) * _SCALE
        box = (round(x), round(y)), (round(x + _PATCH * _SCALE), round(y + _PATCH * _SCALE))
        cv2.rectangle(chart, *box, tuple(float(c) for c in colour), -1)
    return chart
