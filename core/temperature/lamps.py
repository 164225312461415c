"""Whether the light of a picture comes in two colours: a lamp from one side, a window from the other.

Near-neutral places in the light are parted by T in two; the light comes in two colours when the parts differ by much,
do not run into each other, and lie on different sides of the picture. A warm cup before a cool wall differs as much,
but its parts lie among each other. It is a hint that an ordinary rule may not hold, no measurement of the light.

A soft change from one light to the other parts nothing, so a drift of the chromaticity of those places across the
picture, as :func:`core.temperature.cast.drift_across` finds it, counts too where it is large.

On six photographs as they are and lit by two lamps in four ways each (3000 to 4000 K against 6500 to 7500 K, running
into each other softly or at a border): two lamps were seen in 20 of 24 and, other directions kept apart, in 56 of 72;
by the parts alone in 16 and 47, by the drift alone in 10 and 30. In none of the six as they are, on which the limits
were set.
"""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE
from core.temperature.cast import drift_across
from core.temperature.warmth import TO_A, TO_B, lab_map, warmth

Mask = NDArray[np.bool_]

_CELL_MM = 2.0
_NEUTRAL_CHROMA = 25.0
_FEWEST_CELLS, _LEAST_SHARE = 100, 0.05
_APART, _CLEARLY, _SIDES = 12.0, 2.5, 0.7
"""T between the parts; that over their own spread; and the share of each part that a straight line parts rightly."""
_DRIFT = 24.0
"""T, nine in ten of the near-neutral places, all brought to one luminance; photographs in one light reach 20."""
_LEVEL, _DARKEST = np.float32(0.3), np.float32(2e-3)
_BINS = 100


def two_lights(linear: NDArray[Any], in_light: Mask, *, px_per_mm: float) -> bool:
    """Whether the light family ``in_light`` ``(H, W)`` of linear light ``(H, W, 3)`` seems lit in two colours."""
    height, width = in_light.shape
    size = tuple(max(1, round(n / max(1.0, _CELL_MM * px_per_mm))) for n in (width, height))
    small = np.asarray(cv2.resize(np.asarray(linear, np.float32), size, interpolation=cv2.INTER_AREA))
    colour = lab_map(small)
    inside = np.asarray(cv2.resize(in_light.astype(np.float32), size, interpolation=cv2.INTER_AREA)) > 0.9
    neutral = inside & (np.hypot(colour[..., 1], colour[..., 2]) < _NEUTRAL_CHROMA)
    if np.count_nonzero(neutral) < max(_FEWEST_CELLS, _LEAST_SHARE * np.count_nonzero(inside)):
        return False
    if _drifts(small, neutral, size[0] / width * px_per_mm):
        return True
    told = TO_A * colour[..., 1][neutral] + TO_B * colour[..., 2][neutral]
    if np.ptp(told) < _APART:
        return False
    warm = told > _parting(told)
    if warm.all() or not warm.any():
        return False
    apart = float(told[warm].mean() - told[~warm].mean())
    spread = float(np.sqrt((told[warm].var() + told[~warm].var()) / 2))
    return apart >= _APART and apart >= _CLEARLY * spread and _on_sides(neutral, warm) >= _SIDES


def _drifts(linear: NDArray[np.float32], neutral: Mask, px_per_mm: float) -> bool:
    level = _LEVEL / np.maximum((linear @ LUMINANCE).astype(np.float32), _DARKEST)
    told = np.where(neutral, warmth(linear * level[..., None]), np.float32(np.nan))
    low, high = np.percentile(drift_across(told, px_per_mm)[neutral], (5, 95))
    return bool(high - low >= _DRIFT)


def _parting(told: NDArray[np.floating]) -> float:
    """The T that parts in two with the most variance between."""
    count, edges = np.histogram(told, bins=_BINS)
    middle = (edges[:-1] + edges[1:]) / 2
    below = np.cumsum(count)[:-1].astype(np.float64)
    above = len(told) - below
    sums = np.cumsum(count * middle)
    apart = (sums[-1] - sums[:-1]) / np.maximum(above, 1) - sums[:-1] / np.maximum(below, 1)
    return float(edges[1:-1][int((below * above * apart**2).argmax())])


def _on_sides(neutral: Mask, warm: Mask) -> float:
    """How well one straight line parts the warm places from the cool: mean share of each on its side, 0-1."""
    row, column = np.nonzero(neutral)
    terms = np.stack([np.ones(len(row)), column / neutral.shape[1], row / neutral.shape[0]], axis=1)
    by_place = np.linalg.lstsq(terms, warm.astype(np.float64), rcond=None)[0]
    side = terms @ by_place > 0.5
    return float((side[warm].mean() + (~side[~warm]).mean()) / 2)
