"""What a whole canvas photo is warmer or cooler by: the cast of its white balance, and light of two colours.

A white-balance error multiplies the channels, so it is sought as two numbers, the commonest ratio of red and of blue
to green between canvas and reference. Passages that are off, and forms that are not of the common colour, do not pull
a mode as they pull a mean or a median.

Light of two colours is a drift across the canvas. A quadratic surface was fitted both to the differences of T and to
their own differences from place to place, on five paintings at 12 megapixels; mean error of the map afterwards. In
mixed light: not taken out 0.92, by the first 0.43, by the second 0.43. Where 35 and 45 % of the canvas were 9 of T off
to one side: 0.40 and 0.43, 1.21 and 2.06, 0.39 and 0.44. So the second is kept. By its size mixed light is told of in 8
of 10 paintings and 4 of 5 kept apart, and in none whose light was taken out.

How strong the colours are as a whole was read as 0.98 to 1.00 where they were right, and as 0.75 to 0.81 where a fifth
of their chroma was gone; by their share of chroma against grey, which a cast takes for its own, as 0.80 to 1.01.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, lab, warmth_of_lab
from core.temperature.warmth import lab_map

Map = NDArray[np.float32]
Floats = NDArray[np.float64]

_DARKEST = 1e-3
_FEWEST = 400
_SEEN = 40_000
_MIDDLE_GREY = 0.18
_COLOURED = 8.0
_CELL_MM, _LAGS_MM = 5.0, (10.0, 25.0, 50.0)
_ROUNDS, _FAR, _NEAR, _STIFF = 20, 6.0, 1.0, 1e-3
"""Scale of the Tukey weights, T, where it begins and ends; and the weight that holds the surface flat."""


@dataclass(frozen=True)
class Cast:
    """``gains``: ``(3,)`` float32, canvas over reference a channel at the commonest place, of luminance 1."""

    gains: NDArray[np.float32]

    @property
    def warmer(self) -> float:
        """By how much it moves T of a middle grey."""
        return float(warmth_of_lab(lab(_MIDDLE_GREY * self.gains.astype(np.float64))))


def cast_of(wanted: Map, canvas: Map, trust: Map, sigma_px: float) -> Cast:
    """The cast of ``canvas`` against ``wanted``, linear light ``(h, w, 3)``; ``trust`` ``(h, w)``: weight of a place,
    0 where it cannot be judged."""
    known = trust > 0
    if np.count_nonzero(known) < _FEWEST:
        return Cast(np.ones(3, np.float32))
    ratios = []
    for channel in range(3):
        here, there = (weighted(np.ascontiguousarray(p[..., channel]), trust, sigma_px) for p in (canvas, wanted))
        ratios.append(np.log(np.maximum(here[known], _DARKEST)) - np.log(np.maximum(there[known], _DARKEST)))
    gains = np.exp([commonest(ratios[0] - ratios[1]), 0.0, commonest(ratios[2] - ratios[1])])
    return Cast((gains / (gains @ LUMINANCE)).astype(np.float32))


def chroma_ratio(wanted: Map, balanced: Map, known: Map) -> float:
    """How strong the colours of ``balanced`` are beside those of ``wanted``, both linear light ``(h, w, 3)`` of one
    luminance; 1 where too few differ. ``known`` ``(h, w)``: 0 where it cannot be judged.

    The median share of the wanted difference in a*, b* between two places, of many pairs far apart: where a picture is
    all of one hue, its colours against grey would only tell of the cast.
    """
    there, here = (lab_map(p[::2, ::2])[..., 1:][known[::2, ::2] > 0] for p in (wanted, balanced))
    if len(there) < _FEWEST:
        return 1.0
    order = np.random.default_rng(0).permutation(len(there))
    apart, told = there[order] - there, here[order] - here
    square = (apart**2).sum(axis=1)
    differ = square > _COLOURED**2
    if np.count_nonzero(differ) < _FEWEST:
        return 1.0
    return float(np.median((told * apart).sum(axis=1)[differ] / square[differ]))


def commonest(values: Map) -> float:
    """Half-sample mode of values ``(n,)``; 0 of none."""
    if values.size == 0:
        return 0.0
    ordered = np.sort(values[:: max(1, values.size // _SEEN)].astype(np.float64))
    while len(ordered) > _FEWEST:
        half = (len(ordered) + 1) // 2
        start = int(np.argmin(ordered[half - 1 :] - ordered[: len(ordered) - half + 1]))
        ordered = ordered[start : start + half]
    return float(np.median(ordered))


def weighted(values: Map, trust: Map, sigma_px: float) -> Map:
    """Gaussian mean of ``values`` ``(h, w)``, each place by its ``trust``."""
    total = cv2.GaussianBlur(values * trust, (0, 0), sigma_px, borderType=cv2.BORDER_REFLECT)
    weight = cv2.GaussianBlur(trust, (0, 0), sigma_px, borderType=cv2.BORDER_REFLECT)
    return np.asarray(total / np.maximum(weight, np.float32(1e-12)), dtype=np.float32)


def drift_across(difference: Map, px_per_mm: float) -> Map:
    """The drift of ``difference`` ``(h, w)`` (T, NaN: withheld) across the whole canvas: a quadratic surface that what
    is left is commonly 0 beside. Zeros where too little is known.

    Fitted to differences between places 10 to 50 mm apart: light of two colours changes everywhere a little, a passage
    only at its border, and there it is an outlier.
    """
    height, width = difference.shape
    side = max(1, round(_CELL_MM * px_per_mm))
    thin = difference[side // 2 :: side, side // 2 :: side]
    y = np.linspace(-1, 1, height)[side // 2 :: side]
    x = np.linspace(-1, 1, width)[side // 2 :: side]
    terms = _terms(*np.meshgrid(x, y))
    apart, off = _pairs(terms, thin, [max(1, round(lag / _CELL_MM)) for lag in _LAGS_MM])
    if len(off) < _FEWEST:
        return np.zeros(difference.shape, np.float32)
    held = _STIFF * float((apart**2).mean()) * len(off) * np.eye(apart.shape[1])
    at: Floats = np.zeros(apart.shape[1])
    for turn in range(_ROUNDS):
        scale = max(_NEAR, _FAR * 0.8**turn)
        weight = np.clip(1 - ((off - apart @ at) / scale) ** 2, 0.0, None) ** 2
        pulled = apart * weight[:, None]
        at = np.asarray(np.linalg.solve(pulled.T @ apart + held, pulled.T @ off), dtype=np.float64)
    drift = _surface(at, np.linspace(-1, 1, width), np.linspace(-1, 1, height)[:, None])
    return np.asarray(drift + np.float32(commonest((difference - drift)[np.isfinite(difference)])), dtype=np.float32)


def _pairs(terms: Floats, values: Map, lags: list[int]) -> tuple[Floats, Floats]:
    """Terms and values of pairs of places, the one less the other, across and down."""
    apart, off = [], []
    for lag in lags:
        for one, other in (
            (np.s_[lag:, :], np.s_[:-lag, :]),
            (np.s_[:, lag:], np.s_[:, :-lag]),
        ):
            between = values[one] - values[other]
            told = np.isfinite(between)
            apart.append((terms[one] - terms[other])[told])
            off.append(between[told].astype(np.float64))
    return np.concatenate(apart), np.concatenate(off)


def _surface(at: Floats, x: Floats, y: Floats) -> Map:
    """The terms of every place in the columns ``x`` ``(w,)`` and rows ``y`` ``(h, 1)``, each times its factor."""
    along, down = at[0] * x + at[2] * x * x, at[1] * y + at[4] * y * y
    return np.asarray((along + at[3] * x * y + down).astype(np.float32), dtype=np.float32)


def _terms(x: Floats, y: Floats) -> Floats:
    return np.stack([x, y, x * x, x * y, y * y], axis=-1)
