"""Passages to name: areas that are too warm or too cool, each with its uncertainty and its words."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.areas import Map, signed_areas
from core.temperature.warmth import USUAL_WORDS, WarmthWords

_OF_TOUCH = 0.8
"""Of ``words.touch``: what belongs to a passage, one that is told being at least that off on its plateau."""
_APART = 6.0
_SURELY = 3.0
_PLATEAU = 1.0
"""Nine in ten of what brushwork and smoothing leave of a passage's height, T; found on known truth."""
_BORDER_MM = 0.75
"""How far a border may be out, nine times in ten, as it tells on the area."""


@dataclass(frozen=True, eq=False)
class WarmthPassage:
    """One passage painted too warm or too cool. ``number`` counts from 1, the heaviest first.

    ``x_mm, y_mm``: a point inside it. ``amount``: T, canvas minus reference (above 0: too warm), beside what the whole
    is off by. The uncertainties are plus or minus, nine times in ten. ``outline_mm``: ``(n, 2)``, closed.
    """

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    area_uncertainty_cm2: float
    amount: float
    uncertainty: float
    outline_mm: NDArray[np.float64]
    words: WarmthWords = USUAL_WORDS

    def away_mm(self, x_mm: float, y_mm: float) -> float:
        """How far a point lies outside the passage; negative inside."""
        return -float(cv2.pointPolygonTest(self.outline_mm.astype(np.float32), (float(x_mm), float(y_mm)), True))

    def say(self) -> str:
        """Such as ``too warm by 8 ± 2 (warmer than it should be)``."""
        way = "warm" if self.amount > 0 else "cool"
        word = self.words.word(self.amount)
        return f"too {way} by {abs(self.amount):.0f} ± {max(1.0, self.uncertainty):.0f} ({word} than it should be)"


def find_passages(
    difference: Map, *, px_per_mm: float, uncertainty: float, smallest_cm2: float, words: WarmthWords
) -> tuple[WarmthPassage, ...]:
    """Passages of ``difference`` ``(H, W)`` (T, NaN: withheld) that are more than a touch off, and surely so beside the
    ``uncertainty`` of the light's colour."""
    found = signed_areas(
        difference,
        px_per_mm=px_per_mm,
        overall=0.0,
        level_from=float("inf"),
        tolerance=_OF_TOUCH * words.touch,
        sure=max(words.touch, _SURELY + 0.7 * uncertainty),
        apart=_APART,
        smallest_cm2=smallest_cm2,
    )
    doubt = float(np.hypot(uncertainty, _PLATEAU))
    return tuple(
        WarmthPassage(
            number=area.number,
            x_mm=area.x_mm,
            y_mm=area.y_mm,
            area_cm2=area.area_cm2,
            area_uncertainty_cm2=_around_mm(area.outline_mm) * _BORDER_MM / 100,
            amount=area.amount,
            uncertainty=doubt,
            outline_mm=area.outline_mm,
            words=words,
        )
        for area in found
    )


def _around_mm(outline_mm: NDArray[np.float64]) -> float:
    return float(np.hypot(*np.diff(np.vstack([outline_mm, outline_mm[:1]]), axis=0).T).sum())
