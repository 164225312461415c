"""A picture laid flat on the canvas face, at a stated number of pixels per millimetre."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.size import Size


@dataclass(frozen=True)
class Flat:
    """Linear light over the whole canvas face.

    ``linear``: ``(H, W, 3)`` float32 in the sRGB primaries, with H, W the canvas in mm times ``px_per_mm`` (rounded).
    Pixel ``(row, column)`` has its centre at ``((column + 0.5) / px_per_mm, (row + 0.5) / px_per_mm)`` mm.
    ``seen``: ``(H, W)`` bool, False where the photo does not reach, or None when all was seen.
    """

    linear: NDArray[np.float32]
    px_per_mm: float
    size: Size
    seen: NDArray[np.bool_] | None = None
