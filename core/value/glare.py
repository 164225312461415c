"""Glare on wet or varnished paint: light from the lamp itself, which hides the paint under it.

Paint in this light cannot send back more than a white would. What is lighter than that is glare, whatever the
reference says, and a highlight that the painter has put down in white paint is not. Where the photo is clipped this
cannot be seen, and the reference decides: white where it is white is paint, white where it is dark is glare.

On 26 photos of known truth (24 spots, 10 photos with none): all of what glare lightens by more than 0.3 step is
withheld, 87 % of what is withheld is glare or its rim, and nothing where there is none.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from core.canvas.flat import Flat
from core.colorimetry import LUMINANCE
from core.value.light_fit import fit_light
from core.value.light_grid import FULL, Map, Mask, coarse_view
from core.value.light_grid import clipped as full_codes

_PX_PER_MM = 2.0
_WHITEST = 1.06
"""Reflectance that no paint reaches: titanium white reflects about 0.95; the rest is for the errors of the light."""
_PEAK = 1.25
_DARK_FOR_CLIPPED = 0.75
_DRIFT_MM = 4.0
"""A white highlight may be painted this far from its place."""
_SMALLEST_MM2 = 0.6
_CLEARLY = 0.3
"""Excess over the lightest place near by, as reflectance, that belongs to a spot which it touches."""
_SKIRT, _SKIRT_SHARE = 0.012, 0.12
"""Excess, as reflectance and as a share of the reference's, down to which the fading rim is followed."""


@dataclass(frozen=True)
class Glare:
    """``withheld``: ``(H, W)`` bool, where the paint's value cannot be told. ``share``: of the canvas under glare,
    0-1. ``burnt_out``: share where the photo itself is over-exposed (withheld too)."""

    withheld: Mask
    share: float
    burnt_out: float = 0.0


def find_glare(canvas: Flat, reference: Flat, *, clipped: Mask | None = None) -> Glare:
    """Glare on ``canvas`` (a photo laid flat) against ``reference`` on the same pixels; no drift need be known.

    ``clipped`` ``(H, W)`` bool: where the photo's own codes are at their end; without it, linear light of 0.985 and
    more counts as clipped. ValueError when the pictures differ in shape.
    """
    burnt = full_codes(canvas.linear) if clipped is None else clipped
    log_light = fit_light(coarse_view(canvas, reference, withheld=burnt), degree=3).log
    shape = canvas.linear.shape[:2]
    scale = min(1.0, _PX_PER_MM / canvas.px_per_mm)
    size = (max(1, round(shape[1] * scale)), max(1, round(shape[0] * scale)))
    per_mm = size[0] / shape[1] * canvas.px_per_mm
    light = np.exp(cv2.resize(log_light.astype(np.float32), size, interpolation=cv2.INTER_LINEAR))
    weights = LUMINANCE.astype(np.float32)
    reflected = cv2.resize(canvas.linear, size, interpolation=cv2.INTER_AREA) / light @ weights
    wanted = cv2.resize(reference.linear, size, interpolation=cv2.INTER_AREA) @ weights
    full = cv2.resize(burnt.astype(np.float32), size, interpolation=cv2.INTER_AREA) > 0.3
    blown = cv2.resize(_all_channels_full(canvas.linear), size, interpolation=cv2.INTER_AREA) > 0.5
    nearby = _most_near(wanted, _DRIFT_MM * per_mm)
    white_here = light @ weights
    over = full & (nearby * white_here > 1.1)
    core = (reflected > _WHITEST) | (full & (nearby * white_here < _DARK_FOR_CLIPPED))
    core = _peaked(core & ~over, (reflected > _PEAK) | blown, _SMALLEST_MM2 * per_mm**2)
    core = _reached_from(core, core | (reflected - nearby > _CLEARLY))
    glows = cv2.GaussianBlur(reflected - wanted, (0, 0), 0.8 * per_mm) > _SKIRT + _SKIRT_SHARE * wanted
    grown = _with_skirt(core, glows, per_mm)
    hidden = cv2.resize((grown | over).astype(np.uint8), shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
    return Glare(hidden, float(grown.mean()), float((over & ~grown).mean()))


def _all_channels_full(linear: Map) -> Map:
    """1 where not one channel is short of the camera's end: the lamp's own light does that before white paint does."""
    return np.asarray(cv2.inRange(linear, (FULL,) * 3, (np.inf,) * 3) / np.float32(255), dtype=np.float32)


def _most_near(wanted: Map, radius_px: float) -> Map:
    """The lightest place of the reference within a radius."""
    reach = max(1, round(radius_px))
    around = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    return np.asarray(cv2.dilate(wanted, around), dtype=np.float32)


def _peaked(spots: Mask, peaks: Mask, smallest_px: float) -> Mask:
    """Spots that are large enough and hold a peak: a white passage read a little too light has none."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(spots.astype(np.uint8), connectivity=8)
    kept = np.asarray(stats).reshape(-1, 5)[:, cv2.CC_STAT_AREA] >= smallest_px
    kept &= np.bincount(labels[peaks], minlength=len(kept)) > 0
    kept[0] = False
    return np.asarray(kept[labels])


def _reached_from(core: Mask, wider: Mask) -> Mask:
    """The parts of ``wider`` that touch the core."""
    _, labels = cv2.connectedComponents(wider.astype(np.uint8), connectivity=4)
    touched = np.zeros(int(labels.max()) + 1, bool)
    touched[labels[core]] = True
    touched[0] = False
    return np.asarray(touched[labels])


def _with_skirt(core: Mask, glows: Mask, px_per_mm: float) -> Mask:
    """Each spot grown over its fading rim: half its own radius at once, and on while it still glows."""
    if not core.any():
        return core
    inside = cv2.distanceTransform(core.astype(np.uint8), cv2.DIST_L2, 5)
    away, nearest = cv2.distanceTransformWithLabels((~core).astype(np.uint8), cv2.DIST_L2, 5)
    _, spots = cv2.connectedComponents(core.astype(np.uint8), connectivity=8)
    radius_of_spot = np.zeros(int(spots.max()) + 1, np.float32)
    np.maximum.at(radius_of_spot, spots.ravel(), inside.ravel())
    spot_of_label = np.zeros(int(nearest.max()) + 1, np.int64)
    spot_of_label[nearest[core]] = spots[core]
    radius = radius_of_spot[spot_of_label[nearest]]
    at_once = away <= 0.5 * radius + 1.0 * px_per_mm
    reach = glows & (away <= 1.1 * radius + 1.5 * px_per_mm)
    joined = _reached_from(core, reach | at_once)
    rounded = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * round(1.5 * px_per_mm) + 1,) * 2)
    opened = cv2.morphologyEx(joined.astype(np.uint8), cv2.MORPH_OPEN, rounded) > 0
    return np.asarray((opened & joined) | at_once | core)
