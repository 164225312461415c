"""Many straight lines for QPainter, whose ends change from frame to frame.

QLineF made anew for 2600 lines cost 3 ms of a frame to make and 8 to let go while other threads want Python's lock;
laid once over the memory of an array, they follow what is written into it at no cost.
"""

from typing import cast

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF
from shiboken6 import wrapInstance

_DOUBLES = 4


class LineBuffer:
    """Room for ``count`` lines. ``lines`` hold only as long as the buffer does."""

    def __init__(self, count: int) -> None:
        self._ends = np.zeros((count, _DOUBLES))
        start, step = self._ends.ctypes.data, self._ends.strides[0]
        self._lines = [cast(QLineF, wrapInstance(start + i * step, QLineF)) for i in range(count)]

    def lines(self, ends: NDArray[np.float64]) -> list[QLineF]:
        """``ends``: ``(n, 4)`` x, y, x, y, of at most ``count`` lines. They hold until the next call."""
        self._ends[: len(ends)] = ends
        return self._lines[: len(ends)]
