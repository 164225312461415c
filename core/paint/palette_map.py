"""Which passages of a reference a palette does not reach, and what they lack."""

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.areas import SignedArea, signed_areas
from core.colorimetry import lab as lab_of
from core.paint.miss import Miss, miss_of
from core.paint.palette_reach import PaletteReach, even
from core.paint.target import Lab
from core.words import area as area_words

Floats = NDArray[np.float64]
Map = NDArray[np.float32]

LIMIT = 2.0
"""CIEDE2000 from which a colour is told to be beyond reach. Under 1 it cannot be told from what is reached."""
LONGEST_PX = 400
"""A larger reference is averaged down to this first: on a canvas of 40 cm a pixel is then a dab of 1 mm."""
SMALLEST_CM2 = 1.0
_CELL = 0.75
"""Colours so near in the even space are looked up once."""
_OF_LIMIT, _APART = 0.8, 5.0
_OFFSET, _SPAN = 1000, 4096


@dataclass(frozen=True)
class Lacking:
    """What a palette lacks of a colour: the ``wanted`` and the ``nearest`` it has, both CIELAB, D65."""

    wanted: Lab
    nearest: Lab

    @property
    def hue_deg(self) -> float:
        """Hue of the colour wanted, CIELAB, 0-360."""
        return float(np.degrees(np.arctan2(self.wanted[2], self.wanted[1])) % 360.0)

    @property
    def miss(self) -> Miss:
        """In which way the colour wanted is beyond: too dark, too light, too strong, too warm and so on."""
        return miss_of(self.wanted, self.nearest)


@dataclass(frozen=True, eq=False)
class Unreached:
    """A passage beyond reach. ``number`` counts from 1, the heaviest first; ``x_mm, y_mm``: a point inside it;
    ``difference``: CIEDE2000 from what is reached, on its plateau; ``outline_mm``: ``(n, 2)``, closed."""

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    difference: float
    lacking: Lacking
    outline_mm: Floats

    def away_mm(self, x_mm: float, y_mm: float) -> float:
        """How far a point lies outside the passage; negative inside."""
        return -float(cv2.pointPolygonTest(self.outline_mm.astype(np.float32), (float(x_mm), float(y_mm)), True))

    def say(self) -> str:
        """Such as ``14 cm² too strong by 20 for this palette (CIEDE2000 5.2 from the nearest mix)``."""
        return (
            f"{area_words(self.area_cm2)} {self.lacking.miss} for this palette "
            f"(CIEDE2000 {self.difference:.1f} from the nearest mix)"
        )


@dataclass(frozen=True, eq=False)
class PaletteMap:
    """``linear``: the reference as it was looked up ``(h, w, 3)``, at ``px_per_mm``. ``difference``: ``(h, w)``
    CIEDE2000 from the nearest that is reached, NaN where the light is not known; ``nearest``: ``(h, w, 3)`` CIELAB of
    that. ``share``: of the picture beyond ``limit``, 0-1."""

    linear: Map
    px_per_mm: float
    difference: Map
    nearest: Map
    limit: float
    share: float
    passages: tuple[Unreached, ...]

    def say(self) -> str:
        """How much of the reference is reached, in a sentence."""
        if not np.isfinite(self.difference).any():
            return "No light of the reference could be read, so nothing is known of what this palette reaches."
        if self.share < 0.005:
            return "This palette reaches the whole reference."
        return f"{100 * self.share:.0f} % of the reference lies beyond this palette."


def palette_map(
    reach: PaletteReach,
    linear: NDArray[Any],
    *,
    px_per_mm: float,
    limit: float = LIMIT,
    smallest_cm2: float = SMALLEST_CM2,
) -> PaletteMap:
    """What of a reference, linear light ``(H, W, 3)`` in the sRGB primaries, lies beyond the reach of a palette.

    Looked up at ``LONGEST_PX`` at most: 0.12 s for a photograph, 1.5 s for noise of every colour there is. ValueError
    for another shape."""
    small = _reduced(linear)
    scale = px_per_mm * small.shape[1] / linear.shape[1]
    difference, nearest = _looked_up(reach, small)
    areas = signed_areas(
        np.nan_to_num(difference),
        px_per_mm=scale,
        overall=0.0,
        level_from=float("inf"),
        tolerance=_OF_LIMIT * limit,
        sure=limit,
        apart=_APART,
        smallest_cm2=smallest_cm2,
    )
    known = np.isfinite(difference)
    share = float((difference[known] > limit).mean()) if known.any() else 0.0
    passages = tuple(_passage(area, small, difference, nearest, scale, limit) for area in areas)
    return PaletteMap(small, scale, difference, nearest, limit, share, passages)


def unreached(reach: PaletteReach, linear: NDArray[Any]) -> Map:
    """CIEDE2000 ``(H, W)`` from each pixel of linear light ``(H, W, 3)`` to the nearest that the palette reaches; NaN
    where the light is not known. Under 1 it cannot be told from reached. ValueError for another shape."""
    return _looked_up(reach, np.asarray(linear, dtype=np.float32))[0]


def _reduced(linear: NDArray[Any]) -> Map:
    if linear.ndim != 3 or linear.shape[2] != 3:
        raise ValueError(f"expected linear light (H, W, 3), got shape {linear.shape}")
    height, width = linear.shape[:2]
    scale = LONGEST_PX / max(height, width)
    told = np.asarray(linear, dtype=np.float32)
    if scale >= 1.0:
        return told
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    return np.asarray(cv2.resize(told, size, interpolation=cv2.INTER_AREA))


def _looked_up(reach: PaletteReach, linear: Map) -> tuple[Map, Map]:
    """The difference ``(H, W)`` and the nearest ``(H, W, 3)``, each colour once."""
    if linear.ndim != 3 or linear.shape[2] != 3:
        raise ValueError(f"expected linear light (H, W, 3), got shape {linear.shape}")
    flat = linear.reshape(-1, 3)
    known = np.isfinite(flat).all(axis=1)
    difference, nearest = np.full(len(flat), np.nan, np.float32), np.full((len(flat), 3), np.nan, np.float32)
    if known.any():
        colours = lab_of(np.maximum(flat[known], 0.0))
        place = np.rint(even(colours) / _CELL).astype(np.int64) + _OFFSET
        cell = (place[:, 0] * _SPAN + place[:, 1]) * _SPAN + place[:, 2]
        _, first, which = np.unique(cell, return_index=True, return_inverse=True)
        away, found = reach.nearest(colours[first])
        difference[known], nearest[known] = away[which], found[which]
    return difference.reshape(linear.shape[:2]), nearest.reshape(linear.shape)


def _passage(area: SignedArea, linear: Map, difference: Map, nearest: Map, px_per_mm: float, limit: float) -> Unreached:
    inside = np.zeros(difference.shape, np.uint8)
    cv2.fillPoly(inside, [np.rint(area.outline_mm * px_per_mm - 0.5).astype(np.int32)], 1)
    beyond = (inside > 0) & (difference > limit)
    if not beyond.any():
        beyond = inside > 0
    wanted = np.median(lab_of(linear[beyond]), axis=0)
    found = np.median(nearest[beyond].astype(np.float64), axis=0)
    lacking = Lacking(_three(wanted), _three(found))
    return Unreached(area.number, area.x_mm, area.y_mm, area.area_cm2, area.amount, lacking, area.outline_mm)


def _three(lab: Floats) -> Lab:
    return float(lab[0]), float(lab[1]), float(lab[2])
