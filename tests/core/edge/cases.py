"""Pictures whose edges have a known blur: forms, each with a rim of its own sigma and contrast, painted and shot."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.colorimetry import luminance_of_value
from core.photo import load_photo_bytes
from core.size import Size
from tests.studio.camera import Camera, photograph, stand_before
from tests.studio.painter import Painted, texture

SIZE = Size(300, 225)
PX_PER_MM = 5.0
FLAT_PX_PER_MM = 4.0
Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Rim:
    """The outline of a form ``(n, 2)`` mm, the sigma of its blur in mm and its contrast in Munsell steps (signed)."""

    outline_mm: Floats
    sigma_mm: float
    contrast: float


@dataclass(frozen=True, eq=False)
class Forms:
    """``value``: ``(H, W)`` Munsell value at ``PX_PER_MM`` without brushwork."""

    value: Floats
    rims: tuple[Rim, ...]


def forms(seed: int, *, count: int = 14, sigmas_mm: tuple[float, float] = (0.3, 6.0)) -> Forms:
    """Forms that keep clear of one another, on a ground that changes a little; sigma and contrast (0.7 to 5 steps)
    evenly spread over their logarithms."""
    from scipy.special import ndtr

    rng = np.random.default_rng(seed)
    across, down = _grid()
    value = (
        5.0 + rng.normal(0, 0.6) * (across / SIZE.width_mm - 0.5) + rng.normal(0, 0.6) * (down / SIZE.height_mm - 0.5)
    )
    placed: list[tuple[float, float, float]] = []
    rims: list[Rim] = []
    for _ in range(400):
        if len(rims) == count:
            break
        sigma = float(np.exp(rng.uniform(*np.log(sigmas_mm))))
        radius = rng.uniform(max(6, 4 * sigma), max(9, 5 * sigma) + 8)
        room = 1.45 * radius + 3.5 * sigma
        if 2 * room > SIZE.height_mm:
            continue
        x, y = rng.uniform(room, SIZE.width_mm - room), rng.uniform(room, SIZE.height_mm - room)
        if any(np.hypot(x - a, y - b) < room + other for a, b, other in placed):
            continue
        placed.append((x, y, room))
        contrast = float(rng.choice([-1, 1]) * np.exp(rng.uniform(np.log(0.7), np.log(5.0))))
        rim = Rim(_outline(rng, x, y, radius), sigma, float(np.clip(contrast, -3.7, 4.2)))
        value = value + rim.contrast * ndtr(-_signed_distance(rim, across, down) / sigma)
        rims.append(rim)
    return Forms(value, tuple(rims))


def painted(made: Forms, *, strength: float = 0.06, seed: int = 0) -> Painted:
    """The forms as paint: bristle streaks, broken colour and the weave over them, 0.06 about 0.3 step."""
    light = luminance_of_value(made.value)[..., None] * np.ones(3)
    meant = light.astype(np.float32)
    brushwork = (
        texture(made.value.shape, PX_PER_MM, np.random.default_rng(seed), strength=strength) if strength else 1.0
    )
    return Painted(np.clip(meant * brushwork, 0.002, 0.95).astype(np.float32), meant, PX_PER_MM, SIZE)


def photographed(
    paint: Painted, *, seed: int = 0, width: int = 4000, blur_px: float = 0.8, noise: float = 0.004
) -> tuple[Flat, float]:
    """A photo of it laid flat at ``FLAT_PX_PER_MM``, and the sigma of its own blur in mm on the canvas."""
    rng = np.random.default_rng(seed)
    height = width * 3 // 4
    corners = stand_before(rng, SIZE.aspect, width=width, height=height, fill=0.8)
    camera = Camera(corners, width=width, height=height, blur_px=blur_px, noise=noise, seed=seed)
    photo = load_photo_bytes(photograph(paint, camera).jpeg(), "canvas.jpg")
    flat = lay_flat(photo, corners, SIZE, k1=camera.k1, px_per_mm=FLAT_PX_PER_MM)
    middle = [(SIZE.width_mm / 2, SIZE.height_mm / 2)]
    density = float(CanvasMap(np.asarray(corners), SIZE, width, height, camera.k1).scales(middle).mean())
    # Beside the lens: the picture of the paint is read by straight lines, 1/6 of its pixels squared.
    return flat, float(np.hypot(blur_px / density, np.sqrt(1 / 6) / PX_PER_MM))


def _grid() -> tuple[Floats, Floats]:
    wide, high = round(SIZE.width_mm * PX_PER_MM), round(SIZE.height_mm * PX_PER_MM)
    across, down = np.meshgrid((np.arange(wide) + 0.5) / PX_PER_MM, (np.arange(high) + 0.5) / PX_PER_MM)
    return across, down


def _outline(rng: np.random.Generator, x: float, y: float, radius: float) -> Floats:
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    away = 1 + sum(rng.normal(0, 0.1 / k) * np.cos(k * turn + rng.uniform(0, 2 * np.pi)) for k in (2, 3, 4))
    return np.stack([x + radius * away * np.cos(turn), y + radius * away * np.sin(turn)], axis=1)


def _signed_distance(rim: Rim, across: Floats, down: Floats) -> Floats:
    """mm from the outline, negative inside; a thousand beyond where it matters."""
    reach = 6 * rim.sigma_mm + 2
    low, high = rim.outline_mm.min(axis=0) - reach, rim.outline_mm.max(axis=0) + reach
    near = (across > low[0]) & (across < high[0]) & (down > low[1]) & (down < high[1])
    inside = np.zeros(across.shape, np.uint8)
    corners = np.rint((rim.outline_mm * PX_PER_MM - 0.5) * 64).astype(np.int32)
    cv2.fillPoly(inside, [corners.reshape(-1, 1, 2)], 1, cv2.LINE_8, 6)
    distance = np.full(across.shape, 1e3)
    distance[near] = _away(np.stack([across[near], down[near]], axis=1), rim.outline_mm)
    return np.where(inside > 0, -distance, distance)


def _away(places: Floats, outline: Floats) -> Floats:
    """mm from each place ``(n, 2)`` to a closed outline ``(m, 2)``: to the nearer of its nearest corner's two sides."""
    from scipy.spatial import cKDTree

    corner = cKDTree(outline).query(places)[1]
    off = places - outline[corner]
    nearest = np.inf
    for turn in (1, -1):
        side = np.roll(outline, -turn, axis=0) - outline
        share = (off * side[corner]).sum(axis=1) / (side**2).sum(axis=1)[corner]
        left = off - np.clip(share, 0, 1)[:, None] * side[corner]
        nearest = np.minimum(nearest, np.hypot(left[:, 0], left[:, 1]))
    return np.asarray(nearest)
