"""One-term radial lens distortion: straightening and bending points.

x_photo = c + (x_straight - c) (1 + k1 r²), r = |x_straight - c| / (half the photo's diagonal), c the photo's centre:
the first term of the radial series of Brown 1971, Photogrammetric Engineering 37(8), 855-866. k1 < 0 is barrel.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import CanvasError

LARGEST_K1 = 0.14
"""Beyond -4/27 a barrel folds over before it reaches the photo's corners; no camera used on an easel comes near."""


def straighten(points: ArrayLike, k1: float, width: int, height: int) -> NDArray[np.float64]:
    """Where photo points ``(..., 2)`` px would lie had the lens drawn straight lines straight; ``(..., 2)`` float64.

    The inverse of :func:`bend` to better than 1e-9 px anywhere in the photo. ``width, height``: the photo's pixels.
    Raises CanvasError when ``abs(k1)`` is above 0.14.
    """
    offset, centre, half_diagonal = _from_centre(points, k1, width, height)
    if k1 == 0.0:
        return np.asarray(points, dtype=np.float64).copy()
    far = np.sqrt((offset**2).sum(axis=-1, keepdims=True))
    # Newton on r (1 + k1 r²) = far. A barrel only reaches so far: beyond, the fold itself is answered.
    fold = np.sqrt(1.0 / (-3.0 * k1)) if k1 < 0 else np.inf
    r = np.minimum(far, 0.999 * fold)
    for _ in range(20):
        change = (r * (1 + k1 * r * r) - far) / (1 + 3 * k1 * r * r)
        r = np.clip(r - change, 0.0, 0.999 * fold)
        if np.abs(change).max(initial=0.0) < 1e-13:
            break
    return np.asarray(centre + offset / (1 + k1 * r * r) * half_diagonal)


def bend(points: ArrayLike, k1: float, width: int, height: int) -> NDArray[np.float64]:
    """Where the lens puts straight points ``(..., 2)`` px in the photo, ``(..., 2)``: see :func:`straighten`."""
    offset, centre, half_diagonal = _from_centre(points, k1, width, height)
    r2 = (offset**2).sum(axis=-1, keepdims=True)
    return np.asarray(centre + offset * (1 + k1 * r2) * half_diagonal)


def _from_centre(
    points: ArrayLike, k1: float, width: int, height: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    if not abs(k1) <= LARGEST_K1:
        raise CanvasError(f"A lens bend of k1 = {k1:g} is not a camera's. Give between -{LARGEST_K1} and {LARGEST_K1}.")
    centre = np.array([(width - 1) / 2, (height - 1) / 2])
    half_diagonal = float(np.hypot(width, height)) / 2
    return (np.asarray(points, dtype=np.float64) - centre) / half_diagonal, centre, half_diagonal
