"""Whether a picture has colour at all: greys, and sepias whose hue follows their lightness, have no temperature."""

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.errors import PainterError
from core.temperature.warmth import lab_map

_SEEN = 12_000
_BINS = 100
_LEAST_SPREAD = 4.0
"""C* by which one place in a hundred must stand off what its lightness lets expect. JPEGs of greys and sepias reach
0.9, the dullest of nine colour photographs and paintings 6."""


def colour_spread(linear: NDArray[Any]) -> float:
    """How far colours of linear light ``(H, W, 3)`` (NaN: withheld) stand off the mean of their lightness: C* that one
    place in a hundred exceeds; 0 where too little is known."""
    factor = max(1, int(np.sqrt(linear.shape[0] * linear.shape[1] / _SEEN)))
    known = np.nan_to_num(np.asarray(linear, dtype=np.float32), nan=-1.0)
    size = (max(1, linear.shape[1] // factor), max(1, linear.shape[0] // factor))
    small = np.asarray(cv2.resize(known, size, interpolation=cv2.INTER_AREA))
    colour = lab_map(small)[small.min(axis=2) >= 0]
    if len(colour) < _BINS:
        return 0.0
    at = np.clip((colour[:, 0] / 100 * _BINS).astype(np.int64), 0, _BINS - 1)
    count = np.maximum(np.bincount(at, minlength=_BINS), 1)
    off = [colour[:, k] - (np.bincount(at, colour[:, k], _BINS) / count)[at] for k in (1, 2)]
    return float(np.percentile(np.hypot(*off), 99))


def require_colour(linear: NDArray[Any], *, name: str = "reference") -> None:
    """PainterError when the picture is grey or toned in one colour."""
    if colour_spread(linear) < _LEAST_SPREAD:
        raise PainterError(
            f"This {name} has no colour: which passages are warm or cool cannot be told from it. "
            "Choose a colour photograph for the temperature question."
        )
