"""The surface of a layer of paint: Saunderson's correction between the light inside it and what is measured.

Saunderson, J. Opt. Soc. Am. 32, 1942, 727. ``k1`` is what the surface throws back of the light that falls on it, for
oil of index n ((n - 1)/(n + 1))^2, 0.04 at n = 1.5; ``k2`` what it throws back of the light that comes from within, 0.6
for light in all directions. Both are from 0 to below 1. Measured with the gloss kept out, ``k1`` is 0 in part.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

K1, K2 = 0.04, 0.6


def saunderson(r: ArrayLike, k1: ArrayLike = K1, k2: ArrayLike = K2) -> Floats:
    """What is measured, 0-1, of paint whose reflectance within is ``r``, 0-1. ValueError for constants out of range."""
    within = np.asarray(r, dtype=np.float64)
    outer, inner = constants(k1, k2)
    return np.asarray(outer + (1.0 - outer) * (1.0 - inner) * within / (1.0 - inner * within))


def saunderson_inverse(r: ArrayLike, k1: ArrayLike = K1, k2: ArrayLike = K2) -> Floats:
    """Reflectance within, from a measured one ``r``, 0-1; below 0 where ``r`` is below ``k1``, which is not clipped.

    ValueError for constants out of range.
    """
    measured = np.asarray(r, dtype=np.float64)
    outer, inner = constants(k1, k2)
    return np.asarray((measured - outer) / (1.0 - outer - inner + inner * measured))


def constants(k1: ArrayLike, k2: ArrayLike) -> tuple[Floats, Floats]:
    """Both as arrays. ValueError unless they are from 0 to below 1, and their sum below 1."""
    outer, inner = np.asarray(k1, dtype=np.float64), np.asarray(k2, dtype=np.float64)
    if not np.all((outer >= 0) & (inner >= 0) & (outer + inner < 1)):
        raise ValueError(f"surface constants are not below 0 and add up to less than 1, got {outer} and {inner}")
    return outer, inner
