"""Paintings whose displacement is known, under many conditions, kept on disk so that a sweep can be run again."""

import hashlib
import io
import json
import pickle
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from assets.make_demo import sittings
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat, reference_flat
from core.colorimetry import LUMINANCE, encode_srgb
from core.demo import DEMO, DEMO_SIZE
from core.drawing.svg_read import read_drawing
from core.photo import Photo, load_photo, srgb_curve
from core.size import Size
from tests.measure.drift_recipes import Recipe, displacement, pixels
from tests.studio import painter, references
from tests.studio.camera import Camera, light_on_canvas, photograph, replace_pixels, stand_before
from tests.studio.displacement_shapes import Truth
from tests.studio.painter import Painted, ValueFault, paint

Picture = NDArray[np.float32]
FLAT_PX_PER_MM = 4.0
FIRST_BRUSHES = (7.0, 4.0, 2.2)
"""Those of the demo painting's first sitting."""
EARTH = np.array([1.45, 0.93, 0.42], dtype=np.float32)


@dataclass(frozen=True)
class Case:
    """A reference, a canvas photo laid flat, and the truth about them."""

    recipe: Recipe
    reference: Flat
    canvas: Flat
    truth: Truth
    features_mm: NDArray[np.float64]
    withheld: NDArray[np.bool_] | None = None
    bare: tuple[float, float, float, float] | None = None
    """The unpainted part: left, top, right, bottom in mm."""


def make(recipe: Recipe, cache: Path) -> Case:
    """The case, painted now or read from the cache."""
    size = Size(*recipe.size)
    encoded = pixels(recipe.reference, size, width=2400)
    reference = references.linear(encoded)
    shape = (round(size.width_mm * FLAT_PX_PER_MM), round(size.height_mm * FLAT_PX_PER_MM))
    flat = Flat(cv2.resize(reference, shape, interpolation=cv2.INTER_AREA), FLAT_PX_PER_MM, size)
    truth = displacement(recipe)
    key = hashlib.sha256(pickle.dumps((2, repr(recipe)))).hexdigest()[:20]
    stored = cache / f"{recipe.reference}-{recipe.brushwork}-{key}.png"
    if not stored.exists():
        cache.mkdir(parents=True, exist_ok=True)
        codes = _photograph(_painting(reference, truth, recipe), recipe, shape)
        Image.fromarray(codes).save(stored, compress_level=1)
    codes = np.asarray(Image.open(stored).convert("RGB"))
    canvas = Flat(references.linear(codes), FLAT_PX_PER_MM, size)
    spots = glare_spots(recipe)
    return Case(
        recipe,
        flat,
        canvas,
        truth,
        references.landmarks(encoded, size),
        withheld=_withheld(spots, size) if spots else None,
        bare=bare_part(recipe),
    )


def demo_case(sitting: int) -> Case:
    """A sitting of the demo painting (1 to 3), laid flat with its true corners and lens."""
    told = json.loads((DEMO / "truth.json").read_text())["photos"][sitting - 1]
    photo = load_photo(DEMO / told["photo"])
    canvas = lay_flat(photo, told["corners_px"], DEMO_SIZE, k1=told["lens_k1"], px_per_mm=FLAT_PX_PER_MM)
    drawing = read_drawing(DEMO / "drawing.svg", DEMO_SIZE)
    return Case(
        Recipe(0, reference="still life", shape="demo"),
        reference_flat(load_photo(DEMO / "reference.jpg"), DEMO_SIZE, FLAT_PX_PER_MM)[0],
        canvas,
        sittings()[sitting - 1].displacement,
        np.array([(mark.x_mm, mark.y_mm) for mark in drawing.landmarks]),
    )


def bare_part(recipe: Recipe) -> tuple[float, float, float, float] | None:
    if recipe.brushwork != "unpainted":
        return None
    width, height = recipe.size
    return ((0, 0, width / 3, height), (width * 2 / 3, 0, width, height), (0, 0, width, height / 3))[recipe.seed % 3]


def glare_spots(recipe: Recipe) -> tuple[tuple[float, float, float], ...]:
    rng = np.random.default_rng(recipe.seed + 77)
    return tuple(
        (float(rng.uniform(0.1, 0.9) * recipe.size[0]), float(rng.uniform(0.1, 0.9) * recipe.size[1]), 8.0)
        for _ in range(recipe.glare)
    )


