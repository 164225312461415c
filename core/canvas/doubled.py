"""Edges so near the canvas's own that the small picture shows both as one: a ledge it stands on, a thin shadow.

Looked for in the full photo, within a few pixels of each traced side. The inner of two is the canvas's, unless all
four sides have one inside them at the same distance, which is a margin.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.canvas.distortion import bend, straighten
from core.canvas.trace import Points, Sampler, plainness_across

_APART_PX = 2.5
_AS_PLAIN = 0.6
"""An edge is taken for the canvas's when it is at least this plain beside the one that was traced."""
_FAINT = 0.3
_PLACES = 160
_TURNS = np.arange(-3.0, 3.1, 1.0)
_DOUBT = 0.3
"""Of the distance between two edges: one in eleven times the choice is taken to be wrong."""


@dataclass(frozen=True)
class Doubled:
    """``corners``: ``(4, 2)`` photo px, moved to the inner edges. ``stray_px``: ``(4,)`` each way, for the choice."""

    corners: Points
    stray_px: Points


def inner_of_doubled(
    sample: Sampler, corners: Points, k1: float, cropped: NDArray[np.bool_], size: tuple[int, int], reach_px: float
) -> Doubled:
    """Look within ``reach_px`` of each traced side; ``corners``: ``(4, 2)`` photo px, TL TR BR BL."""
    straight = straighten(corners, k1, *size)
    inner, beside = np.zeros((4, 2)), np.zeros(4)
    for side in np.flatnonzero(~cropped):
        ends = straight[[side, (side + 1) % 4]]
        inner[side], beside[side] = _beside(sample, ends, k1, size, reach_px)
    moved = -inner.mean(axis=1)
    if (moved > 0).all() and moved.max() < 2 * moved.min():
        inner[:] = 0.0
    doubt = _DOUBT * beside
    return Doubled(bend(_shifted(straight, inner), k1, *size), np.hypot(doubt, np.roll(doubt, 1)) / np.sqrt(2))


def _beside(sample: Sampler, ends: Points, k1: float, size: tuple[int, int], reach: float) -> tuple[Points, float]:
    """How far out the inner edge lies at both ends ``(2,)`` px, 0 where there is none, and how far the nearest is."""
    along = ends[1] - ends[0]
    outward = np.array([along[1], -along[0]]) / np.hypot(*along)
    places = np.linspace(0.03, 0.97, _PLACES)
    wide = np.ceil(reach) + 8
    offsets = np.arange(-wide, wide + 1)
    grid = ends[0] + places[:, None, None] * along + offsets[None, :, None] * outward
    plain = plainness_across(sample(bend(grid, k1, *size)))
    offsets = offsets[1:-1]
    shifts = np.arange(-np.ceil(reach), np.ceil(reach) + 1)
    index = shifts[:, None, None] + _TURNS[:, None] * (2 * places - 1) - offsets[0]
    mean = plain[np.arange(_PLACES), np.rint(index).astype(int)].mean(axis=2) - 0.01 * np.abs(_TURNS)
    height, turn = mean.max(axis=1), _TURNS[mean.argmax(axis=1)]
    own = height[np.abs(shifts) <= 1].max()
    near = np.stack([np.roll(height, k) for k in (-2, -1, 1, 2)])
    peaks = (height >= near.max(axis=0)) & (np.abs(shifts) > _APART_PX) & (height > max(_AS_PLAIN * own, _FAINT))
    if not peaks.any():
        return np.zeros(2), 0.0
    nearest = float(np.abs(shifts[peaks]).min())
    inside = np.flatnonzero(peaks & (shifts < 0))
    if not len(inside):
        return np.zeros(2), nearest
    chosen = inside[np.argmax(height[inside])]
    return shifts[chosen] + turn[chosen] * np.array([-1.0, 1.0]), nearest


def _shifted(straight: Points, outward: Points) -> Points:
    """The corners ``(4, 2)`` where the sides meet once their two ends have gone ``outward`` ``(4, 2)`` px."""
    starts, ends = straight, np.roll(straight, -1, axis=0)
    along = ends - starts
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1) / np.linalg.norm(along, axis=1, keepdims=True)
    start, end = (np.column_stack([p + normal * outward[:, [i]], np.ones(4)]) for i, p in enumerate((starts, ends)))
    lines = np.cross(start, end)
    meeting = np.cross(np.roll(lines, 1, axis=0), lines)
    return np.asarray(meeting[:, :2] / meeting[:, 2:])
