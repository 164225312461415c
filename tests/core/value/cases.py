"""Paintings with known value faults, photographed in known light and laid flat with the true corners."""

import hashlib
import io
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.canvas.flat import Flat
from core.colorimetry import LUMINANCE, decode_srgb, munsell_value
from core.size import Size
from tests.studio import references
from tests.studio.camera import (
    Camera,
    light_on_canvas,
    photograph,
    photograph_blank,
    replace_pixels,
    stand_before,
    straighten,
)
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.faults import random_ellipses
from tests.studio.painter import Painted, ValueFault, grid_mm, paint

Picture = NDArray[np.float32]
PX_PER_MM = 4.0
_LINEAR = decode_srgb(np.arange(256) / 255).astype(np.float32)


@dataclass(frozen=True)
class Case:
    """A reference and a canvas photo laid flat, a blank in the same light, and the truth, on a 1 mm grid."""

    name: str
    size: Size
    camera: Camera
    faults: tuple[ValueFault, ...]
    reference: Flat
    moved: Flat
    canvas: Flat
    blank: Flat
    true_value: NDArray[np.float64]
    """Munsell value of the painting as it stands."""
    true_fault: NDArray[np.float64]
    """The painting as meant, less the moved reference: the value faults that it really has."""
    glare_light: NDArray[np.float64]
    """What glare adds to the light from the canvas."""


@dataclass(frozen=True)
class Recipe:
    """All that decides a case. ``faults``: None for a random number of them, or the faults themselves."""

    seed: int
    reference: str = "chelsea"
    size_mm: tuple[float, float] = (400.0, 300.0)
    largest_mm: float = 3.0
    left_over_mm: float = 0.5
    """Error of the drift that the moved reference is made with."""
    brushwork: str = "strokes"
    faults: tuple[ValueFault, ...] | None = None
    fault_share: float = 0.16
    light_ratio: float = 2.0
    hot_spot: float = 0.0
    vignetting: float = 0.2
    white_balance: float = 0.15
    exposure: float = 0.75
    glare: int = 1
    tone_contrast: float = 0.0
    blank_reflectance: float = 0.88
    blank_exposure: float = 1.0
    """Exposure of the blank's photo over that of the canvas."""
    width: int = 4000
    painted_too: float = 0.0
    """The whole picture painted this much too light."""


