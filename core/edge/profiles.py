"""Values along profiles across edges, averaged on a patch along each edge."""

from typing import Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from core.edge.scale import Floats, Map, Scaled

_TOGETHER = 1024


class Places(Protocol):
    """``n`` places and the direction across the edge at each, ``(n,)`` float64, of length 1."""

    @property
    def x_mm(self) -> Floats: ...
    @property
    def y_mm(self) -> Floats: ...
    @property
    def nx(self) -> Floats: ...
    @property
    def ny(self) -> Floats: ...


def profiles_across(
    scaled: Scaled, places: Places, half_mm: Floats, along_mm: Floats, *, samples: int, patch: int, bend: Floats
) -> Map:
    """Profiles ``(n, samples)`` from ``-half_mm`` to ``half_mm``, each ``(n,)``, the mean of ``patch`` beside one
    another from ``-along_mm`` to ``along_mm``, that follow ``bend`` ``(n, 3)``, a parabola along the edge."""
    count, density = len(half_mm), scaled.px_per_mm
    half, along, nx, ny = (
        np.asarray(each, np.float32)[:, None, None] for each in (half_mm, along_mm, places.nx, places.ny)
    )
    x, y = (np.asarray(each * density - 0.5, np.float32)[:, None, None] for each in (places.x_mm, places.y_mm))
    bends = np.asarray(bend, np.float32)[:, :, None, None]
    t = np.linspace(-1, 1, samples, dtype=np.float32)[None, :, None]
    u = np.linspace(-1, 1, patch, dtype=np.float32)[None, None, :]
    profiles = np.empty((count, samples), np.float32)
    for first in range(0, count, _TOGETHER):
        part = slice(first, first + _TOGETHER)
        beside = u * along[part]
        across = t * half[part] + (bends[part, 0] + beside * (bends[part, 1] + beside * bends[part, 2]))
        column = x[part] + np.float32(density) * (across * nx[part] - beside * ny[part])
        row = y[part] + np.float32(density) * (across * ny[part] + beside * nx[part])
        seen = _read(scaled.value, np.asarray(column, np.float32), np.asarray(row, np.float32))
        profiles[part] = seen.mean(axis=2)
    return profiles


def _read(picture: Map, column: Map, row: Map) -> Map:
    wide = (len(column), -1)  # remap takes no more than 32,767 rows
    found = cv2.remap(picture, column.reshape(wide), row.reshape(wide), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
    return np.asarray(found).reshape(column.shape)


def straight(count: int) -> Floats:
    """The bend of edges that run straight."""
    return np.zeros((count, 3))


def standing_share(profiles: NDArray[np.floating], height: Floats) -> Floats:
    """By how much of the height the outer quarters of profiles ``(n, m)`` differ."""
    quarter = profiles.shape[1] // 4
    apart = profiles[:, -quarter:].mean(axis=1) - profiles[:, :quarter].mean(axis=1)
    return np.asarray(apart / np.where(np.abs(height) > 1e-6, height, 1e-6))
