"""The lens: how it bends points, and its one term from the straightness of the canvas's own edges."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from core.canvas.distortion import LARGEST_K1, bend, straighten
from core.canvas.plumb_lines import PRIOR_K1, fit_lines

__all__ = ["LARGEST_K1", "PRIOR_K1", "LensFit", "bend", "fit_k1", "straighten"]


@dataclass(frozen=True)
class LensFit:
    """``k1`` and its standard deviation ``sigma``. With nothing to tell, 0 ± 0.05."""

    k1: float
    sigma: float


def fit_k1(edge_points: Sequence[ArrayLike], width: int, height: int) -> LensFit:
    """The lens from the straightness of the canvas's own edges (plumb lines), one k1 for all.

    ``edge_points``: one ``(n, 2)`` array of photo px for each edge, in order along it; outliers are borne. The answer
    leans to 0 as the edges say less: the prior is 0 ± 0.05. After Brown 1971 and Devernay & Faugeras 2001, Machine
    Vision and Applications 13, 14-24.
    """
    sides = [np.asarray(points, dtype=np.float64).reshape(-1, 2) for points in edge_points]
    sides = [points for points in sides if len(points) >= 8]
    if not sides:
        return LensFit(0.0, PRIOR_K1)
    lines = fit_lines(sides, width, height)
    return LensFit(lines.k1, lines.sigma)
