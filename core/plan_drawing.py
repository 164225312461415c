"""The shapes of a value plan as a line drawing: what is laid in with thin lines before any paint."""

import numpy as np

from core.drawing.drawing import Drawing, Line
from core.drawing.fit_curve import fit_curves
from core.size import Size
from core.value.borders import borders
from core.value.steps import Steps

LAYER = "value step"
TOLERANCE_MM = 0.2
SHORTEST_MM = 3.0
"""A border shorter than this is a crumb between shapes that all but touch."""


def plan_drawing(steps: Steps, size: Size, *, tolerance_mm: float = TOLERANCE_MM) -> Drawing:
    """The borders between the value steps of a picture ``steps.index`` ``(H, W)`` that fills the canvas.

    The longest first, each drawn once, in the layer ``value step``; within ``tolerance_mm`` of the borders found.
    """
    height, width = steps.index.shape
    mm_per_px = np.array([size.width_mm / width, size.height_mm / height])
    shortest_px = SHORTEST_MM / float(mm_per_px.mean())
    found = [border for border in borders(steps.index, px_per_mm=1.0) if border.length_mm >= shortest_px]
    rings = [border.closed for border in found]
    chains = fit_curves([border.points_mm * mm_per_px for border in found], tolerance_mm=tolerance_mm, closed=rings)
    lines = (Line(chain, closed=ring, layer=LAYER) for chain, ring in zip(chains, rings, strict=True))
    return Drawing(size, tuple(lines))
