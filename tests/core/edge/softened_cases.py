"""Paintings whose edges are too soft or too hard over known stretches: photographs and forms, painted and shot.

A stretch lies in a round zone. Softened: the painting is blurred there by a Gaussian on Munsell value, so that an edge
of sigma s becomes one of hypot(s, blur). Hardened: the reference is blurred there instead, the painting is not.
"""

from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from core.canvas.lay_flat import lay_flat
from core.colorimetry import LUMINANCE, luminance_of_value, munsell_value
from core.edge.lines import link_edges
from core.edge.width import Edges, measure_edges
from core.photo import load_photo_bytes
from core.size import Size
from core.tone import value_of_linear
from tests.core.edge.cases import forms
from tests.studio import references
from tests.studio.camera import Camera, photograph, stand_before
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.painter import paint

Map = NDArray[np.float32]
FLAT_PX_PER_MM = 4.0
_MAKING_PX_PER_MM = 5.0
_RIM_MM = 2.0
"""Over which a zone passes into what lies round it."""
_LEAST_EDGE_MM, _LEAST_STEPS, _HARDEST_MM = 12.0, 1.2, 1.3
STRAY_MM = (0.2, -0.15)
"""What the measured drift is off by."""


@dataclass(frozen=True)
class Zone:
    """A round place whose edges are softened by ``blur_mm``, or hardened from it where ``hardened``."""

    x_mm: float
    y_mm: float
    radius_mm: float
    blur_mm: float
    hardened: bool

    def away_mm(self, x_mm: float, y_mm: float) -> float:
        return float(np.hypot(x_mm - self.x_mm, y_mm - self.y_mm)) - self.radius_mm


