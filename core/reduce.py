"""Smaller copies of whole pictures, averaged in linear light."""

from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.tone import linear_of_codes

_STRIP_PIXELS = 200_000


def reduced_linear(codes: NDArray[Any], curve: NDArray[np.float32], longest_side_px: int) -> NDArray[np.float32]:
    """Linear light ``(h, w, 3)`` float32 of ``codes`` ``(H, W, 3)``, the longer side ``longest_side_px``.

    Every pixel is the mean light of the area it covers, parts of pixels by their share. Nothing is enlarged.
    Raises ValueError when ``longest_side_px`` is under 1.
    """
    if longest_side_px < 1:
        raise ValueError(f"a picture of {longest_side_px} pixels")
    height, width = codes.shape[:2]
    scale = longest_side_px / max(height, width)
    if scale >= 1.0:
        return linear_of_codes(codes, curve)
    rows, columns = max(1, round(height * scale)), max(1, round(width * scale))
    row_edges, column_edges = (np.linspace(0.0, *ends) for ends in ((height, rows + 1), (width, columns + 1)))
    small = np.empty((rows, columns, 3), np.float32)
    step = max(1, _STRIP_PIXELS * rows // (width * height))
    for top in range(0, rows, step):
        edges = row_edges[top : min(top + step, rows) + 1]
        first, last = int(edges[0]), int(np.ceil(edges[-1]))
        strip = linear_of_codes(codes[first:last], curve)
        low = np.stack([_mean_row(strip, *pair) for pair in pairwise(edges - first)])
        small[top : top + step] = _mean_columns(low, column_edges)
    return small


def _mean_row(light: NDArray[np.float32], top: float, bottom: float) -> NDArray[np.float32]:
    """Mean ``(W, 3)`` of the rows of ``light`` from ``top`` to ``bottom``, which need not be whole."""
    first, last = int(top), int(bottom)
    total = np.add.reduce(light[first:last], axis=0)
    total -= light[first] * np.float32(top - first)
    if last < len(light):
        total += light[last] * np.float32(bottom - last)
    return np.asarray(total / np.float32(bottom - top))


def _mean_columns(light: NDArray[np.float32], edges: NDArray[np.float64]) -> NDArray[np.float32]:
    """Means ``(h, n, 3)`` of ``light`` ``(h, W, 3)`` between its n + 1 ``edges``, which are at least 1 apart."""
    whole = edges.astype(np.intp)
    parts = (edges - whole).astype(np.float32)[:, None]
    total = np.add.reduceat(light[:, : whole[-1]], whole[:-1], axis=1)
    at_edges = light[:, np.minimum(whole, light.shape[1] - 1)] * parts
    return np.asarray((total - at_edges[:, :-1] + at_edges[:, 1:]) / np.diff(edges).astype(np.float32)[:, None])
