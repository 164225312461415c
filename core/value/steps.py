"""The picture in a few value steps, with small islands joined to what lies round them."""

from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import encode_srgb, luminance_of_value
from core.value.boundaries import WHITE, Floats, equal_boundaries
from core.value.islands import join_islands
from core.value.squint import squint

SMALLEST_MM2 = 9.0
"""Islands smaller than this (3 mm square: about a brush mark) are joined to their neighbours unless told otherwise."""


@dataclass(frozen=True)
class Steps:
    """A picture in steps.

    ``index``: ``(H, W)`` uint8, 0 the darkest step. ``levels``: ``(count,)`` Munsell value that each step is shown
    at. ``boundaries``: ``(count - 1,)`` Munsell value between steps, rising. ``shares``: ``(count,)`` share of the
    picture in each step, together 1.
    """

    index: NDArray[np.uint8]
    levels: Floats
    boundaries: Floats
    shares: Floats

    @property
    def count(self) -> int:
        return len(self.levels)


def value_steps(
    value: NDArray[Any],
    count: int,
    *,
    px_per_mm: float,
    smallest_mm2: float = SMALLEST_MM2,
    squint_mm: float = 0.0,
) -> Steps:
    """``value`` ``(H, W)`` Munsell value, in ``count`` (2-10) steps of equal Munsell value, shown at their middles.

    Otherwise as :func:`steps_between`.
    """
    found = steps_between(
        value, equal_boundaries(count), px_per_mm=px_per_mm, smallest_mm2=smallest_mm2, squint_mm=squint_mm
    )
    return replace(found, levels=(np.arange(count) + 0.5) * WHITE / count)


def steps_between(
    value: NDArray[Any],
    boundaries: Floats,
    *,
    px_per_mm: float,
    smallest_mm2: float = SMALLEST_MM2,
    squint_mm: float = 0.0,
) -> Steps:
    """``value`` ``(H, W)`` Munsell value, in the steps that ``boundaries`` (see :mod:`core.value.boundaries`) part.

    A place whose value is a boundary belongs to the lighter step. With ``squint_mm`` the picture is first blurred in
    linear light. Connected islands smaller than ``smallest_mm2`` then join the neighbour they share the longest border
    with. Each step is shown at the mean value of what lies in it; an empty one at the middle of its range. Before the
    joining the answer is monotone: a lighter place never falls in a darker step. Taking the shown values through again
    with the same settings (and no squint) changes nothing. ValueError for a value that is not 2-D, or NaN.
    """
    picture = np.asarray(value, dtype=np.float32)
    if picture.ndim != 2 or picture.size == 0:
        raise ValueError(f"expected a picture of values (H, W), got shape {picture.shape}")
    if not cv2.checkRange(picture)[0]:
        raise ValueError("the values hold places that are not numbers; fill or crop them first")
    if squint_mm > 0:
        picture = squint(picture, squint_mm, px_per_mm)
    parted = index = _step_of(picture, boundaries)
    if smallest_mm2 > 0:
        index = join_islands(index, smallest_px=smallest_mm2 * px_per_mm**2)
    shares = np.bincount(index.ravel(), minlength=len(boundaries) + 1) / index.size
    return Steps(index, _mean_levels(picture, parted, boundaries), boundaries, shares)


def steps_picture(steps: Steps) -> NDArray[np.uint8]:
    """The steps as flat greys for showing: ``(H, W)`` uint8, sRGB."""
    greys = np.rint(255 * encode_srgb(luminance_of_value(steps.levels))).astype(np.uint8)
    return np.asarray(greys[steps.index])


def one_step_picture(steps: Steps, step: int) -> NDArray[np.uint8]:
    """One step alone, ``(H, W)`` uint8 sRGB: its own grey on black or, for the darker half of the scale, on white."""
    if not 0 <= step < steps.count:
        raise IndexError(f"there is no step {step} among {steps.count}")
    level = float(steps.levels[step])
    ground = WHITE if level < WHITE / 2 else 0.0
    greys = np.rint(255 * encode_srgb(luminance_of_value(np.array([ground, level])))).astype(np.uint8)
    return np.asarray(greys[(steps.index == step).astype(np.uint8)])


def _step_of(picture: NDArray[np.float32], boundaries: Floats) -> NDArray[np.uint8]:
    index = np.zeros(picture.shape, np.uint8)
    for boundary in boundaries:
        above = np.asarray(cv2.compare(picture, float(np.float32(boundary)), cv2.CMP_GE)).reshape(picture.shape)
        index += above & np.uint8(1)
    return index


def _mean_levels(picture: NDArray[np.float32], index: NDArray[np.uint8], boundaries: Floats) -> Floats:
    """Of what lies in each step before islands were joined, so that a level lies within its step's range."""
    seen = np.minimum(picture, np.float32(WHITE))
    ends = np.concatenate([[0.0], boundaries, [WHITE]])
    levels: Floats = (ends[:-1] + ends[1:]) / 2
    for step in range(len(levels)):
        mask = np.asarray(cv2.compare(index, step, cv2.CMP_EQ))
        if mask.any():
            levels[step] = np.clip(cv2.mean(seen, mask)[0], ends[step], ends[step + 1])
    return levels
