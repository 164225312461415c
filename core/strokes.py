"""Strokes of a brush over a picture: which places lie under a line of a width, in mm."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Points = Sequence[tuple[float, float]]

_AT_ONCE = 8


def under_line(x_mm: Floats, y_mm: Floats, points_mm: Points, width_mm: float) -> Mask:
    """Which places ``(n,)`` lie within half of ``width_mm`` of a line ``points_mm`` (one point: a dab)."""
    half = width_mm / 2
    starts, ends = _segments(points_mm)
    low, high = np.minimum(starts, ends).min(axis=0) - half, np.maximum(starts, ends).max(axis=0) + half
    near = np.flatnonzero((x_mm >= low[0]) & (x_mm <= high[0]) & (y_mm >= low[1]) & (y_mm <= high[1]))
    under = np.zeros(len(x_mm), bool)
    under[near[_within(x_mm[near], y_mm[near], starts, ends, half)]] = True
    return under


def pixels_under_line(shape: tuple[int, int], points_mm: Points, width_mm: float, *, px_per_mm: float) -> Mask:
    """Which pixels ``(H, W)`` of a picture, by their centres, lie under such a line; the line may leave the picture."""
    under = np.zeros(shape, bool)
    half = width_mm / 2
    starts, ends = _segments(points_mm)
    for at in range(0, len(starts), _AT_ONCE):
        # Only pixels beside the next few segments: a long stroke over a large picture would else take seconds.
        start, end = starts[at : at + _AT_ONCE], ends[at : at + _AT_ONCE]
        first = np.floor((np.minimum(start, end).min(axis=0) - half) * px_per_mm)
        last = np.ceil((np.maximum(start, end).max(axis=0) + half) * px_per_mm)
        (left, top), (right, bottom) = (np.clip(each, 0, shape[::-1]).astype(int) for each in (first, last))
        x = (np.arange(left, right) + 0.5) / px_per_mm
        y = (np.arange(top, bottom) + 0.5) / px_per_mm
        under[top:bottom, left:right] |= _within(x[None, :], y[:, None], start, end, half)
    return under


def _segments(points_mm: Points) -> tuple[Floats, Floats]:
    """Starts and ends ``(n, 2)``; of one point, a segment of no length."""
    line = np.array(points_mm, dtype=np.float64)
    return (line[:-1], line[1:]) if len(line) > 1 else (line, line)


def _within(x: Floats, y: Floats, starts: Floats, ends: Floats, half: float) -> Mask:
    """Which places are no farther than ``half`` from one of the segments."""
    reached = np.zeros(np.broadcast_shapes(x.shape, y.shape), bool)
    for (x0, y0), (dx, dy) in zip(starts.tolist(), (ends - starts).tolist(), strict=True):
        right, down = x - x0, y - y0
        along = np.clip((right * dx + down * dy) / max(dx * dx + dy * dy, 1e-12), 0, 1)
        reached |= (right - along * dx) ** 2 + (down - along * dy) ** 2 <= half * half
    return reached
