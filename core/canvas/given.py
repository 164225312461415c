"""Corners placed by hand: what the edges between them say about the lens and about the hand."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.corners import checked_corners
from core.canvas.distortion import LARGEST_K1
from core.canvas.edge_picture import EdgePicture, Points, edge_picture
from core.canvas.lens import LensFit
from core.canvas.plumb_lines import PRIOR_K1, StraightLines, corner_shifts
from core.canvas.trace import line_plainness, photo_sampler, picture_sampler
from core.canvas.tracing import traced
from core.photo import Photo

_TRIALS = np.arange(-0.12, 0.1201, 0.01)
_BESIDE = np.arange(-8.0, 9.0)
_PLAIN_SIDE = 0.25
_SAME_EDGE_MM_SHARE = 0.012
"""Traced corners further than this share of the width from the given ones belong to some other edge."""


@dataclass(frozen=True)
class TracedSides:
    """The edges near corners given by hand.

    ``corners_px``: ``(4, 2)`` where the traced sides meet. ``uncertainty_px``: ``(4,)``, one standard deviation each.
    ``support``: ``(4,)`` 0-1, how much of each side shows an edge. ``lines``: the lines and the lens.
    """

    corners_px: Points
    uncertainty_px: Points
    support: Points
    lines: StraightLines


def trace_given(photo: Photo, corners_px: ArrayLike, *, edges: EdgePicture | None = None) -> TracedSides | None:
    """Trace the sides near given corners ``(4, 2)`` photo px; None when the edges there cannot be told.

    ``edges``: the photo's, where they have been made.

    The tube that is searched bows with trial lenses and always ends near the corners, so that a strong edge elsewhere
    is not taken for the side.
    """
    corners = checked_corners(corners_px, photo.width, photo.height)
    edges = edges or edge_picture(photo)
    small = (corners + 0.5) / edges.photo_px - 0.5
    k1 = _likeliest_k1(edges, small)
    nowhere = np.zeros(4, bool)
    size = (edges.width, edges.height)
    rough = traced(picture_sampler(edges.picture), small, k1, nowhere, size, reach_px=2.0, bow_px=2.0, stay=0.03)
    if rough is None:
        return None
    scale = float(edges.photo_px.max())
    size = (photo.width, photo.height)
    fine = traced(
        photo_sampler(photo), edges.to_photo(rough[0]), rough[1].k1, nowhere, size,
        reach_px=scale + 1, bow_px=scale, stay=0.05 / scale, step_px=max(2.0, scale),
    )  # fmt: skip
    if fine is None:
        return None
    found, lines, sides = fine
    plain = np.array([float(side.support.mean()) for side in sides])
    width = float(np.linalg.norm(corners[2] - corners[0])) / np.sqrt(2)
    away = float(np.linalg.norm(found - corners, axis=1).max())
    if plain.min() < _PLAIN_SIDE or away > _SAME_EDGE_MM_SHARE * width:
        return None
    shifts, _ = corner_shifts(lines, *size)
    return TracedSides(found, np.sqrt((shifts**2).sum(axis=2).sum(axis=0) / 2), plain, lines)


def refine_corners(photo: Photo, corners_px: ArrayLike) -> NDArray[np.float64]:
    """Corners moved onto the edges that meet near them, ``(4, 2)`` photo px; left as they are where none is plain."""
    found = trace_given(photo, corners_px)
    return checked_corners(corners_px, photo.width, photo.height) if found is None else found.corners_px


def lens_of(found: TracedSides | None) -> LensFit:
    """The lens that traced sides give; 0 with its usual spread when there are none."""
    return LensFit(0.0, PRIOR_K1) if found is None else LensFit(found.lines.k1, found.lines.sigma)


def _likeliest_k1(edges: EdgePicture, corners: Points) -> float:
    """The trial lens whose bowed sides between the corners run along most edge."""
    along = np.linspace(0.04, 0.96, 120)
    best, answer = -1.0, 0.0
    for k1 in _TRIALS[np.abs(_TRIALS) < LARGEST_K1]:
        straight = edges.straighten(corners, float(k1))
        total = 0.0
        for first, last in zip(straight, np.roll(straight, -1, axis=0), strict=True):
            side = last - first
            outward = np.array([side[1], -side[0]]) / np.hypot(*side)
            points = first + along[:, None, None] * side + _BESIDE[:, None] * outward
            plain = line_plainness(edges.picture, edges.bend(points, float(k1)))
            middle = plain.shape[1] // 2
            total += float(plain[:, middle - 1 : middle + 2].max(axis=1).mean())
        total -= 0.1 * (float(k1) / PRIOR_K1) ** 2
        if total > best:
            best, answer = total, float(k1)
    return answer
