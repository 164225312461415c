"""Centre lines of a mask: what was drawn with a broad stroke, or found as a band, as thin lines.

The mask is thinned, its skeleton walked from junction to junction, stubs are left out, lines go on across junctions
along the straightest way, and every point is moved to the middle of the band, between pixels.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.sampling import sampled
from core.drawing.thinning import thinned
from core.drawing.ways import smoothed, ways_along

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SPUR_PX = 8.0
MOST_TURN_DEG = 60.0
"""A line goes on across a junction when it turns by less."""
_FARTHEST_SHIFT = 1.0


@dataclass(frozen=True, eq=False)
class Centreline:
    """One line along the middle of a band.

    ``points``: ``(n, 2)`` float64, x, y in pixels (pixel centres at whole numbers), n ≥ 2, about a pixel apart.
    ``closed``: whether the last point goes on to the first, which is not repeated.
    """

    points: Array
    closed: bool


def centrelines(mask: Mask, *, spur_px: float = SPUR_PX, most_turn_deg: float = MOST_TURN_DEG) -> list[Centreline]:
    """The centre lines of a mask ``(H, W)`` bool, longest first.

    ``spur_px``: stubs at a junction shorter than this, or than the band is broad there, are left out.
    ``most_turn_deg``: a line goes on across a junction along the straightest way when that turns by less; where only
    two ways meet it always goes on. Dots and blots, that thin to a single pixel, have no centre line.
    Raises ValueError for another shape or dtype.
    """
    if mask.ndim != 2 or mask.dtype != np.bool_:
        raise ValueError(f"A mask is (H, W) bool, not {mask.shape} {mask.dtype}.")
    if not mask.any():
        return []
    padded = cv2.copyMakeBorder(mask.astype(np.uint8), 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    depth = cv2.distanceTransform(padded, cv2.DIST_L2, cv2.DIST_MASK_5)[1:-1, 1:-1]
    found = ways_along(thinned(mask), depth, spur_px=spur_px, most_turn_deg=most_turn_deg)
    lines = [Centreline(_centred(way.points, way.bridged, depth, closed=way.closed), way.closed) for way in found]
    return sorted(lines, key=lambda line: -len(line.points))


def _centred(points: Array, bridged: Mask, depth: NDArray[np.float32], *, closed: bool) -> Array:
    """Pixel steps smoothed away, each point moved across the line to where the band is deepest (not where it was
    ``bridged``: there another line's band lies across), smoothed again."""
    smooth = smoothed(points, closed=closed)
    ahead = np.roll(smooth, -1, axis=0) if closed else np.r_[smooth[1:], smooth[-1:]]
    behind = np.roll(smooth, 1, axis=0) if closed else np.r_[smooth[:1], smooth[:-1]]
    way = ahead - behind
    across = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    # Depth rises and falls at one pixel per pixel: a tent, whose top is half the difference of its flanks away.
    one, other = (sampled(depth, smooth + side * across) for side in (1.0, -1.0))
    shift = np.clip(0.5 * (one - other), -_FARTHEST_SHIFT, _FARTHEST_SHIFT)
    shift[bridged] = 0.0
    return smoothed(smooth + shift[:, None] * across, closed=closed)
