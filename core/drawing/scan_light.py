"""Ink on a sheet, with the light taken out: how much darker each place is than the bare sheet beside it.

The bare sheet is estimated at 2 pixels per mm by a grey closing (maximum, then minimum, over 7 mm: wider than any line,
smaller than any shadow of a hand), evened by a median, which leaves the edge of a shadow where it is.

Measured beside the other way tried, a Gaussian of 7 mm repeated without what is darker than it (``python -m
tests.measure.scan``; 2:1 uneven light, vignetting), root mean square error of the bare sheet's light:

                                  closing     Gaussians
    no shadow                     0.5 %       0.7 %
    half shadow, edge 8 mm wide   0.6 %       5.6 %
    half shadow, edge 3 mm wide   0.9 %       10 %
"""

import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.float32]

GROUND_PX_PER_MM = 2.0
CLOSING_MM = 7.0
ROUGHEST = 0.05
EVENED_MM = 5.0
_EVENED_PX = 5
_DARKEST = 1e-4
_TILE_MM = 30.0
_BLOWN, _BRIGHTER = 0.97, 1.4


def bare_sheet(linear: Picture, px_per_mm: float) -> Picture:
    """The light of the bare sheet at every place, ``(H, W, 3)`` float32, of a sheet laid flat."""
    scale = min(1.0, GROUND_PX_PER_MM / px_per_mm)
    shape = (max(1, round(linear.shape[1] * scale)), max(1, round(linear.shape[0] * scale)))
    small = cv2.resize(linear, shape, interpolation=cv2.INTER_AREA)
    across = 2 * round(0.5 * CLOSING_MM * px_per_mm * scale) + 1
    round_ = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (across, across))
    closed = cv2.morphologyEx(small, cv2.MORPH_CLOSE, round_, borderType=cv2.BORDER_REPLICATE)
    even = np.stack([cv2.medianBlur(np.ascontiguousarray(closed[..., c]), _EVENED_PX) for c in range(3)], axis=-1)
    full = cv2.resize(even, linear.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return np.maximum(np.asarray(full, dtype=np.float32), np.float32(_DARKEST))


def darkness(linear: Picture, sheet: Picture) -> Picture:
    """How much of the bare sheet's light is missing, ``(H, W)`` float32: 0 bare, 1 black, below 0 brighter.

    Half of it is the mean of the three channels, half the most that is missing from one: coloured pencil shows, and the
    noise of grey lines is no more than a little raised.
    """
    red, green, blue = cv2.split(linear / sheet)
    mean = (red + green + blue) / np.float32(3.0)
    least = np.minimum(np.minimum(red, green), blue)
    answer: Picture = np.float32(1.0) - np.float32(0.5) * (mean + least)
    return answer - np.median(answer[::4, ::4])


def unevenness(dark: Picture, px_per_mm: float) -> Picture:
    """Standard deviation of the bare sheet's darkness ``(H, W)`` (grain, weave and noise), from tiles of 30 mm; lines
    hardly count, since only places lighter than the tile's median are looked at."""
    step = max(1, round(_TILE_MM * px_per_mm))
    rows, columns = (max(1, round(side / step)) for side in dark.shape)
    spread = np.empty((rows, columns), dtype=np.float32)
    for i, row in enumerate(np.array_split(dark, rows, axis=0)):
        for j, tile in enumerate(np.array_split(row, columns, axis=1)):
            seen = tile[::3, ::3]
            low, middle = np.quantile(seen, (0.16, 0.5))
            spread[i, j] = middle - low
    # No sheet is rougher: a tile that seems so is full of lines.
    spread = np.minimum(spread, np.float32(ROUGHEST))
    return np.asarray(cv2.resize(spread, dark.shape[::-1], interpolation=cv2.INTER_LINEAR), dtype=np.float32)


def paper_roughness(sheet: Picture, px_per_mm: float) -> tuple[float, float]:
    """How unlike paper under a lamp a bare sheet is: its logarithm's difference from itself evened over 5 mm, half of
    all places less than the first, root mean square the second.

    Measured: drawings 0.001-0.005 and 0.002-0.05 (the most with a phone's shadow), fourteen of scikit-image's pictures
    0.013-0.28 and 0.03-0.7, all but one (the blurred clock: 0.004, which
    :mod:`core.drawing.scan_sides` tells).
    """
    step = max(1, round(px_per_mm / GROUND_PX_PER_MM))
    log = np.log(sheet[::step, ::step].mean(axis=2))
    off = np.abs(log - cv2.GaussianBlur(log, (0, 0), EVENED_MM * px_per_mm / step))
    return float(np.median(off)), float(np.sqrt(np.mean(off**2)))


def glare_share(sheet: Picture) -> float:
    """Share of the sheet that is blown out and far brighter than the rest of it; 0 for an evenly white scan."""
    grey = sheet[::4, ::4].min(axis=2)
    return float(((grey > _BLOWN) & (grey > _BRIGHTER * np.median(grey))).mean())
