"""Which lines matter most: contrast, length and closure count for a line, being one of many like it against it.

Lines crowded among others as strong are texture. That they should give way to a lone one is surround inhibition:
Grigorescu, Petkov and Westenberg 2003, *Contour detection based on nonclassical receptive field inhibition*, IEEE
Trans. Image Processing 12(7), 729-739; here on the lines found instead of on pixels.
"""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.sampling import sampled
from core.drawing.suggest_link import Piece

Array = NDArray[np.float64]

LEAST, MOST = 0.2, 8.0
"""Importance at which a line's weight is 0, and 1."""
CONTRAST = 0.7
"""The power with which contrast counts."""
HALF_LENGTH_MM = 60.0
"""A line this long counts half of an endless one."""
RING = 1.3
SURROUND_MM = 6.0
CROWDED, CROWD = 0.15, 0.15
"""Length of line per area, 1/mm, above which a place begins to be crowded, and by which more it is."""


def weights(pieces: Sequence[Piece], width_mm: float, height_mm: float) -> list[float]:
    """The weight of each line, 0-1, on a canvas of that size."""
    shape = (int(np.ceil(height_mm)), int(np.ceil(width_mm)))
    return [_weight(piece, alone) for piece, alone in zip(pieces, _apartness(pieces, shape), strict=True)]


def _weight(piece: Piece, alone: float) -> float:
    length = piece.length_mm
    importance = float(piece.score.mean()) ** CONTRAST * alone * length / (length + HALF_LENGTH_MM)
    importance *= RING if piece.closed else 1.0
    return float(np.clip(np.log(importance / LEAST) / np.log(MOST / LEAST), 0.0, 1.0))


def _apartness(pieces: Sequence[Piece], shape: tuple[int, int]) -> list[float]:
    """How far each line stands apart from those around it, near 0 in the midst of texture to 1."""
    if not pieces:
        return []
    points = np.concatenate([piece.points for piece in pieces])
    score = np.concatenate([piece.score for piece in pieces])
    length = np.concatenate([np.full(len(piece.points), piece.length_mm / len(piece.points)) for piece in pieces])
    density, strength = (_around(points, amount, shape) for amount in (length, length * score))
    usual = strength / np.maximum(density, 1e-9)
    crowd = np.maximum(density - CROWDED, 0.0) / CROWD
    apart = 1.0 / (1.0 + (crowd * usual / np.maximum(score, 1e-9)) ** 2)
    ends = np.cumsum([len(piece.points) for piece in pieces])[:-1]
    return [float(part.mean()) for part in np.split(apart, ends)]


def _around(points: Array, amount: Array, shape: tuple[int, int]) -> Array:
    """What there is of an amount about each point, per mm²."""
    rows, columns = shape
    cells = np.clip(points.astype(np.int64), 0, [columns - 1, rows - 1])
    grid = np.bincount(cells[:, 1] * columns + cells[:, 0], weights=amount, minlength=rows * columns)
    spread = cv2.GaussianBlur(grid.reshape(rows, columns).astype(np.float32), (0, 0), SURROUND_MM)
    return sampled(np.asarray(spread, dtype=np.float32), points - 0.5)
