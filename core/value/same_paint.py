"""Whether two photos show the same paint, so that where they differ it is by glare.

Glare adds light and leaves the fine detail of the paint under it as it was, however much its own sparkle lies over it;
where paint was put on, the detail is another. So in the places where one photo is the lighter, its detail is fitted to
that of the other in linear light: a slope of 1 under glare, of 0 where it is other paint. Elsewhere the two must be
alike as pictures.

On four paintings of known truth at 3 megapixels, a sheen over a tenth of the canvas in each photo, smooth or broken up
by relief, in one light or another, the slope was 0.57 to 1.00 and the likeness 0.88 to 0.99: all 16 pairs were told for
the same. Between different paintings or with an empty canvas (22 pairs) the slope was at most 0.10 and the likeness
0.36, from sitting to sitting of one painting (6 pairs) the slope -0.28 to -0.13 and the likeness 0.84 to 0.92: not one
was. Where 12 to 13 % of the canvas differed by glare, the merged values were 0.03 steps in error there on average; at
20 %, 0.1; at 24 %, 0.2 to 0.3; beyond a quarter 0.5 and more: such a photo is of no use.
"""

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np

from core.tone import luminance_of_linear
from core.value.glare_photos import ALL_OVER, GlareFree
from core.value.light_grid import EDGE_MM, Map, Mask

Sameness = Literal["same", "another painting", "other paint", "too different"]

_FINE_MM, _FINE_PX, _COARSER = 0.3, 0.8, 3.3
"""Finer than this is noise; detail ends where it is coarser by the last."""
_SLOPE = 0.35
"""Of the slope where the two look alike; noise and a shift that is left flatten both."""
_TELLS = 0.15
"""Slope there from which the paint has detail to tell by."""
_DETAIL_MM2 = 1.0
"""Area that holds one piece of detail which knows nothing of the next."""
_FEWEST = 50
_LIKENESS = 0.45
_FORMS_MM = (1.0, 6.0)
_CONTRAST = 0.3
_LEAST_LEFT = 0.05
_REACH_MM = 2.0


@dataclass(frozen=True)
class Alike:
    """How alike two photos are. ``likeness``: correlation of the forms where neither has glare, -1 to 1. ``elsewhere``:
    slope of their fine detail there, the lower of both ways. ``under``: slope of the lighter photo's detail on the
    other's where it is the lighter, and its standard uncertainty (infinite where there is too little), for each."""

    likeness: float
    elsewhere: float
    under: tuple[tuple[float, float], tuple[float, float]]


def sameness(pair: GlareFree) -> Sameness:
    """What two photos, merged by :func:`core.value.glare_photos.without_glare`, show of one another.

    ``other paint``: the same canvas, but differing by more than glare. ``too different``: over more than a quarter of
    it. Where the paint has no detail to tell by, they pass for the same up to there.
    """
    found = alike(pair)
    if found.likeness < _LIKENESS:
        return "another painting"
    if found.elsewhere >= _TELLS and any(slope + 2 * doubt < _SLOPE * found.elsewhere for slope, doubt in found.under):
        return "other paint"
    return "too different" if max(pair.shares) > ALL_OVER else "same"


def alike(pair: GlareFree) -> Alike:
    """The figures that :func:`sameness` goes by; a likeness of 0 where hardly a place of both is without glare."""
    px_per_mm = pair.flat.px_per_mm
    one, other = (luminance_of_linear(photo) for photo in pair.lit)
    judged = _well_inside(np.asarray(pair.usable.all(axis=0)), px_per_mm)
    clean = judged & ~pair.glare.any(axis=0)
    fine, its = _detail(one, px_per_mm), _detail(other, px_per_mm)
    return Alike(
        _likeness(one, other, clean, px_per_mm) if clean.mean() >= _LEAST_LEFT else 0.0,
        min(_slope(fine, its, clean, px_per_mm)[0], _slope(its, fine, clean, px_per_mm)[0]),
        (
            _slope(fine, its, pair.glare[0] & judged, px_per_mm),
            _slope(its, fine, pair.glare[1] & judged, px_per_mm),
        ),
    )


def _slope(lighter: Map, darker: Map, where: Mask, px_per_mm: float) -> tuple[float, float]:
    """How much of the darker's detail is in the lighter, and its standard uncertainty; infinite where it is unknown."""
    pieces = float(where.sum()) / px_per_mm**2 / _DETAIL_MM2
    y, x = lighter[where].astype(np.float64), darker[where].astype(np.float64)
    power = float((x * x).sum())
    if pieces < _FEWEST or power <= 0:
        return 0.0, np.inf
    slope = float((x * y).sum()) / power
    return slope, float(np.sqrt(np.square(y - slope * x).sum() / power / pieces))


def _likeness(one: Map, other: Map, where: Mask, px_per_mm: float) -> float:
    """Correlation of the forms, each as strong as the next."""
    forms = (_band(np.log(np.maximum(each, 5e-3)), *_FORMS_MM, px_per_mm) for each in (one, other))
    a, b = (np.clip(each, -_CONTRAST, _CONTRAST)[where].astype(np.float64) for each in forms)
    power = float(np.sqrt((a * a).sum() * (b * b).sum()))
    return float((a * b).sum()) / power if power > 0 else 0.0


def _detail(light: Map, px_per_mm: float) -> Map:
    fine = max(_FINE_MM, _FINE_PX / px_per_mm)
    return _band(light, fine, _COARSER * fine, px_per_mm)


def _band(picture: Map, fine_mm: float, coarse_mm: float, px_per_mm: float) -> Map:
    fine = cv2.GaussianBlur(picture, (0, 0), fine_mm * px_per_mm)
    return np.asarray(fine - cv2.GaussianBlur(picture, (0, 0), coarse_mm * px_per_mm), dtype=np.float32)


def _well_inside(usable: Mask, px_per_mm: float) -> Mask:
    """Away from what is clipped and from the canvas's rim, so that neither is taken for detail."""
    rim, reach = max(1, round(EDGE_MM * px_per_mm)), 2 * max(1, round(_REACH_MM * px_per_mm)) + 1
    inside = np.zeros(usable.shape, np.uint8)
    inside[rim:-rim, rim:-rim] = usable[rim:-rim, rim:-rim]
    return np.asarray(cv2.erode(inside, np.ones((reach, reach), np.uint8)) > 0)
