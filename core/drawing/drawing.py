"""Lines and landmarks on the canvas face, in mm."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.size import Size


@dataclass(frozen=True)
class Line:
    """One line as a chain of cubic Bézier curves.

    ``points``: ``(3 n + 1, 2)`` float64 mm: start, then (control, control, end) for each of n curves.
    ``layer``: ``contour``, ``inner form`` or ``shadow edge``, or whatever the file's group was called.
    """

    points: NDArray[np.float64]
    closed: bool = False
    name: str = ""
    layer: str = "contour"


@dataclass(frozen=True)
class Landmark:
    """A named point, mm."""

    name: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Drawing:
    """All lines and landmarks of one painting."""

    size: Size
    lines: tuple[Line, ...] = ()
    landmarks: tuple[Landmark, ...] = ()