@dataclass(frozen=True, eq=False)
class SoftenedCase:
    """``reference``, ``canvas``: Munsell value at ``FLAT_PX_PER_MM``; ``linear`` of both; what moved, and the zones.
    ``sharp``: the edges of the picture before any zone was blurred."""

    name: str
    size: Size
    reference: Map
    canvas: Map
    displacement: Displacement
    zones: tuple[Zone, ...]
    sharp: Edges

    def move(self, places_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        return places_mm + self.displacement.at(places_mm) + np.array(STRAY_MM)


def softened_case(
    number: int,
    *,
    zones: int = 4,
    brushwork: str = "texture",
    width: int = 4000,
    blur_px: float = 0.8,
    blurs_mm: tuple[float, float] = (1.8, 3.0),
    largest_mm: float = 3.0,
) -> SoftenedCase:
    """The case of this number: another picture, other zones."""
    rng = np.random.default_rng(700 + number)
    name = (*references.NAMES, "forms")[number % 5]
    size = Size(300, 225) if name == "forms" else Size(400, 300)
    picture = _picture(name, number, size)
    made, sharp = _zones(picture, size, rng, zones, blurs_mm)
    wanted = _blurred(picture, [zone for zone in made if zone.hardened])
    meant = _blurred(picture, [zone for zone in made if not zone.hardened])
    displacement = random_displacement(size, rng, largest_mm=largest_mm)
    painted = paint(meant, displacement, brushwork=brushwork, px_per_mm=_MAKING_PX_PER_MM, seed=number)
    corners = stand_before(rng, size.aspect, width=width, height=width * 3 // 4, fill=0.85)
    camera = Camera(corners, width=width, height=width * 3 // 4, blur_px=blur_px, exposure=0.8, seed=number)
    photo = load_photo_bytes(photograph(painted, camera).jpeg(), "canvas.jpg")
    flat = lay_flat(photo, corners, size, k1=camera.k1, px_per_mm=FLAT_PX_PER_MM)
    return SoftenedCase(
        f"{name} {brushwork}",
        size,
        _shrunk(wanted, size),
        value_of_linear(flat.linear / np.float32(0.8)),
        displacement,
        tuple(made),
        sharp,
    )


@cache
def _picture(name: str, number: int, size: Size) -> Map:
    """Linear light at ``_MAKING_PX_PER_MM``."""
    wide = round(size.width_mm * _MAKING_PX_PER_MM)
    if name == "forms":
        value = forms(number, sigmas_mm=(0.3, 3.0)).value
        return np.repeat(luminance_of_value(value).astype(np.float32)[..., None], 3, axis=2)
    return references.linear(references.pixels(name, size, width=wide))


def _shrunk(picture: Map, size: Size) -> Map:
    shape = (round(size.width_mm * FLAT_PX_PER_MM), round(size.height_mm * FLAT_PX_PER_MM))
    return value_of_linear(np.asarray(cv2.resize(picture, shape, interpolation=cv2.INTER_AREA), dtype=np.float32))


def _zones(
    picture: Map, size: Size, rng: np.random.Generator, count: int, blurs_mm: tuple[float, float]
) -> tuple[list[Zone], Edges]:
    """Zones about narrow edges of enough contrast and length, clear of one another and of the rim; every other one to
    be hardened, where the edge is left when the whole is blurred."""
    sharp = measure_edges(_shrunk(picture, size), FLAT_PX_PER_MM)
    whole = _shrunk(_blurred(picture, [Zone(0, 0, 1e4, float(np.mean(blurs_mm)), True)]), size)
    soft = measure_edges(whole, FLAT_PX_PER_MM)
    narrow = (sharp.sigma_mm < _HARDEST_MM) & (sharp.contrast > _LEAST_STEPS)
    standing = (soft.contrast > _LEAST_STEPS) & (soft.sigma_mm > min(blurs_mm)) & (soft.sigma_mm < 1.3 * max(blurs_mm))
    on_narrow = cKDTree(_places(sharp)[narrow]).query(_places(soft))[0] < 1.0
    fit = {False: (sharp, narrow, link_edges(sharp)), True: (soft, standing & on_narrow, link_edges(soft))}
    made: list[Zone] = []
    for _ in range(4000):
        hardened = bool(len(made) % 2)
        edges, good, lines = fit[hardened]
        point = rng.choice(np.flatnonzero(good))
        x, y, radius = float(edges.x_mm[point]), float(edges.y_mm[point]), float(rng.uniform(10, 15))
        if min(x, y, size.width_mm - x, size.height_mm - y) < 25 or any(zone.away_mm(x, y) < 35 for zone in made):
            continue
        inside = good & (np.hypot(edges.x_mm - x, edges.y_mm - y) < radius - _RIM_MM)
        if lines.length_mm[inside].sum() < _LEAST_EDGE_MM:
            continue
        made.append(Zone(x, y, radius, float(rng.uniform(*blurs_mm)), hardened))
        if len(made) == count:
            break
    return made, sharp


def _places(edges: Edges) -> NDArray[np.float64]:
    return np.stack([edges.x_mm, edges.y_mm], axis=1)


def _blurred(picture: Map, zones: list[Zone]) -> Map:
    light = np.maximum(picture @ LUMINANCE.astype(np.float32), 1e-4)
    value = munsell_value(light).astype(np.float32)
    y, x = (np.mgrid[: value.shape[0], : value.shape[1]].astype(np.float32) + 0.5) / _MAKING_PX_PER_MM
    changed = value.copy()
    for zone in zones:
        inside = np.clip((zone.radius_mm - np.hypot(x - zone.x_mm, y - zone.y_mm)) / _RIM_MM + 0.5, 0, 1)
        soft = cv2.GaussianBlur(value, (0, 0), zone.blur_mm * _MAKING_PX_PER_MM)
        changed += inside * (soft - value)
    if not zones:
        return picture
    gain = luminance_of_value(np.clip(changed, 0.3, 9.6)) / light
    return np.clip(picture * gain[..., None], 0.002, 0.95).astype(np.float32)