def _withheld(spots: tuple[tuple[float, float, float], ...], size: Size) -> NDArray[np.bool_]:
    x, y = painter.grid_mm(size, FLAT_PX_PER_MM)
    return np.logical_or.reduce([np.hypot(x - gx, y - gy) < 1.9 * radius for gx, gy, radius in spots])


def _painting(reference: Picture, truth: Truth, recipe: Recipe) -> Painted:
    rng = np.random.default_rng(recipe.seed + 5)
    faults = tuple(
        ValueFault(
            *(float(v) for v in rng.uniform(0.1, 0.9, 2) * recipe.size),
            *(float(v) for v in rng.uniform(15, 45, 2)),
            float(rng.choice([-1, 1]) * rng.uniform(0.7, 2.0)),
        )
        for _ in range(recipe.faults)
    )
    usual = recipe.brushwork if recipe.brushwork in ("none", "texture", "strokes") else "none"
    if recipe.brushwork in ("unpainted", "mono", "first"):
        usual = "strokes"
    brushes = {"brushes_mm": FIRST_BRUSHES} if recipe.brushwork == "first" else {}
    painted = paint(reference, truth, faults=faults, brushwork=usual, seed=recipe.seed, **brushes)  # type: ignore[arg-type]
    if recipe.brushwork in OTHER_BRUSHWORK:
        worked = OTHER_BRUSHWORK[recipe.brushwork](painted.linear, painted.px_per_mm, recipe)
        painted = replace(painted, linear=np.clip(worked, 0.002, 0.95).astype(np.float32))
    return painted


def _blocked_in(picture: Picture, px_per_mm: float, recipe: Recipe) -> Picture:
    """Only the two coarse layers of strokes."""
    rng = np.random.default_rng(recipe.seed + 9)
    encoded = np.sqrt(picture)
    canvas = cv2.GaussianBlur(encoded, (0, 0), 6 * px_per_mm)
    for width_mm in (6.0, 3.0):
        width = width_mm * px_per_mm
        sharp = cv2.GaussianBlur(encoded, (0, 0), 0.25 * width)
        spacing = round(0.55 * width)
        rows, cols = np.mgrid[0 : picture.shape[0] : spacing, 0 : picture.shape[1] : spacing].reshape(2, -1)
        order = rng.permutation(len(rows))
        angle = painter._stroke_direction(sharp, width)
        painter._lay(canvas, sharp, angle, (rows[order], cols[order]), width, rng)
    return _textured(canvas**2, px_per_mm, recipe, 0.02)


def _softened(picture: Picture, px_per_mm: float, recipe: Recipe) -> Picture:
    return _textured(cv2.GaussianBlur(picture, (0, 0), 2.0 * px_per_mm), px_per_mm, recipe, 0.03)


def _unpainted(picture: Picture, px_per_mm: float, recipe: Recipe) -> Picture:
    bare = bare_part(recipe)
    assert bare is not None
    left, top, right, bottom = (round(v * px_per_mm) for v in bare)
    mask = np.zeros(picture.shape[:2], np.float32)
    mask[top:bottom, left:right] = 1
    mask = cv2.GaussianBlur(mask, (0, 0), 1.0 * px_per_mm)[..., None]
    ground = np.float32([0.42, 0.33, 0.22]) * np.ones_like(picture)
    return picture * (1 - mask) + _textured(ground, px_per_mm, recipe, 0.05) * mask


def _monochrome(picture: Picture, px_per_mm: float, recipe: Recipe) -> Picture:
    del px_per_mm, recipe
    return (picture @ LUMINANCE.astype(np.float32))[..., None] * EARTH


def _oil(picture: Picture, px_per_mm: float, recipe: Recipe) -> Picture:
    """Flat-edged dabs: median and bilateral filtering of the picture, then colour noise in patches."""
    codes = np.rint(255 * np.sqrt(np.clip(picture, 0, 1))).astype(np.uint8)
    for _ in range(2):
        codes = cv2.medianBlur(codes, 2 * int(0.8 * px_per_mm) + 1)
    codes = cv2.bilateralFilter(codes, int(2 * px_per_mm), 25, 1.5 * px_per_mm)
    return _textured((codes.astype(np.float32) / 255) ** 2, px_per_mm, recipe, 0.04)


