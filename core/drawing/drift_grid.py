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

    def resampled(self, values: Array, width: int, height: int) -> NDArray[np.float32]:
        """Node values ``(h, w)`` or ``(h, w, k)`` on another grid of cells over the same canvas."""
        planes = np.ascontiguousarray(values, dtype=np.float32)
        return np.asarray(cv2.resize(planes, (width, height), interpolation=cv2.INTER_CUBIC), dtype=np.float32)

    def at(self, values: Array, points_mm: Array) -> Array:
        """Node values ``(h, w, k)`` at points ``(n, 2)`` mm, bicubic: ``(n, k)``."""
        planes = np.ascontiguousarray(values, dtype=np.float32)
        x = (np.clip(points_mm[:, 0] / self.step_x - 0.5, 0, self.width - 1)).astype(np.float32)
        y = (np.clip(points_mm[:, 1] / self.step_y - 0.5, 0, self.height - 1)).astype(np.float32)
        if not len(points_mm):
            return np.empty((0, values.shape[-1]))
        rows = [
            cv2.remap(
                planes[..., k].copy(), x[:, None], y[:, None], cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
            ).reshape(-1)
            for k in range(values.shape[-1])
        ]
        return np.stack(rows, axis=-1).astype(np.float64)
