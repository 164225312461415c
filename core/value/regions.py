"""The shapes of a picture in steps, as a map of neighbours: how light, how large, where, and what each one touches."""

from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.value.islands import islands, shared_borders
from core.value.steps import Steps


@dataclass(frozen=True)
class Region:
    """One connected shape of one step.

    ``value``: its mean Munsell value, ``deviation``: the standard deviation of value in it. ``x_mm, y_mm``: the point
    inside it that is farthest from its edge. ``borders_mm``: length of the border with each neighbour, by its index.
    """

    index: int
    step: int
    value: float
    deviation: float
    area_mm2: float
    x_mm: float
    y_mm: float
    borders_mm: dict[int, float] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Regions:
    """``label``: ``(H, W)`` int32, index of the region at every pixel. ``every``: the regions by index."""

    label: NDArray[np.int32]
    every: tuple[Region, ...]
    px_per_mm: float

    def at(self, x_mm: float, y_mm: float) -> Region:
        """The region at a point of the canvas; the nearest pixel's for a point outside."""
        row, column = (
            int(np.clip(mm * self.px_per_mm, 0, side - 1))
            for mm, side in zip((y_mm, x_mm), self.label.shape, strict=True)
        )
        return self.every[int(self.label[row, column])]


def regions_of(value: NDArray[Any], steps: Steps, *, px_per_mm: float) -> Regions:
    """The regions of ``steps``, with what ``value`` ``(H, W)``, Munsell value on the same pixels, is in each."""
    picture = np.asarray(value, dtype=np.float64)
    if picture.shape != steps.index.shape:
        raise ValueError(f"value and steps differ in shape: {picture.shape}, {steps.index.shape}")
    found = islands(steps.index)
    label, step, area, count = found.label, found.step, found.area, len(found.step)
    mean, square = found.sums(picture) / area, found.sums(picture**2) / area
    y, x = np.divmod(found.largest(_depth(label)), label.shape[1])
    borders: list[dict[int, float]] = [{} for _ in range(count)]
    for one, other, length in zip(*(each.tolist() for each in shared_borders(label, count)), strict=True):
        borders[one][other] = borders[other][one] = length / px_per_mm
    every = tuple(
        Region(
            index=k,
            step=int(step[k]),
            value=float(mean[k]),
            deviation=float(np.sqrt(max(square[k] - mean[k] ** 2, 0.0))),
            area_mm2=float(area[k]) / px_per_mm**2,
            x_mm=float(x[k] + 0.5) / px_per_mm,
            y_mm=float(y[k] + 0.5) / px_per_mm,
            borders_mm=borders[k],
        )
        for k in range(count)
    )
    return Regions(label, every, px_per_mm)


def _depth(label: NDArray[np.int32]) -> NDArray[np.float32]:
    """How far every pixel lies from the edge of its region, pixels."""
    padded = np.pad(label, 1, constant_values=-1)
    inside = np.ones(label.shape, bool)
    for rows, columns in ((slice(2, None), slice(1, -1)), (slice(None, -2), slice(1, -1))):
        inside &= (padded[rows, columns] == label) & (label == padded.T[rows, columns].T)
    return np.asarray(cv2.distanceTransform(inside.astype(np.uint8), cv2.DIST_L2, 5), dtype=np.float32)
