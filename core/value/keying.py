"""Keying: the reference's values brought within the reach of paint, so that relations hold where they matter.

Three ways, each a rising curve from the reference's value to the painting's. Keep the lights: differences among the
lights stay as they are; the picture is lowered as a whole as far as its lightest asks for it, and what is darker than
a knee is pressed together towards the darkest that the paint can be. Keep the darks: the other way round. Compress
evenly: all differences shrink alike. Where the reference lies within the reach nothing is changed. (That painters key
up or down is common practice, no source; the curves are ours.)
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.tone import luminance_of_linear, luminance_of_values, strips, value_of_luminance
from core.value.boundaries import WHITE
from core.value.reach import Reach

Floats = NDArray[np.float64]
Map = NDArray[np.float32]

KNEE = 3.0
"""What is pressed together reaches inward this many times as far as the reference reaches out: at the very end a
difference is then still shown at a third of its size."""
EXTREME = 0.1
"""Per cent of the reference at either end that may fall beyond: specks and highlights, which are clipped."""
_SAMPLES = 1001
_KEPT = 0.9
_AT_END = 2 * WHITE / _SAMPLES
_BLACK = 1e-5
_PER_STEP, _ENTRIES = 1000, 15_001  # of the table of values: glare reads up to 15


class Keying(StrEnum):
    """The three ways, and none."""

    NONE = "as it is"
    LIGHTS = "keep the lights"
    DARKS = "keep the darks"
    EVENLY = "compress evenly"


@dataclass(frozen=True, eq=False)
class KeyingCurve:
    """``at``: ``(n,)`` float64 reference values from 0 to 10, rising; ``becomes``: the painting's value at each.

    ``kept``: share of the reference, 0-1, where differences of value stay as they are, to a tenth. ``least_slope``: the
    smallest share of a difference that is left anywhere between the reference's own extremes, 0-1.
    """

    keying: Keying
    reach: Reach
    at: Floats
    becomes: Floats
    kept: float
    least_slope: float

    def of(self, value: NDArray[Any]) -> Map:
        """Munsell values of any shape, keyed; NaN stays NaN. Pictures are looked up, to 0.001 step."""
        given = np.asarray(value)
        if given.size <= _ENTRIES:
            return np.asarray(np.interp(given, self.at, self.becomes), dtype=np.float32)
        table = self.of(np.arange(_ENTRIES) / _PER_STEP)
        place = np.nan_to_num(given.astype(np.float32)) * np.float32(_PER_STEP) + np.float32(0.5)
        keyed = table[np.clip(place, 0, _ENTRIES - 1, out=place).astype(np.uint16)]
        keyed[np.isnan(given)] = np.nan
        return np.asarray(keyed, dtype=np.float32)


def keying_curve(value: NDArray[Any], reach: Reach, keying: Keying) -> KeyingCurve:
    """The curve that keys a reference of these Munsell values (any shape, NaN left out) into the reach."""
    told = np.asarray(value, dtype=np.float32).ravel()
    told = told[np.isfinite(told)]
    low, high = (float(end) for end in np.percentile(told, [EXTREME, 100 - EXTREME])) if told.size else (0.0, WHITE)
    at = np.linspace(0.0, WHITE, _SAMPLES)
    dark, light = max(reach.darkest - low, 0.0), max(high - reach.lightest, 0.0)
    if keying is Keying.LIGHTS:
        becomes = _pressed_down(at - light, low - light, reach.darkest)
    elif keying is Keying.DARKS:
        becomes = WHITE - _pressed_down(WHITE - at - dark, WHITE - high - dark, WHITE - reach.lightest)
    elif keying is Keying.EVENLY:
        becomes = low + dark + (at - low) * ((high - light - low - dark) / max(high - low, 1e-6))
    else:
        return KeyingCurve(keying, reach, at, at, 1.0, 1.0)
    becomes = np.clip(becomes, reach.darkest, reach.lightest)
    slope = np.gradient(becomes, at)
    inside = slope[(at > low + _AT_END) & (at < high - _AT_END)]
    kept = _share_at(told, np.interp(np.arange(_ENTRIES) / _PER_STEP, at, slope) >= _KEPT)
    return KeyingCurve(keying, reach, at, becomes, kept, float(inside.min()) if inside.size else 1.0)


def _share_at(told: Map, chosen: NDArray[np.bool_]) -> float:
    """Share of the values ``(n,)`` whose entry in the table of values is ``chosen``; 1 where there are none."""
    entry = np.clip(told * np.float32(_PER_STEP) + np.float32(0.5), 0, _ENTRIES - 1).astype(np.uint16)
    counts = np.bincount(entry, minlength=_ENTRIES)
    return float(counts[chosen].sum() / told.size) if told.size else 1.0


def keyed_linear(linear: Map, curve: KeyingCurve) -> Map:
    """Linear light ``(H, W, 3)`` with its values keyed and its chromaticity kept; black becomes a neutral dark.

    Values are looked up, to 0.001 step, strip by strip: 12 megapixels take 0.2 s of a processor; the curve itself at
    every pixel in one sweep, the other way tried, takes 1.4 s.
    """
    before = np.asarray(linear, dtype=np.float32)
    answer = np.empty_like(before)
    wanted_at = luminance_of_values(curve.of(np.arange(_ENTRIES, dtype=np.float64) / _PER_STEP)[None, :])[0]
    for rows in strips(before.shape):
        luminance = luminance_of_linear(before[rows])
        at = np.nan_to_num(value_of_luminance(luminance)) * np.float32(_PER_STEP) + np.float32(0.5)
        wanted = wanted_at[at.astype(np.uint16)]
        told = luminance > _BLACK
        gain = np.where(told, wanted / np.maximum(luminance, np.float32(_BLACK)), np.float32(0.0))
        np.multiply(before[rows], gain[..., None], out=answer[rows])
        if not told.all():
            answer[rows] += np.where(told, np.float32(0.0), wanted)[..., None]
    return answer


def _pressed_down(at: Floats, low: float, floor: float) -> Floats:
    """Values whose darkest is ``low``, with all below a knee pressed together so that ``low`` comes to ``floor``."""
    over = floor - low
    if over <= 0.0:
        return at
    knee = low + KNEE * over
    if knee >= WHITE:  # nothing would be left as it is: straight
        return floor + (np.maximum(at, low) - low) * ((WHITE - floor) / (WHITE - low))
    below = np.clip(knee - at, 0.0, knee - low)
    return np.where(at < knee, knee - below + below**2 * (over / (knee - low) ** 2), at)
