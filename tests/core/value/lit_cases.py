"""Paintings of known truth in four kinds of light, with a card, a chart and bare ground in the same photo."""

import hashlib
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import CanvasFix
from core.colorimetry import luminance_of_value
from core.photo import Photo, load_photo_bytes
from core.size import Size
from tests.core.value.cases import Recipe, painting, random_faults, random_recipe, truth
from tests.studio.camera import Camera, stand_before
from tests.studio.colour_chart import HEIGHT_MM, WIDTH_MM, drawn_chart
from tests.studio.displacement import Displacement
from tests.studio.lamps import Lying, card, photograph_lit
from tests.studio.painter import Painted

PX_PER_MM = 2.0
SIZE = Size(400, 300)
CARD_MM, GROUND_MM, BESIDE_MM = 28.0, 36.0, 45.0


@dataclass(frozen=True)
class Known:
    """A thing of stated Munsell ``value`` whose middle lies at ``x_mm, y_mm``; what it truly sends back is a little
    off the stated, as printed cards are."""

    x_mm: float
    y_mm: float
    value: float
    off: float = 0.0
    """Natural logarithm of what it truly sends back over what is stated."""


@dataclass(frozen=True)
class LitCase:
    """The photo as taken and all that is known of it."""

    kind: str
    seed: int
    camera: Camera
    photo: Photo
    fix: CanvasFix
    canvas: Flat
    moved: Flat
    blank: Flat
    blank_photo: Photo
    other_place: Photo
    """The blank photographed from another place in the same light."""
    card: Known
    beside: Known
    ground: Known
    chart: Known
    lying: NDArray[np.bool_]
    """``(H, W)`` on the flat: where the card and the bare ground lie."""
    true_value: NDArray[np.float64]
    """Munsell value of the painting on a 1 mm grid, NaN where something lies on it."""

    def to_px(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        place = CanvasMap(self.fix.corners_px, SIZE, self.photo.width, self.photo.height, self.fix.k1)
        x, y = place.mm_to_px((x_mm, y_mm))
        return float(x), float(y)


def lit_case(kind: str, seed: int, cache: Path | None = None, *, width: int = 4000, brushwork: str = "") -> LitCase:
    """A case of one of :data:`tests.studio.lamps.KINDS`; made now, or read from ``cache``."""
    recipe = _recipe(seed, width, brushwork)
    stored = None
    if cache is not None:
        cache.mkdir(parents=True, exist_ok=True)
        stored = cache / f"lit-{kind}-{seed}-{hashlib.sha256(repr(recipe).encode()).hexdigest()[:12]}.npz"
    if stored is not None and stored.exists():
        with np.load(stored) as kept:
            arrays = dict(kept)
    else:
        arrays = _made(kind, recipe)
        if stored is not None:
            np.savez(stored, allow_pickle=False, **arrays)
    return _case(kind, recipe, arrays)


def _recipe(seed: int, width: int, brushwork: str) -> Recipe:
    return random_recipe(
        3000 + seed,
        size_mm=(SIZE.width_mm, SIZE.height_mm),
        exposure=float(np.random.default_rng(seed).uniform(0.5, 0.65)),
        glare=0,
        width=width,
        **({"brushwork": brushwork} if brushwork else {}),
    )


def _camera(kind: str, recipe: Recipe) -> Camera:
    rng = np.random.default_rng(recipe.seed + 91)
    height = round(recipe.width * 0.75)
    cast = 1 + rng.uniform(-1, 1, 3) * recipe.white_balance
    return Camera(
        stand_before(rng, SIZE.aspect, width=recipe.width, height=height, fill=0.6),
        width=recipe.width,
        height=height,
        exposure=recipe.exposure,
        white_balance=(float(cast[0]), float(cast[1]), float(cast[2])),
        vignetting=float(rng.uniform(0.3, 0.45) if kind == "vignetting" else rng.uniform(0.05, 0.2)),
        blur_px=0.8 * recipe.width / 4000,
        k1=float(rng.uniform(-0.03, 0.01)),
        seed=recipe.seed,
    )


STATED = {"card on canvas": 0.02, "card beside": 0.02, "ground": 0.03, "chart": 0.015}
"""Standard deviation of what things truly send back about what is stated, natural logarithms."""


def _things(recipe: Recipe) -> tuple[Known, Known, Known, Known, tuple[Lying, ...]]:
    rng = np.random.default_rng(recipe.seed + 77)
    on, ground = _two_places(rng)
    values = [float(rng.choice([5.0, 8.0, 9.5])), float(rng.choice([5.0, 8.0, 9.5])), float(rng.uniform(8.3, 9.3))]
    off = [float(rng.normal(0, STATED[name])) for name in ("card on canvas", "card beside", "ground")]
    true = [float(luminance_of_value(v)) * float(np.exp(o)) for v, o in zip(values, off, strict=True)]
    left = bool(rng.integers(2))
    chart = (
        -WIDTH_MM - float(rng.uniform(6, 16)) if left else SIZE.width_mm + float(rng.uniform(6, 16)),
        float(rng.uniform(0, SIZE.height_mm - HEIGHT_MM)),
    )
    gap = float(rng.uniform(5, 60))
    beside = (
        SIZE.width_mm + gap + BESIDE_MM / 2 if left else -gap - BESIDE_MM / 2,
        float(rng.uniform(0.1, 0.9) * SIZE.height_mm),
    )
    chart_off = float(rng.normal(0, 0.01))
    printed = drawn_chart() * np.float32(np.exp(chart_off))
    weave = 1 + 0.03 * np.random.default_rng(1).standard_normal((120, 120, 1)).astype(np.float32)
    bare = np.minimum(true[2] * weave, 1.0).repeat(3, axis=2)
    half = GROUND_MM / 2
    lying = (
        card(on[0] - CARD_MM / 2, on[1] - CARD_MM / 2, CARD_MM, true[0], float(rng.uniform(-20, 20))),
        card(beside[0] - BESIDE_MM / 2, beside[1] - BESIDE_MM / 2, BESIDE_MM, true[1], float(rng.uniform(-10, 10))),
        Lying(ground[0] - half, ground[1] - half, GROUND_MM, GROUND_MM, bare),
        Lying(*chart, WIDTH_MM, HEIGHT_MM, printed, float(rng.uniform(-6, 6))),
    )
    known = [Known(*at, v, o) for at, v, o in zip((on, beside, ground), values, off, strict=True)]
    middle = Known(chart[0] + WIDTH_MM / 2, chart[1] + HEIGHT_MM / 2, 5.0, chart_off)
    return known[0], known[1], known[2], middle, lying


def _two_places(rng: np.random.Generator) -> tuple[tuple[float, float], tuple[float, float]]:
    while True:
        a, b = rng.uniform(0.1, 0.9, (2, 2)) * (SIZE.width_mm, SIZE.height_mm)
        if np.hypot(*(a - b)) > 80:
            return (float(a[0]), float(a[1])), (float(b[0]), float(b[1]))


@lru_cache(maxsize=1)
def _painting(recipe: Recipe) -> tuple[NDArray[np.float32], Displacement, Painted]:
    """The same painting stands in all four kinds of light."""
    return painting(recipe, SIZE, random_faults(recipe), px_per_mm=4.0)


def _made(kind: str, recipe: Recipe) -> dict[str, NDArray[np.generic]]:
    camera = _camera(kind, recipe)
    linear, drift, painted = _painting(recipe)
    *_, lying = _things(recipe)
    arrays = truth(recipe, linear, drift, painted, camera, PX_PER_MM)
    shot = photograph_lit(painted, camera, kind, recipe.seed, lying)
    bare = recipe.blank_reflectance
    blank = photograph_lit(painted, replace(camera, seed=camera.seed + 1), kind, recipe.seed, bare=bare)
    aside = stand_before(
        np.random.default_rng(recipe.seed + 5),
        SIZE.aspect,
        width=camera.width,
        height=camera.height,
        fill=0.66,
        tilt=0.08,
    )
    other = photograph_lit(painted, replace(camera, corners=aside), kind, recipe.seed, bare=bare)
    arrays |= {
        name: np.frombuffer(s.jpeg(), np.uint8) for name, s in (("photo", shot), ("blank", blank), ("other", other))
    }
    return {k: v for k, v in arrays.items() if k not in ("reference", "glare_light")}


def _case(kind: str, recipe: Recipe, arrays: dict[str, NDArray[np.generic]]) -> LitCase:
    camera = _camera(kind, recipe)
    on, beside, ground, chart, _ = _things(recipe)
    photo, blank, other = (load_photo_bytes(arrays[k].tobytes(), f"{k}.jpg") for k in ("photo", "blank", "other"))
    corners = np.asarray(camera.corners, dtype=np.float64)
    fix = CanvasFix(corners, "given", camera.k1, 6.0 * camera.width / 4000, 0.1, 1.0)
    flats = [lay_flat(p, corners, SIZE, k1=camera.k1, px_per_mm=PX_PER_MM) for p in (photo, blank)]
    hidden = np.zeros(arrays["true_value"].shape, np.uint8)
    for thing, reach in ((on, CARD_MM * 0.75 + 4), (ground, GROUND_MM * 0.75 + 3)):
        cv2.circle(hidden, (round(thing.x_mm), round(thing.y_mm)), round(reach), 1, -1)
    value = np.where(hidden > 0, np.nan, arrays["true_value"].astype(np.float64))
    covered = cv2.resize(hidden, flats[0].linear.shape[1::-1], interpolation=cv2.INTER_NEAREST) > 0
    moved = Flat(arrays["moved"].astype(np.float32), PX_PER_MM, SIZE)
    return LitCase(
        kind, recipe.seed, camera, photo, fix, flats[0], moved, flats[1], blank, other, on, beside, ground, chart,
        covered, value,
    )  # fmt: skip


__all__ = ["BESIDE_MM", "CARD_MM", "GROUND_MM", "SIZE", "Known", "LitCase", "Painted", "lit_case"]
