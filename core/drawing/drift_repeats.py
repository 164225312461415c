"""Where the reference repeats itself, and a window could as well be its neighbour.

A woven cloth, a row of tiles: shifted by its period it looks the same, and no match tells one thread from the next. So
the reference is laid over itself at every shift of a neighbourhood; a second peak of correlation, with a dip between it
and no shift at all, is a repeat. An edge slides along itself without a dip and is none. (Local self-similarity:
Shechtman and Irani 2007, here to tell what is not distinct.)
"""

from collections.abc import Iterator, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.drift_features import Plane, directions, energy, shrunk
from core.drawing.drift_grid import Grid

Array = NDArray[np.float64]

REACH_PX, NEAREST_PX = 6, 3
"""Shifts looked at, in pixels of each resolution: a period less than the nearest is one with the brushwork."""
DIP = 0.2
"""How much the correlation must fall between the place and its repeat."""
REPEAT_FROM, REPEAT_FULL = 0.7, 0.9
"""Correlation with the repeat at which a place begins to be doubtful, and at which it tells nothing."""
LEAST = 1e-4


def distinctness(channels: Sequence[Plane], grid: Grid, px_per_mm: float, unit: float) -> Array:
    """From 1 (like nothing about it) to nearly 0 (repeats itself) at each node, ``(h, w)``.

    ``channels``: log channels of the reference at ``px_per_mm``; looked at with a half and with a quarter of it.
    """
    repeat = np.zeros((grid.height, grid.width))
    for share in (0.5, 0.25):
        width, height = (round(side * px_per_mm * share) for side in (grid.size.width_mm, grid.size.height_mm))
        smaller = [shrunk(channel, width, height) for channel in channels]
        looked = directions(smaller, px_per_mm * share, 0.8 / (share * px_per_mm))
        repeat = np.maximum(repeat, _repeat(looked, grid, sigma=6.0 * unit / grid.step_x))
    return np.clip((REPEAT_FULL - repeat) / (REPEAT_FULL - REPEAT_FROM), LEAST, 1)


def _repeat(planes: Sequence[Plane], grid: Grid, sigma: float) -> Array:
    """Correlation ``(h, w)`` with the best repeat."""

    def pooled(plane: Plane) -> Plane:
        cells = cv2.resize(plane, (grid.width, grid.height), interpolation=cv2.INTER_AREA)
        return np.asarray(cv2.GaussianBlur(cells, (0, 0), sigma), dtype=np.float32)

    strength = energy(planes)
    found: dict[tuple[int, int], Array] = {(0, 0): np.ones((grid.height, grid.width))}
    for down, across in _half_disc(REACH_PX):
        moved = np.array([[1, 0, across], [0, 1, down]], dtype=np.float32)
        shifted = [cv2.warpAffine(plane, moved, plane.shape[::-1], flags=cv2.INTER_NEAREST) for plane in planes]
        alike = pooled(sum(cv2.multiply(one, other) for one, other in zip(planes, shifted, strict=True)))
        inside = cv2.warpAffine(np.ones_like(strength), moved, strength.shape[::-1], flags=cv2.INTER_NEAREST)
        both = pooled(cv2.multiply(strength, inside)) * pooled(energy(shifted))
        found[down, across] = (alike / np.sqrt(np.maximum(both, 1e-6))).astype(np.float64)
    repeat = np.zeros((grid.height, grid.width))
    for (down, across), likeness in found.items():
        if np.hypot(down, across) >= NEAREST_PX:
            between = found[_half_of(down, across)]
            repeat = np.maximum(repeat, np.where(likeness - between > DIP, likeness, 0))
    return repeat


def _half_disc(reach: int) -> Iterator[tuple[int, int]]:
    """Whole shifts (down, across) within ``reach``, one of each pair of opposite ones."""
    for down in range(reach + 1):
        for across in range(-reach, reach + 1):
            if (down, across) > (0, 0) and np.hypot(down, across) <= reach + 0.5:
                yield down, across


def _half_of(down: int, across: int) -> tuple[int, int]:
    """The whole shift half way, in the half disc."""
    half = (int(down / 2), int(across / 2))
    return half if half >= (0, 0) else (-half[0], -half[1])
