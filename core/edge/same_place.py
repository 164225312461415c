"""How wide the step is at places where an edge is known to run: of a softened edge, of one that was lost.

At every place a blurred step is fitted at each scale, from coarse to fine, and the coarsest kept whose step is wide
enough for it and rises as it should, as :mod:`core.edge.width` does, but no crest has to be found there. Fitted to the
reference itself at its own edges, it tells at which places a step stands alone enough to be judged.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.edge.blurred_step import BlurredSteps, fitted_steps
from core.edge.profiles import Places, profiles_across, standing_share, straight
from core.edge.scale import Floats, Map, profile_ground, without_blur

SCALES_MM = (4.0, 2.0, 1.0, 0.5)
_SAMPLES, _ACROSS = 25, 5
_HALF_SCALES, _HALF_LEAST_MM = 4.0, 2.0
_ALONG_MM, _ALONG_SCALES = 1.0, 0.75
_WIDE_FOR_SCALE, _TOO_WIDE, _WIDEST = 0.6, 2.2, 3.0
WIDEST_MM = _WIDEST * SCALES_MM[0]
"""No sigma above this is told."""
_LEFT_SHARES = {4.0: 0.05, 2.0: 0.05, 1.0: 0.08, 0.5: 0.14}
"""Of the contrast, root mean square: what a step may leave unexplained; less at the scales that reach far, where other
forms make a wide step of several."""
_STANDS = 0.4
_FAINT = 0.1
"""Share of sigma by which brushwork puts an edge of one Munsell step in doubt."""
_LEAST_RISE, _MOST_RISE = 0.45, 2.5
"""Of the contrast that the edge should have: what the step must have."""
_GONE, _GONE_BY_MM = 0.3, 2.0
"""Of the contrast that it should have, at every scale up to this: an edge that has less is lost."""
_EXPECTED_RISE, _ALIKE, _ALIKE_MM = 0.6, 1.5, 0.2
_OFF_MM, _OFF_SCALES = 1.0, 0.5
_PIXEL = 0.5
_DOUBT, _LEAST_DOUBT, _MOST_DOUBT = 8.0, 0.08, 0.8


@dataclass(frozen=True, eq=False)
class StepsThere:
    """One step a place, ``(n,)`` float64: ``sigma_mm``, infinite where no step is left, NaN where it cannot be told;
    ``uncertainty_mm``, nine in ten; ``contrast``: Munsell steps; ``off_mm``: how far from the place it stands."""

    sigma_mm: Floats
    uncertainty_mm: Floats
    contrast: Floats
    off_mm: Floats

    @property
    def parts(self) -> tuple[Floats, ...]:
        return self.sigma_mm, self.uncertainty_mm, self.contrast, self.off_mm


def steps_there(value: Map, px_per_mm: float, places: Places, contrast: Floats, expected_mm: Floats) -> StepsThere:
    """The steps of ``value`` ``(H, W)`` Munsell value across ``places``, lighter towards ``nx, ny``.

    ``contrast`` ``(n,)``: Munsell steps that each should have; ``expected_mm`` ``(n,)``: the sigma. Where a step is
    found at any scale as it should be, it is taken so: it is another that must be proven.
    """
    count = len(contrast)
    best = StepsThere(*np.full((4, count), np.nan))
    open_, most, expected = np.ones(count, bool), np.full(count, -np.inf), np.zeros(count, bool)
    for scale in SCALES_MM:
        found, good, rise = _at_scale(value, px_per_mm, places, contrast, scale)
        if scale <= _GONE_BY_MM:
            most = np.maximum(most, rise)
        as_expected = good & (found.contrast > _EXPECTED_RISE * contrast) & ~expected
        as_expected &= _alike(found.sigma_mm, expected_mm)
        if scale > min(SCALES_MM):
            good &= found.sigma_mm >= _WIDE_FOR_SCALE * scale
        take = as_expected | (open_ & good & ~expected)
        expected |= as_expected
        open_ &= ~take
        for part, new in zip(best.parts, found.parts, strict=True):
            part[take] = new[take]
    best.sigma_mm[open_ & (most < _GONE)] = np.inf
    return best


def _at_scale(
    value: Map, px_per_mm: float, places: Places, contrast: Floats, scale_mm: float
) -> tuple[StepsThere, NDArray[np.bool_], Floats]:
    """The steps fitted at one scale, which of them explain what is there, and what share of the contrast is there."""
    count = len(contrast)
    scaled, before = profile_ground(value, px_per_mm, scale_mm)
    half = np.full(count, max(_HALF_LEAST_MM, _HALF_SCALES * scale_mm))
    along = np.full(count, max(_ALONG_MM, _ALONG_SCALES * scale_mm))
    profiles = profiles_across(scaled, places, half, along, samples=_SAMPLES, patch=_ACROSS, bend=straight(count))
    steps = fitted_steps(profiles, scale_mm / half)
    off = steps.at * half
    wide = without_blur(steps.sigma * half, before)
    good = _risen(steps, contrast, _LEFT_SHARES[scale_mm]) & (np.abs(off) < _OFF_SCALES * scale_mm + _OFF_MM)
    good &= standing_share(profiles, steps.height) >= _STANDS
    good &= wide < (_WIDEST if scale_mm == max(SCALES_MM) else _TOO_WIDE) * scale_mm
    sigma = without_blur(wide, _PIXEL / px_per_mm)
    left = (_DOUBT * steps.rms + _FAINT) / np.maximum(np.abs(steps.height), 1e-6)
    doubt = sigma * np.minimum(_LEAST_DOUBT + left, _MOST_DOUBT)
    return StepsThere(sigma, doubt, steps.height, off), good, _rise_across(profiles) / contrast


def _alike(sigma: Floats, expected: Floats) -> NDArray[np.bool_]:
    off = np.abs(np.log(np.maximum(sigma, 1e-6) / expected))
    return np.asarray((off < np.log(_ALIKE)) | (np.abs(sigma - expected) < _ALIKE_MM))


def _risen(steps: BlurredSteps, contrast: Floats, left: float) -> NDArray[np.bool_]:
    """Whether each step rises as it should and leaves little."""
    rise = steps.height / contrast
    return np.asarray((rise > _LEAST_RISE) & (rise < _MOST_RISE) & (steps.rms < left * np.abs(steps.height)))


def _rise_across(profiles: Map) -> Floats:
    """By how much the lighter half of each profile is lighter."""
    half = profiles.shape[1] // 2
    return np.asarray(profiles[:, -half:].mean(axis=1) - profiles[:, :half].mean(axis=1), dtype=np.float64)