def _stylised(picture: Picture, px_per_mm: float, recipe: Recipe) -> Picture:
    codes = np.rint(255 * encode_srgb(np.clip(picture, 0, 1))).astype(np.uint8)
    half = cv2.resize(codes, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    drawn = cv2.edgePreservingFilter(half, flags=1, sigma_s=40, sigma_r=0.35)
    drawn = cv2.resize(drawn, codes.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return _textured(references.linear(drawn), px_per_mm, recipe, 0.05)


def _dabs(picture: Picture, px_per_mm: float, recipe: Recipe) -> Picture:
    """Laid in cells of one colour each (about 3 mm), as with a knife."""
    from skimage.segmentation import slic

    half = cv2.resize(np.sqrt(picture), None, fx=0.3, fy=0.3, interpolation=cv2.INTER_AREA)
    area = recipe.size[0] * recipe.size[1]
    cells = slic(half, n_segments=int(area / 9), compactness=3, start_label=0, channel_axis=2)
    rng = np.random.default_rng(recipe.seed + 3)
    count = np.bincount(cells.ravel())
    colour = np.stack([np.bincount(cells.ravel(), half[..., k].ravel()) / np.maximum(count, 1) for k in range(3)], 1)
    colour = colour * (1 + rng.normal(0, 0.03, (len(colour), 1)))
    laid = cv2.resize(colour[cells].astype(np.float32), picture.shape[1::-1], interpolation=cv2.INTER_LINEAR)
    return _textured(laid**2, px_per_mm, recipe, 0.02)


def _textured(picture: Picture, px_per_mm: float, recipe: Recipe, strength: float) -> Picture:
    rng = np.random.default_rng(recipe.seed + 11)
    return picture * painter.texture(picture.shape[:2], px_per_mm, rng, strength=strength)


OTHER_BRUSHWORK: dict[str, Callable[[Picture, float, Recipe], Picture]] = {
    "blocked": _blocked_in,
    "soft": _softened,
    "unpainted": _unpainted,
    "mono": _monochrome,
    "oil": _oil,
    "stylised": _stylised,
    "dabs": _dabs,
}


def _photograph(painted: Painted, recipe: Recipe, shape: tuple[int, int]) -> NDArray[np.uint8]:
    rng = np.random.default_rng(recipe.seed + 21)
    cast = 1 + rng.uniform(-recipe.cast, recipe.cast, 3)
    camera = Camera(
        stand_before(rng, painted.size.aspect) if recipe.camera else ((0, 0),) * 4,
        k1=-0.04 if recipe.camera else 0.0,
        exposure=0.85,
        white_balance=(float(cast[0]), 1.0, float(cast[2])),
        light_ratio=recipe.light_ratio,
        light_from_deg=float(rng.uniform(0, 360)),
        vignetting=0.15 if recipe.camera else 0.0,
        glare=glare_spots(recipe),
        setting=recipe.setting,
        seed=recipe.seed,
    )
    return laid_flat(painted, camera) if recipe.camera else _in_place(painted, camera, shape)


def _in_place(painted: Painted, camera: Camera, shape: tuple[int, int]) -> NDArray[np.uint8]:
    """The photograph as if the lens had looked squarely at exactly the canvas."""
    face = cv2.resize(painted.linear, shape, interpolation=cv2.INTER_AREA)
    width, height = shape
    corners = ((0.0, 0.0), (width - 1.0, 0.0), (width - 1.0, height - 1.0), (0.0, height - 1.0))
    at = replace(camera, corners=corners, width=width, height=height)
    x, y = painter.grid_mm(painted.size, FLAT_PX_PER_MM)
    light = face * light_on_canvas(painted, at, x, y)[..., None]
    for gx, gy, radius in camera.glare:
        spot = 1.6 * np.exp(-((((x - gx) ** 2 + (y - gy) ** 2) / (2 * radius**2)) ** 2))
        light = light + spot[..., None].astype(np.float32)
    return replace_pixels(light, at, np.random.default_rng(camera.seed)).pixels


def laid_flat(painted: Painted, camera: Camera) -> NDArray[np.uint8]:
    """Photograph it, take the JPEG, and lay it flat with the true corners and lens."""
    shot = photograph(painted, camera)
    codes = np.asarray(Image.open(io.BytesIO(shot.jpeg())).convert("RGB"))
    photo = Photo(codes, srgb_curve())
    flat = lay_flat(photo, camera.corners, painted.size, k1=camera.k1, px_per_mm=FLAT_PX_PER_MM)
    return np.rint(255 * encode_srgb(np.clip(flat.linear, 0, 1))).astype(np.uint8)
