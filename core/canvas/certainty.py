"""How likely a found outline is the canvas's own."""

import math
from dataclasses import dataclass

from core.canvas.likeness import CHANCE


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
    """Confidence 0-1: the chance that the corners are the canvas's to within 3 mm.

    Logistic regression on 730 outlines found in simulated photographs with a canvas (against a wall, on an easel, in a
    room, among frames) and without one, and in scikit-image's photographs, none of which shows a canvas. In eightfold
    cross-validation 530 had over 0.97, of which 99 % were right; 57 had 0.90-0.97: 95 %; 30 had 0.4-0.9: 80 %; 113 had
    less: 4 %. Below 0.3 were all outlines in scikit-image's photographs, and 42 of 46 in rooms without a canvas.
    """
    evidence = (
        4.3 * min(signs.lead, 0.4)
        + 4.7 * min(signs.ahead, 1.0)
        + 2.8 * signs.weakest_side
        - 1.0 * math.log1p(signs.misfit)
        + 8.0 * min(math.sqrt(signs.share), 0.6)
        - 5.7 * min(signs.spread, 1.5)
        + 2.4 * min(max(signs.likeness - CHANCE, 0.0), 0.4)
        - 8.4
    )
    return 1.0 / (1.0 + math.exp(-evidence))
