"""Passages painted too dark or too light, as areas of the signed map."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.areas import Map, signed_areas

_SURELY = 0.3
"""Steps, beside most of the uncertainty of the light, that an area must stand off by."""
_APART = 0.7
"""Steps that a passage must stand out from the one it lies in to be one of its own."""
_LEVEL_FROM = 0.25
"""Steps up to which an error of the whole may be the light's, however sure that is."""


@dataclass(frozen=True)
class ValueArea:
    """One passage that has strayed. ``number`` counts from 1, the heaviest first.

    ``x_mm, y_mm``: a point inside it, its middle where that lies inside. ``steps``: canvas minus reference, Munsell
    steps (negative: too dark). ``outline_mm``: ``(n, 2)`` float64, closed, x right and y down.
    """

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    steps: float
    outline_mm: NDArray[np.float64]


def find_areas(
    difference: Map,
    *,
    px_per_mm: float,
    overall: float,
    tolerance: float,
    smallest_cm2: float,
    uncertainty: float,
) -> tuple[ValueArea, ...]:
    """Areas of ``difference`` ``(H, W)`` (NaN: withheld) that stand more than ``tolerance`` off ``overall``.

    Small overall errors (within the uncertainty) are the light's; larger ones are the painter's, and then a passage
    that is right in itself is no fault though it stands out from the rest.
    """
    found = signed_areas(
        difference,
        px_per_mm=px_per_mm,
        overall=overall,
        level_from=max(_LEVEL_FROM, uncertainty),
        tolerance=tolerance,
        sure=max(tolerance, _SURELY + 0.7 * uncertainty),
        apart=_APART,
        smallest_cm2=smallest_cm2,
    )
    return tuple(ValueArea(a.number, a.x_mm, a.y_mm, a.area_cm2, a.amount, a.outline_mm) for a in found)
