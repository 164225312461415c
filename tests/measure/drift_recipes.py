"""Recipes for paintings whose displacement is known: what was painted, how, and how far it strayed."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import cv2
import numpy as np
import skimage.data
from numpy.typing import NDArray
from PIL import Image

from core.demo import DEMO
from core.size import Size
from tests.studio import references
from tests.studio.displacement import Displacement, random_displacement
from tests.studio.displacement_shapes import Knots, Radial, Truth, Waves

Picture = NDArray[np.float32]
Bumps = tuple[tuple[float, float, float, float, float], ...]
OTHERS: dict[str, Callable[[], NDArray[np.uint8]]] = {
    "motorcycle": lambda: skimage.data.stereo_motorcycle()[0],
    "cameraman": lambda: np.repeat(skimage.data.camera()[..., None], 3, axis=2),
    "still life": lambda: np.asarray(Image.open(DEMO / "reference.jpg").convert("RGB")),
}
"""Photographs beside those of :mod:`tests.studio.references`, on which nothing was adjusted."""


@dataclass(frozen=True)
class Recipe:
    """All that decides a case; equal recipes give equal pictures."""

    seed: int
    reference: str = "chelsea"
    size: tuple[float, float] = (400.0, 300.0)
    largest_mm: float = 4.0
    shape: str = "bumps"
    whole: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 1.0)
    brushwork: str = "strokes"
    faults: int = 3
    light_ratio: float = 2.0
    cast: float = 0.15
    glare: int = 1
    camera: bool = False
    setting: str = "wall"


def pixels(name: str, size: Size, *, width: int) -> NDArray[np.uint8]:
    """A photograph cropped about its centre to the canvas's shape, encoded sRGB ``(H, width, 3)``."""
    if name not in OTHERS:
        return references.pixels(name, size, width=width)
    picture = OTHERS[name]()
    full_height, full_width = picture.shape[:2]
    w, h = min(full_width, int(full_height * size.aspect)), min(full_height, int(full_width / size.aspect))
    top, left = (full_height - h) // 2, (full_width - w) // 2
    cut = np.ascontiguousarray(picture[top : top + h, left : left + w])
    return np.asarray(cv2.resize(cut, (width, round(width / size.aspect)), interpolation=cv2.INTER_CUBIC))


