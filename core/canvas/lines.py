"""Long straight edges in a photo, for one trial of the lens."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.edge_picture import EdgePicture, Points

_ANGLES = np.radians(np.arange(-32.0, 32.01, 0.4))
_OFFSET_PX = 2.0
_SAME_PX = 2.0
_NEAR_PX = 4.0


@dataclass(frozen=True)
class Segments:
    """Pieces of edge, straightened px about the centre: ends ``(n, 2)``, lengths and normals' angles ``(n,)``."""

    first: Points
    last: Points
    length: Points
    angle: Points


def straightened(edges: EdgePicture, pieces: Points, k1: float) -> Segments:
    """Pieces ``(n, 4)`` px of the picture (:func:`core.canvas.edge_picture.segments`) as they lie with this lens."""
    first, last = edges.straighten(pieces[:, :2], k1), edges.straighten(pieces[:, 2:], k1)
    along = last - first
    return Segments(first, last, np.hypot(along[:, 0], along[:, 1]), np.arctan2(along[:, 1], along[:, 0]) + np.pi / 2)


def long_lines(pieces: Segments, half_diagonal: float, *, upright: bool, most: int) -> Points:
    """The ``most`` lines with most edge on them: ``(m, 2)``, angle and offset of the normal from the centre.

    ``upright``: lines within 32° of the vertical, normals to the right; else of the horizontal, normals down. A Hough
    vote of whole pieces by their length (Duda and Hart 1972, CACM 15(1), 11-15), each line then fitted to its pieces.
    """
    base = 0.0 if upright else np.pi / 2
    lean = (pieces.angle - base + np.pi / 2) % np.pi - np.pi / 2
    kept = np.abs(lean) < np.radians(32)
    if not kept.any():
        return np.empty((0, 2))
    pieces = Segments(pieces.first[kept], pieces.last[kept], pieces.length[kept], pieces.angle[kept])
    votes = _votes(pieces, lean[kept], base, half_diagonal)
    lines: list[tuple[float, float]] = []
    for angle, offset in _peaks(votes, base, half_diagonal, 2 * most):
        line = _fitted(pieces, angle, offset, base)
        if all(abs(line[0] - a) * half_diagonal / 2 + abs(line[1] - o) > _SAME_PX for a, o in lines):
            lines.append(line)
        if len(lines) == most:
            break
    return np.array(lines).reshape(-1, 2)


def _votes(pieces: Segments, lean: Points, base: float, half_diagonal: float) -> NDArray[np.float32]:
    columns = int(2 * half_diagonal / _OFFSET_PX) + 3
    nearest = np.rint((lean - _ANGLES[0]) / (_ANGLES[1] - _ANGLES[0])).astype(int)[:, None] + np.arange(-6, 7)
    index = nearest.clip(0, len(_ANGLES) - 1)
    angle = _ANGLES[index]
    sure = np.minimum(np.radians(2.4), 2.0 / pieces.length + np.radians(0.4))[:, None]
    weight = np.clip(1.2 - np.abs(angle - lean[:, None]) / sure, 0, 1) * (pieces.length[:, None] - 6)
    weight[nearest != index] = 0.0
    middle = (pieces.first + pieces.last) / 2
    offset = middle[:, :1] * np.cos(angle + base) + middle[:, 1:] * np.sin(angle + base)
    column = np.rint((offset + half_diagonal) / _OFFSET_PX).astype(int).clip(0, columns - 1)
    flat = np.bincount((index * columns + column).ravel(), weight.ravel(), minlength=len(_ANGLES) * columns)
    return np.asarray(cv2.GaussianBlur(flat.reshape(len(_ANGLES), columns).astype(np.float32), (0, 0), 0.8))


def _peaks(votes: NDArray[np.float32], base: float, half_diagonal: float, most: int) -> list[tuple[float, float]]:
    highest = cv2.dilate(votes, np.ones((7, 3), np.uint8))
    rows, columns = np.nonzero((votes >= highest) & (votes > 8))
    order = np.argsort(-votes[rows, columns])[:most]
    return [
        (float(_ANGLES[r] + base), float(c * _OFFSET_PX - half_diagonal))
        for r, c in zip(rows[order], columns[order], strict=True)
    ]


def _fitted(pieces: Segments, angle: float, offset: float, base: float) -> tuple[float, float]:
    """The line through the ends of the pieces that lie along it."""
    near = _NEAR_PX
    for _ in range(3):
        normal = np.array([np.cos(angle), np.sin(angle)])
        along = np.array([-normal[1], normal[0]])
        away = np.stack([pieces.first @ normal, pieces.last @ normal], axis=1) - offset
        on_line = np.abs(away).max(axis=1) < near
        if not on_line.any():
            break
        weight = np.repeat(pieces.length[on_line], 2)
        away, place = (
            away[on_line].ravel(),
            np.stack([pieces.first @ along, pieces.last @ along], axis=1)[on_line].ravel(),
        )
        centre, mean = np.average(place, weights=weight), np.average(away, weights=weight)
        about = place - centre
        slope = float((weight * about * (away - mean)).sum() / max((weight * about**2).sum(), 1e-9))
        point = normal * (offset + mean) + along * centre
        turned = normal - along * slope
        turned /= np.hypot(*turned)
        angle, offset, near = float(np.arctan2(turned[1], turned[0])), float(point @ turned), 3.0
    return (angle, offset) if np.cos(angle - base) > 0 else (angle + np.pi, -offset)