def random_recipe(seed: int, **given: object) -> Recipe:
    rng = np.random.default_rng(500 + seed)
    recipe = Recipe(
        seed=seed,
        reference=references.NAMES[seed % 4],
        size_mm=((400.0, 300.0), (300.0, 400.0), (360.0, 300.0))[seed // 4 % 3],
        largest_mm=float(rng.uniform(1.5, 4)),
        brushwork=("strokes", "texture")[seed // 2 % 2],
        fault_share=float(rng.uniform(0.04, 0.2)),
        light_ratio=float(rng.uniform(1.3, 2.0)),
        hot_spot=float(rng.choice([0.0, 0.0, 0.25, 0.4])),
        vignetting=float(rng.uniform(0, 0.3)),
        exposure=float(rng.uniform(0.55, 0.85)),
        glare=int(rng.integers(0, 3)),
        blank_reflectance=float(rng.uniform(0.80, 0.95)),
    )
    return replace(recipe, **given)  # type: ignore[arg-type]


def random_faults(recipe: Recipe) -> tuple[ValueFault, ...]:
    """Ellipses of 9 cm2 and more that do not touch, 0.7 to 2 steps off, together about ``fault_share``."""
    ellipses = random_ellipses(
        np.random.default_rng(recipe.seed + 31),
        recipe.size_mm,
        share=recipe.fault_share,
        smallest_mm2=900,
        margin=0.05,
        amounts=(0.7, 2.0),
    )
    return tuple(ValueFault(*each) for each in ellipses)


def make(recipe: Recipe, cache: Path | None = None, *, px_per_mm: float = PX_PER_MM) -> Case:
    """The case, painted and photographed now, or read from ``cache``; coarser pictures are made more quickly."""
    size = Size(*recipe.size_mm)
    faults = random_faults(recipe) if recipe.faults is None else recipe.faults
    stored = None
    if cache is not None and px_per_mm == PX_PER_MM:
        cache.mkdir(parents=True, exist_ok=True)
        stored = (
            cache / f"{recipe.reference}-{recipe.seed}-{hashlib.sha256(repr(recipe).encode()).hexdigest()[:16]}.npz"
        )
    camera = camera_of(recipe, size)
    if stored is not None and stored.exists():
        with np.load(stored) as kept:
            arrays = dict(kept)
    else:
        arrays = _arrays(recipe, size, faults, camera, px_per_mm)
        if stored is not None:
            np.savez(stored, allow_pickle=False, **arrays)
    return _case(recipe, size, camera, faults, arrays, px_per_mm)


def _case(
    recipe: Recipe,
    size: Size,
    camera: Camera,
    faults: tuple[ValueFault, ...],
    arrays: dict[str, NDArray[np.generic]],
    px_per_mm: float,
) -> Case:
    flats = {k: Flat(_LINEAR[arrays[k]], px_per_mm, size) for k in ("canvas", "blank")}
    flats |= {k: Flat(arrays[k].astype(np.float32), px_per_mm, size) for k in ("reference", "moved")}
    return Case(
        recipe.reference, size, camera, faults, flats["reference"], flats["moved"], flats["canvas"], flats["blank"],
        arrays["true_value"], arrays["true_fault"], arrays["glare_light"],
    )  # fmt: skip


def camera_of(recipe: Recipe, size: Size) -> Camera:
    rng = np.random.default_rng(recipe.seed + 91)
    height = round(recipe.width * 0.75)
    width, height = (recipe.width, height) if size.aspect >= 1 else (height, recipe.width)
    cast = 1 + rng.uniform(-1, 1, 3) * recipe.white_balance
    spots = tuple(
        (float(rng.uniform(0.05, 0.95) * size.width_mm), float(rng.uniform(0.05, 0.95) * size.height_mm),
         float(rng.uniform(3, 10)))
        for _ in range(recipe.glare)
    )  # fmt: skip
    return Camera(
        stand_before(rng, size.aspect, width=width, height=height),
        width=width,
        height=height,
        exposure=recipe.exposure,
        white_balance=(float(cast[0]), float(cast[1]), float(cast[2])),
        light_ratio=recipe.light_ratio,
        light_from_deg=float(rng.uniform(0, 360)),
        hot_spot=recipe.hot_spot,
        vignetting=recipe.vignetting,
        glare=spots,
        tone_contrast=recipe.tone_contrast,
        blur_px=0.8 * recipe.width / 4000,
        seed=recipe.seed,
    )


def _arrays(
    recipe: Recipe, size: Size, faults: tuple[ValueFault, ...], camera: Camera, px_per_mm: float
) -> dict[str, NDArray[np.generic]]:
    linear, drift, painted = painting(recipe, size, faults, px_per_mm=1.25 * px_per_mm)
    blank_camera = replace(camera, exposure=camera.exposure * recipe.blank_exposure)
    blank = photograph_blank(painted, blank_camera, reflectance=recipe.blank_reflectance)
    return truth(recipe, linear, drift, painted, camera, px_per_mm) | {
        "canvas": laid_flat(photograph(painted, camera).jpeg(), camera, size, px_per_mm),
        "blank": laid_flat(blank.jpeg(), camera, size, px_per_mm),
    }


def make_square_on(recipe: Recipe, *, px_per_mm: float = 2.0) -> Case:
    """The case as if the lens had looked squarely at exactly the canvas: quick, for what needs no optics."""
    size = Size(*recipe.size_mm)
    faults = random_faults(recipe) if recipe.faults is None else recipe.faults
    width, height = round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm)
    corners = ((0.0, 0.0), (width - 1.0, 0.0), (width - 1.0, height - 1.0), (0.0, height - 1.0))
    camera = replace(camera_of(recipe, size), corners=corners, width=width, height=height, blur_px=0.5)
    linear, drift, painted = painting(recipe, size, faults, px_per_mm=px_per_mm)
    arrays = truth(recipe, linear, drift, painted, camera, px_per_mm)
    primed = np.full_like(painted.linear, recipe.blank_reflectance)
    brighter = replace(camera, exposure=camera.exposure * recipe.blank_exposure, glare=())
    arrays["canvas"] = seen_square_on(painted.linear, painted, camera)
    arrays["blank"] = seen_square_on(primed, painted, brighter)
    return _case(recipe, size, camera, faults, arrays, px_per_mm)


def seen_square_on(face: Picture, painted: Painted, camera: Camera) -> NDArray[np.uint8]:
    x, y = grid_mm(painted.size, painted.px_per_mm)
    scene = face * light_on_canvas(painted, camera, x.astype(np.float32), y.astype(np.float32))[..., None]
    scene = scene + _glare_light(camera, x, y)[..., None].astype(np.float32)
    shot = replace_pixels(scene, camera, np.random.default_rng(camera.seed))
    return np.asarray(Image.open(io.BytesIO(shot.jpeg())).convert("RGB"))


def painting(
    recipe: Recipe, size: Size, faults: tuple[ValueFault, ...], *, px_per_mm: float
) -> tuple[Picture, Displacement, Painted]:
    rng = np.random.default_rng(recipe.seed)
    linear = references.linear(references.pixels(recipe.reference, size, width=2400 if size.aspect >= 1 else 1800))
    drift = random_displacement(size, rng, largest_mm=recipe.largest_mm)
    painted = paint(linear, drift, faults=faults, brushwork=recipe.brushwork, seed=recipe.seed, px_per_mm=px_per_mm)
    return linear, drift, _painted_too(painted, recipe.painted_too) if recipe.painted_too else painted


def truth(
    recipe: Recipe, linear: Picture, drift: Displacement, painted: Painted, camera: Camera, px_per_mm: float
) -> dict[str, NDArray[np.generic]]:
    size = painted.size
    shape = (round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm))
    exact = paint(linear, drift, brushwork="none", px_per_mm=1.0).meant
    meant = cv2.resize(painted.meant, exact.shape[1::-1], interpolation=cv2.INTER_AREA)
    return {
        "reference": cv2.resize(linear, shape, interpolation=cv2.INTER_AREA).astype(np.float16),
        "moved": where_painted(linear, drift, recipe, shape, px_per_mm).astype(np.float16),
        "true_value": painted.true_value(),
        "true_fault": munsell_value(meant @ LUMINANCE) - munsell_value(exact @ LUMINANCE),
        "glare_light": _glare_light(camera, *grid_mm(size, 1.0)),
    }