def random_recipe(seed: int, **given: object) -> Recipe:
    rng = np.random.default_rng(1000 + seed)
    plain = Recipe(
        seed=seed,
        reference=references.NAMES[seed % 4],
        size=((400.0, 300.0), (300.0, 400.0), (360.0, 300.0))[seed // 4 % 3],
        largest_mm=float(rng.uniform(2, 6)),
        brushwork=("strokes", "texture")[seed // 2 % 2],
        whole=(0.0, 0.0, 0.0, 1.0)
        if seed % 2
        else (
            float(rng.uniform(-2.5, 2.5)),
            float(rng.uniform(-2.5, 2.5)),
            float(rng.uniform(-0.7, 0.7)),
            float(rng.uniform(0.99, 1.01)),
        ),
    )
    return replace(plain, **given)  # type: ignore[arg-type]


def displacement(recipe: Recipe) -> Truth:
    """The truth of a recipe; the whole part comes with every shape made of bumps."""
    return SHAPES[recipe.shape](recipe, np.random.default_rng(recipe.seed))


def _waves(recipe: Recipe, rng: np.random.Generator) -> Truth:
    waves = [
        (float(rng.uniform(90, 200)), recipe.largest_mm / 2, float(rng.uniform(0, 6)), float(rng.uniform(0, 3)))
        for _ in range(2)
    ]
    return Waves(Size(*recipe.size), tuple(waves))


def _radial(recipe: Recipe, rng: np.random.Generator) -> Truth:
    x, y = rng.uniform(0.35, 0.65, 2) * recipe.size
    return Radial(Size(*recipe.size), (float(x), float(y)), 0.22 * max(recipe.size), recipe.largest_mm)


def _knots(recipe: Recipe, rng: np.random.Generator) -> Truth:
    spacing = 50.0
    shape = (2, int(recipe.size[1] / spacing) + 6, int(recipe.size[0] / spacing) + 6)
    return Knots(Size(*recipe.size), np.clip(rng.normal(0, recipe.largest_mm / 2.5, shape), -8, 8), spacing)


def _bumps(recipe: Recipe, rng: np.random.Generator) -> Truth:
    return _with_whole(recipe, random_displacement(Size(*recipe.size), rng, largest_mm=recipe.largest_mm).bumps)


def _features(recipe: Recipe, rng: np.random.Generator) -> Truth:
    """Four forms of about 50 mm that sit wrong."""
    places = [rng.uniform(0.15, 0.85, 2) * recipe.size for _ in range(4)]
    return _with_whole(recipe, tuple(_bump(place, rng, recipe.largest_mm, 22.0) for place in places))


def _eyes(recipe: Recipe, rng: np.random.Generator) -> Truth:
    """Six marked points, each with about 30 mm around it, that sit wrong."""
    size = Size(*recipe.size)
    encoded = pixels(recipe.reference, size, width=2400)
    places = references.landmarks(encoded, size, count=8, margin_mm=25.0)[:6]
    bumps = (_bump(place, rng, recipe.largest_mm * rng.uniform(0.6, 1), float(rng.uniform(12, 16))) for place in places)
    return _with_whole(recipe, tuple(bumps))


def _cheeks(recipe: Recipe, rng: np.random.Generator) -> Truth:
    """Five of the flattest places that sit wrong: nobody could tell."""
    size = Size(*recipe.size)
    places = flat_places(references.linear(pixels(recipe.reference, size, width=800)), size, count=5)
    return _with_whole(recipe, tuple(_bump(place, rng, recipe.largest_mm, 10.0) for place in places))


def _none(recipe: Recipe, rng: np.random.Generator) -> Truth:
    del rng
    return Displacement(Size(*recipe.size))


SHAPES: dict[str, Callable[[Recipe, np.random.Generator], Truth]] = {
    "bumps": _bumps,
    "waves": _waves,
    "radial": _radial,
    "knots": _knots,
    "features": _features,
    "eyes": _eyes,
    "cheeks": _cheeks,
    "none": _none,
}


def _with_whole(recipe: Recipe, bumps: Bumps) -> Displacement:
    shift_x, shift_y, turn, scale = recipe.whole
    return Displacement(Size(*recipe.size), (shift_x, shift_y), turn, scale, bumps)


def _bump(
    place: NDArray[np.float64], rng: np.random.Generator, length: float, radius: float
) -> tuple[float, float, float, float, float]:
    turn = rng.uniform(0, 2 * np.pi)
    return float(place[0]), float(place[1]), float(length * np.cos(turn)), float(length * np.sin(turn)), radius


def flat_places(reference: Picture, size: Size, *, count: int, radius_mm: float = 12.0) -> NDArray[np.float64]:
    """The places ``(count, 2)`` mm with the least change of light about them, well apart."""
    px_per_mm = reference.shape[1] / size.width_mm
    grey = cv2.GaussianBlur(np.log(reference.mean(axis=2) + np.float32(0.02)), (0, 0), px_per_mm)
    change = cv2.GaussianBlur(
        cv2.Sobel(grey, cv2.CV_32F, 1, 0) ** 2 + cv2.Sobel(grey, cv2.CV_32F, 0, 1) ** 2, (0, 0), radius_mm * px_per_mm
    )
    margin = round(25 * px_per_mm)
    change[:margin], change[-margin:], change[:, :margin], change[:, -margin:] = 4 * (change.max(),)
    y, x = np.mgrid[0 : change.shape[0], 0 : change.shape[1]]
    found = []
    for _ in range(count):
        row, column = np.unravel_index(int(change.argmin()), change.shape)
        found.append(((column + 0.5) / px_per_mm, (row + 0.5) / px_per_mm))
        change[np.hypot(x - column, y - row) < 45 * px_per_mm] = change.max()
    return np.array(found)
