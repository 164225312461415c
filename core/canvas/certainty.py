"""How likely a found outline is the canvas's own."""

from dataclasses import astuple, dataclass

import numpy as np


@dataclass(frozen=True)
class Signs:
    """What the confidence is judged by; see :mod:`core.canvas.sides` for the first ones.

    ``score``, ``lead``: of the choice among parallel edges. ``ahead``: lead over the best quite different outline.
    ``weakest_side``, ``weakest_corner``: 0-1. ``misfit``: to the canvas's shape. ``share``: of the photo covered.
    ``spread``: of edge points about their line, and ``moved``: how far the full photo moved the corners, px of the edge
    picture. ``likeness``: to the reference, 0 without one. ``cropped``: how many sides run out of the photo.
    """

    score: float
    lead: float
    ahead: float
    weakest_side: float
    weakest_corner: float
    misfit: float
    share: float
    spread: float
    moved: float
    likeness: float
    cropped: int


def certainty(signs: Signs) -> float:
    """Confidence 0-1."""
    return float(np.clip(astuple(signs)[0] / 3, 0, 1))
