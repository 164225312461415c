"""What is on either side of an edge: how much colour changes, how abruptly, and whether it is light or paint.

All lines of a picture are measured together, point by point.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.sampling import sampled
from core.drawing.suggest_edges import EdgeLine

Array = NDArray[np.float64]
Picture = NDArray[np.float32]

NEAR_MM, FAR_MM = 1.3, 3.5
"""How far either side of an edge its own colours, and its regions' colours, are taken (on a canvas 400 mm wide)."""
_TANGENT_PX = 3
STEADY_MM = 5.0
"""What is measured is evened out over this length of line."""


@dataclass(frozen=True, eq=False)
class Measures:
    """Of every point of every line, line after line, ``(n,)`` each.

    ``of``: the line. ``at_end``: True at a line's first point. ``near``, ``far``: colour difference (CIE 1976) between
    the two sides close by and farther off. ``crest``: 0-1, how far the change of colour stands above what it is a
    little to either side: 1 for an edge between even regions, near 0 in a slope. ``tint``: the part of the far
    difference that is not lightness, 0-1. ``width``: sigma of the blur across the edge, mm, with the scale's own.
    """

    of: NDArray[np.int64]
    near: Array
    far: Array
    crest: Array
    tint: Array
    width: Array


def measured(lines: Sequence[EdgeLine], lab: Picture, steep: Picture, *, px_per_mm: float, sigma_px: float) -> Measures:
    """Measure lines (at least one) found at the scale ``sigma_px`` in a CIELAB picture ``(H, W, 3)``.

    ``steep``: ``(H, W)`` change of colour per pixel, as the lines were found in it. ``px_per_mm``: per mm of a canvas
    400 mm wide.
    """
    points = np.concatenate([line.points for line in lines])
    counts = np.array([len(line.points) for line in lines])
    of = np.repeat(np.arange(len(lines)), counts)
    across = np.concatenate([_normals(line) for line in lines])
    near_px = max(NEAR_MM * px_per_mm, 2.5 * sigma_px)
    far_px = near_px + (FAR_MM - NEAR_MM) * px_per_mm
    close = np.asarray(cv2.GaussianBlur(lab, (0, 0), 0.3 * near_px), dtype=np.float32)
    wide = np.asarray(cv2.GaussianBlur(lab, (0, 0), 0.4 * far_px), dtype=np.float32)
    near = sampled(close, points + near_px * across) - sampled(close, points - near_px * across)
    far = sampled(wide, points + far_px * across) - sampled(wide, points - far_px * across)
    flank = [sampled(steep, points + side * near_px * across) for side in (1.0, -1.0)]
    top = np.maximum(sampled(steep, points), 1e-6)
    crest = np.clip(1.0 - np.minimum(*flank) / top, 0.0, 1.0)
    whole = np.linalg.norm(far, axis=1)
    tint = np.linalg.norm(far[:, 1:], axis=1) / np.maximum(whole, 1e-6)
    step = np.linalg.norm(near, axis=1)
    width = step / (np.sqrt(2.0 * np.pi) * top * px_per_mm)
    every = np.stack([step, whole, crest, tint, width], axis=1)
    return Measures(of, *_evened(every, lines, STEADY_MM * px_per_mm).T)


def _normals(line: EdgeLine) -> Array:
    points = line.points
    reach = min(_TANGENT_PX, len(points) - 1)
    if line.closed:
        way = np.roll(points, -reach, axis=0) - np.roll(points, reach, axis=0)
    else:
        index = np.arange(len(points))
        way = points[np.minimum(index + reach, len(points) - 1)] - points[np.maximum(index - reach, 0)]
    length = np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    return np.asarray(np.stack([-way[:, 1], way[:, 0]], axis=1) / length)


def _evened(values: Array, lines: Sequence[EdgeLine], width_px: float) -> Array:
    """Running means of ``(n, k)`` values along each line over about ``width_px``; shorter at the ends of open lines."""
    half = max(1, round(width_px / 2.0))
    answer, begin = np.empty_like(values), 0
    for line in lines:
        count = len(line.points)
        row = values[begin : begin + count]
        reach = min(half, (count - 1) // 2)
        padded = np.concatenate([row[count - reach :], row, row[:reach]]) if line.closed else row
        total = np.zeros((len(padded) + 1, values.shape[1]))
        np.cumsum(padded, axis=0, out=total[1:])
        index = np.arange(count) + (reach if line.closed else 0)
        low, high = np.maximum(index - reach, 0), np.minimum(index + reach + 1, len(padded))
        answer[begin : begin + count] = (total[high] - total[low]) / (high - low)[:, None]
        begin += count
    return answer
