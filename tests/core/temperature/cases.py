"""Paintings with known temperature faults, photographed in known light and laid flat with the true corners."""

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.colorimetry import decode_srgb, rgb_from_xyz
from core.size import Size
from core.temperature.warmth import TO_A, TO_B, lab_map, warmth
from core.value.glare import find_glare
from core.value.light import LightCorrection, correct_light
from tests.core.value.cases import Recipe, camera_of, laid_flat, random_recipe, seen_square_on, where_painted
from tests.studio import references
from tests.studio.camera import photograph, photograph_blank
from tests.studio.displacement import random_displacement
from tests.studio.faults import random_ellipses
from tests.studio.painter import Painted, ValueFault, fault_map, grid_mm, paint

Picture = NDArray[np.float32]
PX_PER_MM = 4.0
_LINEAR = decode_srgb(np.arange(256) / 255).astype(np.float32)
MADE = 1
"""Raised when cases are made otherwise, so that none is read from the cache that was made the old way."""


@dataclass(frozen=True)
class WarmthFault:
    """A passage painted ``amount`` of T too warm (+) or too cool (-) at its right lightness: an ellipse, mm."""

    x_mm: float
    y_mm: float
    radius_x_mm: float
    radius_y_mm: float
    amount: float
    soft_mm: float = 3.0

    @property
    def area_cm2(self) -> float:
        return float(np.pi * self.radius_x_mm * self.radius_y_mm / 100)


@dataclass(frozen=True)
class Case:
    """A reference and a canvas photo laid flat, a blank in the same light, and the truth on a 1 mm grid."""

    name: str
    size: Size
    faults: tuple[WarmthFault, ...]
    reference: Flat
    moved: Flat
    canvas: Flat
    blank: Flat
    true_warmth: Picture
    """T of the painting as it stands."""
    true_fault: Picture
    """T of the painting as meant, less that of the reference where the painting has its forms."""


def recipe_of(seed: int, **given: object) -> Recipe:
    """A random canvas, light, camera and brushwork; its faults are :func:`random_faults`."""
    return replace(random_recipe(seed), faults=(), **given)  # type: ignore[arg-type]


def random_faults(recipe: Recipe) -> tuple[WarmthFault, ...]:
    """Ellipses of 10 cm2 and more that do not touch, 7.5 to 15 of T off, together about ``fault_share``."""
    ellipses = random_ellipses(
        np.random.default_rng(recipe.seed + 71),
        recipe.size_mm,
        share=recipe.fault_share,
        smallest_mm2=1000,
        margin=0.08,
        amounts=(7.5, 15.0),
    )
    return tuple(WarmthFault(*each) for each in ellipses)


def with_faults(linear: Picture, faults: tuple[WarmthFault, ...], size: Size) -> Picture:
    """``linear`` ``(H, W, 3)`` over the whole canvas with the faults in it, CIELAB lightness kept."""
    if not faults:
        return linear
    as_values = tuple(ValueFault(f.x_mm, f.y_mm, f.radius_x_mm, f.radius_y_mm, f.amount, f.soft_mm) for f in faults)
    px_per_mm = linear.shape[1] / size.width_mm
    shift = cv2.resize(fault_map(as_values, size, px_per_mm).astype(np.float32), linear.shape[1::-1])
    return shifted(linear, shift)


def shifted(linear: Picture, by: Picture) -> Picture:
    """The picture with ``by`` ``(H, W)`` added to its T along the warm-cool axis, lightness kept."""
    from core.colorimetry import xyz_from_lab

    answer = linear.copy()
    where = by != 0
    lab = lab_map(linear[where][None])[0].astype(np.float64)
    lab[:, 1] += TO_A * by[where]
    lab[:, 2] += TO_B * by[where]
    answer[where] = rgb_from_xyz(xyz_from_lab(lab))
    return np.clip(answer, 0.002, 0.95).astype(np.float32)


