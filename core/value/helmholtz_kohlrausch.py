"""Where strong colour looks lighter than it measures: the Helmholtz-Kohlrausch effect, as a note beside the value.

Nayatani 1997, *Simple estimation methods for the Helmholtz-Kohlrausch effect*, Color Research and Application 22(6),
385-401, object colours: the CIE 1976 lightness of the grey that looks as light (variable achromatic colour, VAC: the
question that a grey print asks). The measure stays luminance: what an eye makes of a red differs from eye to eye, and a
painter who mixes by the grey reference needs the measure.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.colorimetry import RGB_TO_XYZ, WHITE, lightness, luminance_of_lightness
from core.tone import value_of_luminance
from core.words import as_share

Floats = NDArray[np.float64]
Map = NDArray[np.float32]

ADAPTING_CD_M2 = 63.66
"""At this adapting luminance, a fifth of a white in 1000 lux, the brightness factor of the formula is 1."""
LEAST_STEPS = 0.4
SMALLEST_MM2 = 100.0
MOST_PLACES = 5
_ACHROMATIC = -0.1340
_HUE_COSINES = (-0.01585, -0.03017, -0.04556, -0.02667, -0.00295)
_HUE_SINES = (0.14592, 0.05084, -0.01900, -0.00764)
_DARKEST = 0.003
"""Luminance under which a photograph's chromaticity is noise."""


@dataclass(frozen=True)
class Place:
    """A passage that looks lighter than it measures: its inmost point, mm, its area in cm², its mean in steps."""

    x_mm: float
    y_mm: float
    area_cm2: float
    steps: float


@dataclass(frozen=True, eq=False)
class LooksLighter:
    """``steps``: ``(H, W)`` float32, how much lighter a place looks than its value, Munsell steps (below 0: darker).

    ``places``: passages of ``SMALLEST_MM2`` or more that look lighter by ``LEAST_STEPS`` or more, the largest first.
    ``share``: of the picture that does, 0-1.
    """

    steps: Map
    places: tuple[Place, ...]
    share: float

    @property
    def note(self) -> str:
        """A sentence or two for the painter; empty where nothing looks much lighter."""
        if not self.places:
            return ""
        most = max(place.steps for place in self.places)
        return (
            f"Strong colour looks lighter than it measures: by {most:.1f} steps at most, over "
            f"{as_share(self.share)} of the picture. Values are shown as measured; trust them there "
            "rather than the eye."
        )


def looks_lighter(linear: Map, *, px_per_mm: float) -> LooksLighter:
    """How much lighter the colours of ``linear`` ``(H, W, 3)``, linear light, look than greys of their luminance."""
    steps = lighter_by(linear)
    strong = (steps >= LEAST_STEPS).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(strong, connectivity=4)
    area = np.asarray(stats).reshape(-1, 5)[:, cv2.CC_STAT_AREA] / px_per_mm**2
    large = [int(label) for label in np.argsort(-area) if label and area[label] >= SMALLEST_MM2][:MOST_PLACES]
    places = []
    for label in large:
        inside = np.pad((labels == label).astype(np.uint8), 1)
        depth = np.asarray(cv2.distanceTransform(inside, cv2.DIST_L2, 5))[1:-1, 1:-1]
        row, column = np.unravel_index(int(depth.argmax()), depth.shape)
        mean = float(steps[labels == label].mean())
        places.append(Place((column + 0.5) / px_per_mm, (row + 0.5) / px_per_mm, float(area[label]) / 100, mean))
    return LooksLighter(steps, tuple(places), float(strong.mean()))


def lighter_by(linear: Map) -> Map:
    """Munsell steps ``(H, W)`` float32 by which each place looks lighter than its value; 0 where it is near black."""
    xyz = np.asarray(cv2.transform(np.ascontiguousarray(linear, dtype=np.float32), RGB_TO_XYZ.astype(np.float32)))
    x, y, z = cv2.split(xyz)
    total = np.maximum(x + 15.0 * y + 3.0 * z, 1e-9)
    white_u, white_v = _uv(WHITE)
    u, v = 4.0 * x / total - np.float32(white_u), 9.0 * y / total - np.float32(white_v)
    saturation = 13.0 * np.hypot(u, v)
    ratio = 1.0 + (_ACHROMATIC * _hue_weight(np.arctan2(v, u)) + 0.0872 * _brightness_factor()) * saturation
    told = y > _DARKEST
    luminance = np.clip(y, 0.0, None).astype(np.float64)
    alike = luminance_of_lightness(np.where(told, ratio, 1.0) * lightness(luminance))
    by = value_of_luminance(alike.astype(np.float32)) - value_of_luminance(luminance.astype(np.float32))
    return np.where(told, by, np.float32(0.0)).astype(np.float32)


def _hue_weight(angle: Map) -> Floats:
    """Nayatani's q at hue angles in the plane of u\', v\', radians."""
    cosines = sum(weight * np.cos(k * angle) for k, weight in enumerate(_HUE_COSINES))
    return np.asarray(cosines + sum(weight * np.sin(k * angle) for k, weight in enumerate(_HUE_SINES, start=1)))


def _brightness_factor() -> float:
    adapted = ADAPTING_CD_M2**0.4495
    return float(0.2717 * (6.469 + 6.362 * adapted) / (6.469 + adapted))


def _uv(xyz: Floats) -> tuple[float, float]:
    x, y, z = xyz
    total = x + 15.0 * y + 3.0 * z
    return float(4.0 * x / total), float(9.0 * y / total)
