"""All four sides of a canvas traced together, and the corners where they meet."""

import numpy as np
from numpy.typing import NDArray

from core.canvas.plumb_lines import StraightLines, fit_lines, meeting_corners
from core.canvas.trace import Points, Sampler, Side, trace_side

_FEWEST_POINTS = 12


def traced(
    sample: Sampler,
    corners: Points,
    k1: float,
    cropped: NDArray[np.bool_],
    size: tuple[int, int],
    *,
    reach_px: float,
    bow_px: float,
    stay: float = 0.001,
    step_px: float = 2.0,
) -> tuple[Points, StraightLines, list[Side]] | None:
    """Trace the sides from rough corners and let them meet; None when too little edge is there."""
    width, height = size
    sides = [
        _border(corners, i) if cropped[i] else trace_side(
            sample, corners[[i, (i + 1) % 4]], k1=k1, width=width, height=height, reach_px=reach_px, bow_px=bow_px,
            stay=stay, step_px=step_px,
        ) for i in range(4)
    ]  # fmt: skip
    if min(len(side.points) for side in sides) < _FEWEST_POINTS:
        return None
    lines = fit_lines([side.points for side in sides], width, height, start=k1, bent=~cropped)
    return meeting_corners(lines, width, height), lines, sides


def _border(corners: Points, side: int) -> Side:
    """A side that runs out of the photo: points along the straight border, which no lens has bent."""
    along = np.linspace(0, 1, 24)[:, None]
    points = corners[side] * (1 - along) + corners[(side + 1) % 4] * along
    return Side(points, np.zeros(24, np.float32), 0.0)
