"""From ink to strokes: thinned, mended and sharp at their corners, in mm on the sheet."""

import cv2
import numpy as np
from numpy.typing import NDArray

from core.drawing.centrelines import centrelines
from core.drawing.sampling import sampled
from core.drawing.scan_corners import sharpened
from core.drawing.scan_ink import Ink
from core.drawing.scan_join import Stroke, joined
from core.size import Size

Array = NDArray[np.float64]

SPUR_MM = 1.0
SHORTEST_MM = 1.5
EDGE_MM, ALONG_EDGE = 2.5, 0.8
"""A stroke that keeps this near the sheet's edge for this share of its length is the edge itself."""


def strokes_of(ink: Ink, px_per_mm: float) -> list[Stroke]:
    """The strokes of a mask, longest first."""
    mask = ink.mask
    inside = cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5)
    outside = cv2.distanceTransform((~mask).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5)
    outside_mm = outside / np.float32(px_per_mm)
    found = []
    for line in centrelines(mask, spur_px=SPUR_MM * px_per_mm):
        # A mask's outermost pixel centres lie half a pixel inside its edge.
        width = 2.0 * float(np.median(sampled(inside, line.points))) - 1.0
        found.append(Stroke((line.points + 0.5) / px_per_mm, line.closed, max(width, 0.5) / px_per_mm))
    whole = joined(found, ink.dark / ink.weak, px_per_mm)
    sharp = [Stroke(sharpened(s.points, outside_mm, px_per_mm, closed=s.closed), s.closed, s.width_mm) for s in whole]
    long = [stroke for stroke in sharp if stroke.length_mm >= SHORTEST_MM]
    return sorted(long, key=lambda stroke: -stroke.length_mm)


def off_the_edge(strokes: list[Stroke], sheet: Size) -> list[Stroke]:
    """The strokes that are not the sheet's own edge, or its shadow."""
    far = np.array([sheet.width_mm, sheet.height_mm])

    def is_edge(stroke: Stroke) -> bool:
        away = np.minimum(stroke.points, far - stroke.points).min(axis=1)
        return bool((away < EDGE_MM).mean() > ALONG_EDGE)

    return [stroke for stroke in strokes if not is_edge(stroke)]
