"""The light of one photo of a painting brought to that of another, though passages were painted in between.

Most of what was painted is left out of the fit. Where much differs it may be either part that was painted: every guess
is fitted, and that is taken with which the most of the canvas agrees.

Ways measured as :mod:`core.two_photos` tells, eight pairs each, error where nothing was painted on average and at
worst, passages found and false ones. Up to five passages: one gain 0.122, 0.274, 32 of 32 and 5; a smooth field over
all 0.027, 0.057, 32 and 0; this 0.023, 0.047, 32 and 0. Nothing painted: 0.137, 0.285 and 9 false; 0.022, 0.042 and
none; the same. One passage over two fifths of the canvas (seeds 20 to 27): 0.192, 0.504, 7 of 8 and 2; 0.375, 1.365,
6 of 8 and 4; this 0.015, 0.022, 8 and 0, and on six kept apart (40 to 45) 0.023, 0.031, 6 and 0, one of them told as a
guess.
"""

from dataclasses import replace

import cv2
import numpy as np

from core.canvas.flat import Flat
from core.tone import value_of_linear
from core.value.light import LightCorrection, correct_light
from core.value.light_grid import Map, Mask

_SMOOTH_MM, _AROUND_MM = 2.0, 3.0
_PAINTED_STEPS = 0.35
"""From how far off the commonest difference a place counts as painted since."""
_AGREES_STEPS = 0.15
_LARGE_SHARE = 0.15
"""From which share of the canvas that differs on, it is asked which of its parts was painted."""
_CLEAR_SHARE, _UNSURE_STEPS = 0.5, 0.6
"""Where less of the canvas than this agrees, the light is a guess, nine in ten of them within so many steps."""
_BIN = 0.1


def light_between(earlier: Flat, later: Flat, *, withheld: Mask) -> LightCorrection:
    """What ``later`` has to be corrected by to lie in the light of ``earlier``, both laid flat on the same pixels.

    ``withheld`` ``(H, W)`` bool: glare and what is not seen. The overall level is that at which most of the canvas is
    as it was. ValueError when the pictures differ in shape.
    """
    first = correct_light(later, earlier, withheld=withheld)
    off = _off(earlier, later, first)
    painted = _painted(off, later, withheld)
    guesses = [painted]
    if painted[~withheld].mean() > _LARGE_SHARE:
        apart = _apart(off[~withheld])
        guesses += [_round(off > apart, later), _round(off < apart, later)]
    found = [_fitted(earlier, later, withheld, guess) for guess in guesses]
    light, agrees = max(found, key=lambda each: each[1])
    if agrees >= _CLEAR_SHARE:
        return light
    return replace(light, uncertainty_steps=float(np.hypot(light.uncertainty_steps, _UNSURE_STEPS)))


def _fitted(earlier: Flat, later: Flat, withheld: Mask, painted: Mask) -> tuple[LightCorrection, float]:
    """The light where nothing was painted by a guess and by what that leaves, and the share that then agrees."""
    light = correct_light(later, earlier, withheld=withheld | painted)
    again = _painted(_off(earlier, later, light), later, withheld)
    light = correct_light(later, earlier, withheld=withheld | again)
    off = _off(earlier, later, light)[~withheld]
    return light, float((np.abs(off - _commonest(off)) < _AGREES_STEPS).mean()) if off.size else 0.0


def _off(earlier: Flat, later: Flat, light: LightCorrection) -> Map:
    """Later minus earlier in steps once the light is out, smoothed."""
    off = value_of_linear(light.apply(later.linear)) - value_of_linear(earlier.linear)
    return np.asarray(cv2.GaussianBlur(off, (0, 0), _SMOOTH_MM * later.px_per_mm), dtype=np.float32)


def _painted(off: Map, flat: Flat, withheld: Mask) -> Mask:
    """Where the two differ otherwise than most of the canvas does, and a little round it."""
    return _round(np.abs(off - _commonest(off[~withheld])) > _PAINTED_STEPS, flat)


def _round(mask: Mask, flat: Flat) -> Mask:
    side = 2 * round(_AROUND_MM * flat.px_per_mm) + 1
    return np.asarray(cv2.dilate(mask.astype(np.uint8), np.ones((side, side), np.uint8)) > 0)


def _apart(off: Map) -> float:
    """The difference that best parts the places into two kinds (Otsu 1979: the most variance between the two)."""
    counts, edges = np.histogram(off, bins=np.arange(-10, 10 + _BIN, _BIN))
    below = np.cumsum(counts)[:-1].astype(np.float64)
    above = counts.sum() - below
    total = np.cumsum(counts * (edges[:-1] + _BIN / 2))
    between = (total[:-1] * counts.sum() - total[-1] * below) ** 2 / np.maximum(below * above, 1.0)
    return float(edges[int(between.argmax()) + 1])


def _commonest(off: Map) -> float:
    """The difference that most places share, steps: the peak of a smoothed count, then the median about it."""
    if off.size == 0:
        return 0.0
    counts, edges = np.histogram(off, bins=np.arange(-10, 10 + _BIN, _BIN))
    peak = int(np.convolve(counts, [1, 2, 3, 2, 1], "same").argmax())
    middle = edges[peak] + _BIN / 2
    near = off[np.abs(off - middle) < 2.5 * _BIN]
    return float(np.median(near)) if near.size else float(middle)
