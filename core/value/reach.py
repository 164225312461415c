"""The reach of paint: how dark and how light the painting can be, and what of the reference lies beyond it."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.errors import ValuesError
from core.value.boundaries import WHITE
from core.value.first_marks import first_marks

SMALLEST_MM2 = 50.0
"""The darkest and lightest that were painted count from this area on: a fleck of gloss is no paint."""
LEAST_STEPS = 2.0
_NEUTRAL = 5.0


@dataclass(frozen=True)
class Reach:
    """``darkest``, ``lightest``: Munsell values the paint can have. ``uncertainty``: plus or minus, Munsell steps, of
    both; nine times in ten the truth lies within. Raises ValuesError when they are no two values of a scale."""

    darkest: float
    lightest: float
    uncertainty: float = 0.0

    def __post_init__(self) -> None:
        ends = (self.darkest, self.lightest)
        if not all(np.isfinite(ends)) or not 0.0 <= self.darkest <= self.lightest - LEAST_STEPS <= WHITE - LEAST_STEPS:
            raise ValuesError(
                f"The darkest and the lightest of the paint are Munsell values from 0 to 10, at least "
                f"{LEAST_STEPS:g} steps apart, the darkest first."
            )


OIL = Reach(1.6, 9.5, 0.3)
"""Oil paint, before the painter's own is known: the lightest white (zinc white, luminance 0.87) and the darkest
masstones (0.022) of the drawdowns in Geldof, Proaño Gaibor, Kirchner and Ligterink 2018, *Reconstructing Van Gogh's
palette*, Heritage Science 6:17. Gloss and varnish reach lower, matt darks less low: hence the uncertainty (ours)."""


@dataclass(frozen=True, eq=False)
class Beyond:
    """``too_dark``, ``too_light``: ``(H, W)`` bool, where the reference is beyond the reach. ``dark_share``,
    ``light_share``: of the picture, 0-1. ``dark_steps``, ``light_steps``: how far the farthest hundredth of those
    places is beyond, Munsell steps; 0 where nothing is."""

    too_dark: NDArray[np.bool_]
    too_light: NDArray[np.bool_]
    dark_share: float
    light_share: float
    dark_steps: float
    light_steps: float


def beyond(value: NDArray[Any], reach: Reach) -> Beyond:
    """What of a reference ``value`` ``(H, W)``, Munsell value, paint of this reach cannot show; NaN is not beyond."""
    picture = np.asarray(value, dtype=np.float32)
    low, high = picture < np.float32(reach.darkest), picture > np.float32(reach.lightest)
    return Beyond(
        too_dark=low,
        too_light=high,
        dark_share=float(low.mean()),
        light_share=float(high.mean()),
        dark_steps=float(reach.darkest - np.percentile(picture[low], 1)) if low.any() else 0.0,
        light_steps=float(np.percentile(picture[high], 99) - reach.lightest) if high.any() else 0.0,
    )


def measured_reach(
    value_canvas: NDArray[Any], *, px_per_mm: float, uncertainty_steps: float, smallest_mm2: float = SMALLEST_MM2
) -> Reach:
    """The darkest and lightest that stand on the canvas: ``value_canvas`` ``(H, W)`` Munsell value with the light taken
    out, NaN where withheld. ``uncertainty_steps``: how well it was taken out.

    A painting that is not far enough along has less reach than its paint. Raises ValuesError when next to nothing can
    be judged, or dark and light are too near each other to be a reach.
    """
    picture = np.asarray(value_canvas, dtype=np.float32)
    known = np.isfinite(picture)
    if known.mean() < 0.1:
        raise ValuesError("Too little of the canvas can be judged to measure its darkest and lightest.")
    marks = first_marks(
        np.where(known, picture, np.float32(_NEUTRAL)), px_per_mm=px_per_mm, smallest_mm2=smallest_mm2, most=10
    )
    darkest = min(mark.value for mark in marks if mark.kind == "dark")
    lightest = min(max(mark.value for mark in marks if mark.kind == "light"), WHITE)
    if lightest - darkest < LEAST_STEPS:
        raise ValuesError(
            "The canvas has no darks and lights far enough apart yet. Lay in the darkest and the lightest first, or "
            "give their values."
        )
    return Reach(darkest, lightest, float(uncertainty_steps))