def _glare_light(camera: Camera, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    glare = np.zeros(x.shape)
    for gx, gy, radius in camera.glare:
        glare += 1.6 * np.exp(-((((x - gx) ** 2 + (y - gy) ** 2) / (2 * radius**2)) ** 2))
    return glare


def _painted_too(painted: Painted, steps: float) -> Painted:
    from core.colorimetry import luminance_of_value

    y = painted.linear @ LUMINANCE
    gain = luminance_of_value(np.clip(munsell_value(y) + steps, 0.3, 9.6)) / y
    return replace(painted, linear=(painted.linear * gain[..., None]).astype(np.float32))


def where_painted(
    linear: Picture, drift: Displacement, recipe: Recipe, shape: tuple[int, int], px_per_mm: float
) -> Picture:
    """The reference moved to where the painting has it, as a measured drift would: a little wrong."""
    if recipe.left_over_mm:
        wrong = random_displacement(
            drift.size, np.random.default_rng(recipe.seed + 7), largest_mm=recipe.left_over_mm, bumps=12
        )
        drift = replace(drift, bumps=drift.bumps + wrong.bumps)
    moved = paint(linear, drift, brushwork="none", px_per_mm=px_per_mm).meant
    return cv2.resize(moved, shape, interpolation=cv2.INTER_AREA)


def laid_flat(jpeg: bytes, camera: Camera, size: Size, px_per_mm: float = PX_PER_MM) -> NDArray[np.uint8]:
    """The photo laid flat with its true corners and lens, as sRGB codes."""
    pixels = np.asarray(Image.open(io.BytesIO(jpeg)).convert("RGB"))
    x, y = grid_mm(size, px_per_mm)
    w, h = size.width_mm, size.height_mm
    face = np.array([[0, 0], [w, 0], [w, h], [0, h]], dtype=np.float32)
    corners = straighten(np.asarray(camera.corners, dtype=np.float64), camera).astype(np.float32)
    m = cv2.getPerspectiveTransform(face, corners)
    z = m[2, 0] * x + m[2, 1] * y + m[2, 2]
    at = np.stack([(m[0, 0] * x + m[0, 1] * y + m[0, 2]) / z, (m[1, 0] * x + m[1, 1] * y + m[1, 2]) / z], axis=-1)
    at = at.astype(np.float32)
    return cv2.remap(pixels, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
