"""The grid of nodes on which drift is measured, and reading it elsewhere."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.size import Size

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Grid:
    """``width`` × ``height`` equal cells over the canvas; a node sits in the middle of each."""

    size: Size
    width: int
    height: int

    @classmethod
    def of(cls, size: Size, step_mm: float) -> "Grid":
        """Cells of about ``step_mm``, at least four a side."""
        return cls(size, max(4, round(size.width_mm / step_mm)), max(4, round(size.height_mm / step_mm)))

    @property
    def step_x(self) -> float:
        return self.size.width_mm / self.width

    @property
    def step_y(self) -> float:
        return self.size.height_mm / self.height

    @property
    def cell_mm2(self) -> float:
        return self.step_x * self.step_y

    @property
    def nodes_mm(self) -> Array:
        """``(height, width, 2)``."""
        x, y = (np.arange(self.width) + 0.5) * self.step_x, (np.arange(self.height) + 0.5) * self.step_y
        return np.stack(np.meshgrid(x, y), axis=-1)

    def resampled(self, values: NDArray[np.floating], width: int, height: int) -> NDArray[np.float32]:
        """Node values ``(h, w)`` or ``(h, w, k)`` on another grid of cells over the same canvas, bicubic."""
        planes = np.ascontiguousarray(values, dtype=np.float32)
        return np.asarray(cv2.resize(planes, (width, height), interpolation=cv2.INTER_CUBIC), dtype=np.float32)

    def onto(self, values: Array, grid: "Grid") -> Array:
        """Node values on the nodes of another grid."""
        return self.resampled(values, grid.width, grid.height).astype(np.float64)

    def at(self, values: Array, points_mm: Array) -> Array:
        """Node values ``(h, w, k)`` at points ``(n, 2)`` mm, bilinear: ``(n, k)``; beyond the last nodes they stay."""
        x = np.clip(points_mm[:, 0] / self.step_x - 0.5, 0, self.width - 1)
        y = np.clip(points_mm[:, 1] / self.step_y - 0.5, 0, self.height - 1)
        left = np.minimum(x.astype(np.intp), self.width - 2)
        top = np.minimum(y.astype(np.intp), self.height - 2)
        u, v = (x - left)[:, None], (y - top)[:, None]
        upper = values[top, left] * (1 - u) + values[top, left + 1] * u
        lower = values[top + 1, left] * (1 - u) + values[top + 1, left + 1] * u
        return np.asarray(upper * (1 - v) + lower * v)