def make(recipe: Recipe, faults: tuple[WarmthFault, ...], cache: Path | None = None, *, px_per_mm: float = 4.0) -> Case:
    """The case, painted and photographed now, or read from ``cache``; coarser pictures are made more quickly."""
    size = Size(*recipe.size_mm)
    stored = None
    if cache is not None and px_per_mm == PX_PER_MM:
        cache.mkdir(parents=True, exist_ok=True)
        name = hashlib.sha256(repr((MADE, recipe, faults)).encode()).hexdigest()[:16]
        stored = cache / f"warmth-{recipe.reference}-{recipe.seed}-{name}.npz"
    if stored is not None and stored.exists():
        with np.load(stored) as kept:
            return _case(recipe, faults, dict(kept), px_per_mm)
    arrays, painted = _truth(recipe, faults, px_per_mm, 1.25 * px_per_mm)
    camera = camera_of(recipe, size)
    blank = photograph_blank(painted, camera, reflectance=recipe.blank_reflectance)
    arrays["canvas"] = laid_flat(photograph(painted, camera).jpeg(), camera, size, px_per_mm)
    arrays["blank"] = laid_flat(blank.jpeg(), camera, size, px_per_mm)
    if stored is not None:
        np.savez(stored, allow_pickle=False, **arrays)
    return _case(recipe, faults, arrays, px_per_mm)


def make_square_on(recipe: Recipe, faults: tuple[WarmthFault, ...], *, px_per_mm: float = 2.0) -> Case:
    """The case as if the lens had looked squarely at exactly the canvas: quick, for what needs no optics."""
    size = Size(*recipe.size_mm)
    arrays, painted = _truth(recipe, faults, px_per_mm, px_per_mm)
    height, width = painted.linear.shape[:2]
    corners = ((0.0, 0.0), (width - 1.0, 0.0), (width - 1.0, height - 1.0), (0.0, height - 1.0))
    camera = replace(camera_of(recipe, size), corners=corners, width=width, height=height, blur_px=0.5)
    arrays["canvas"] = seen_square_on(painted.linear, painted, camera)
    primed = np.full_like(painted.linear, recipe.blank_reflectance)
    arrays["blank"] = seen_square_on(primed, painted, replace(camera, glare=()))
    return _case(recipe, faults, arrays, px_per_mm)


def _truth(
    recipe: Recipe, faults: tuple[WarmthFault, ...], px_per_mm: float, painted_px_per_mm: float
) -> tuple[dict[str, NDArray[np.generic]], Painted]:
    size = Size(*recipe.size_mm)
    encoded = references.pixels(recipe.reference, size, width=2400 if size.aspect >= 1 else 1800)
    linear = references.linear(encoded)
    drift = random_displacement(size, np.random.default_rng(recipe.seed), largest_mm=recipe.largest_mm)
    faulted = with_faults(linear, faults, size)
    painted = paint(faulted, drift, brushwork=recipe.brushwork, seed=recipe.seed, px_per_mm=painted_px_per_mm)
    shape = (round(size.width_mm * px_per_mm), round(size.height_mm * px_per_mm))
    right, meant = (
        warmth(_on_millimetres(paint(p, drift, brushwork="none", px_per_mm=2.0).meant, size)) for p in (linear, faulted)
    )
    return {
        "reference": cv2.resize(linear, shape, interpolation=cv2.INTER_AREA).astype(np.float16),
        "moved": where_painted(linear, drift, recipe, shape, px_per_mm).astype(np.float16),
        "true_warmth": warmth(_on_millimetres(painted.linear, size)),
        "true_fault": meant - right,
    }, painted


def _on_millimetres(picture: Picture, size: Size) -> Picture:
    return cv2.resize(picture, grid_mm(size, 1.0)[0].shape[::-1], interpolation=cv2.INTER_AREA)


def _case(
    recipe: Recipe, faults: tuple[WarmthFault, ...], arrays: dict[str, NDArray[np.generic]], px_per_mm: float
) -> Case:
    size = Size(*recipe.size_mm)
    flats = {k: Flat(_LINEAR[arrays[k]], px_per_mm, size) for k in ("canvas", "blank")}
    flats |= {k: Flat(arrays[k].astype(np.float32), px_per_mm, size) for k in ("reference", "moved")}
    return Case(
        recipe.reference, size, faults, flats["reference"], flats["moved"], flats["canvas"], flats["blank"],
        arrays["true_warmth"].astype(np.float32), arrays["true_fault"].astype(np.float32),
    )  # fmt: skip


def lit(case: Case, *, by_blank: bool) -> tuple[Picture, LightCorrection, NDArray[np.bool_]]:
    """The canvas with its light taken out, how that was done, and what glare withholds."""
    glare = find_glare(case.canvas, case.reference)
    light = correct_light(case.canvas, case.moved, blank=case.blank if by_blank else None, withheld=glare.withheld)
    return light.apply(case.canvas.linear), light, glare.withheld
