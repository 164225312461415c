"""The picture in a few value steps of equal Munsell value, with small islands joined to what lies round them."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import encode_srgb, luminance_of_value
from core.value.islands import join_islands
from core.value.squint import squint

FEWEST, MOST = 2, 10
SMALLEST_MM2 = 9.0
"""Islands smaller than this (3 mm square: about a brush mark) are joined to their neighbours unless told otherwise."""


@dataclass(frozen=True)
class Steps:
    """A picture in steps.

    ``index``: ``(H, W)`` uint8, 0 the darkest step. ``levels``: ``(count,)`` Munsell value that each step is shown
    at (the middle of its range). ``boundaries``: ``(count - 1,)`` Munsell value between steps, ``10 i / count``.
    ``shares``: ``(count,)`` share of the picture in each step, together 1.
    """

    index: NDArray[np.uint8]
    levels: NDArray[np.float64]
    boundaries: NDArray[np.float64]
    shares: NDArray[np.float64]

    @property
    def count(self) -> int:
        return len(self.levels)


def step_boundaries(count: int) -> NDArray[np.float64]:
    """Munsell values between ``count`` equal steps from black (0) to white (10), ``(count - 1,)``, rising."""
    if not FEWEST <= count <= MOST:
        raise ValueError(f"value steps go from {FEWEST} to {MOST}; {count} was asked for")
    return np.arange(1, count) * 10.0 / count


def value_steps(
    value: NDArray[Any],
    count: int,
    *,
    px_per_mm: float,
    smallest_mm2: float = SMALLEST_MM2,
    squint_mm: float = 0.0,
) -> Steps:
    """``value`` ``(H, W)`` Munsell value, in ``count`` (2-10) steps of equal Munsell value.

    With ``squint_mm`` it is first blurred in linear light. Connected islands smaller than ``smallest_mm2`` then join
    the neighbour they share the longest border with. Before that joining the answer is monotone: a lighter place
    never falls in a darker step. Taking the shown values through again with the same settings (and no squint)
    changes nothing. ValueError for a count out of range, a value that is not 2-D, or NaN.
    """
    boundaries = step_boundaries(count)
    picture = np.asarray(value, dtype=np.float32)
    if picture.ndim != 2 or picture.size == 0:
        raise ValueError(f"expected a picture of values (H, W), got shape {picture.shape}")
    if squint_mm > 0:
        picture = squint(picture, squint_mm, px_per_mm)
    index = _step_of(picture, count)
    if smallest_mm2 > 0:
        index = join_islands(index, smallest_px=smallest_mm2 * px_per_mm**2)
    shares = np.bincount(index.ravel(), minlength=count) / index.size
    return Steps(index, (np.arange(count) + 0.5) * 10.0 / count, boundaries, shares)


def steps_picture(steps: Steps) -> NDArray[np.uint8]:
    """The steps as flat greys for showing: ``(H, W)`` uint8, sRGB."""
    greys = np.rint(255 * encode_srgb(luminance_of_value(steps.levels))).astype(np.uint8)
    return np.asarray(greys[steps.index])


def _step_of(picture: NDArray[np.float32], count: int) -> NDArray[np.uint8]:
    if not cv2.checkRange(picture)[0]:
        raise ValueError("the values hold places that are not numbers; fill or crop them first")
    return np.asarray(np.clip(picture * np.float32(count / 10.0), 0, count - 1), dtype=np.uint8)
