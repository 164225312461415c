"""Glare taken out by two or three photos of one painting with the lamp moved: the ways to merge them, on known truth.

    python -m tests.measure.glare_photos [cases]

Photographed by hand at 12 megapixels as JPEGs, each from another place, in another window's light and with other
glare: three spots and one wide sheen; laid flat by corners up to 1 px wrong.
"""

import sys
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.photo import load_photo_bytes
from core.size import Size
from core.tone import value_of_linear
from core.value.glare_photos import GlareFree, in_light_of, without_glare
from core.value.light import correct_light
from core.value.photo_shift import shifted_onto
from tests.core.value.cases import Recipe, painting, random_faults, truth
from tests.studio.camera import Camera, stand_before
from tests.studio.lamps import photograph_lit

Map = NDArray[np.floating]
PX_PER_MM = 3.0


@dataclass(frozen=True)
class Shots:
    """Photos laid flat; the reference where the forms are; the true values, and the light that glare adds to each."""

    flats: tuple[Flat, ...]
    moved: Flat
    true_value: Map
    glare_light: Map


def shots(seed: int, count: int, *, width: int = 4000, brushwork: str = "texture") -> Shots:
    names = ("chelsea", "astronaut", "coffee", "rocket")
    recipe = Recipe(7000 + seed, reference=names[seed % 4], brushwork=brushwork, glare=0, width=width)
    size = Size(*recipe.size_mm)
    linear, drift, painted = painting(recipe, size, random_faults(recipe), px_per_mm=4.0)
    flats, glares, arrays = [], [], {}
    for number in range(count):
        rng = np.random.default_rng(100 * seed + number)
        spots = [(*(rng.uniform(0.08, 0.92, 2) * recipe.size_mm), rng.uniform(5, 12)) for _ in range(3)]
        spots.append((*(rng.uniform(0.2, 0.8, 2) * recipe.size_mm), 30.0))
        glare = tuple((float(x), float(y), float(r)) for x, y, r in spots)
        cast = 1 + rng.uniform(-0.08, 0.08, 3)
        camera = Camera(
            stand_before(rng, size.aspect, width=width, height=round(0.75 * width), fill=0.75),
            width=width,
            height=round(0.75 * width),
            exposure=float(rng.uniform(0.55, 0.75)),
            white_balance=(float(cast[0]), float(cast[1]), float(cast[2])),
            vignetting=0.15,
            blur_px=float(rng.uniform(0.7, 1.1)) * width / 4000,
            glare=glare,
            seed=int(rng.integers(1 << 30)),
        )
        shot = photograph_lit(painted, camera, "window", 100 * seed + number)
        wrong = np.asarray(camera.corners) + rng.uniform(-1, 1, (4, 2)) * width / 4000
        photo = load_photo_bytes(shot.jpeg(), "photo.jpg")
        flats.append(lay_flat(photo, wrong, size, px_per_mm=PX_PER_MM))
        arrays = truth(recipe, linear, drift, painted, replace(camera, glare=glare), PX_PER_MM)
        glares.append(arrays["glare_light"])
    moved = Flat(arrays["moved"].astype(np.float32), PX_PER_MM, size)
    return Shots(tuple(flats), moved, arrays["true_value"], np.stack(glares))


def ways(case: Shots, merged: GlareFree) -> dict[str, Map]:
    """The first photo alone and every way of merging, ``(H, W, 3)``."""
    first = case.flats[0]
    lit = [first.linear] + [in_light_of(first, shifted_onto(first, p)[0]) for p in case.flats[1:]]
    stack = np.stack(lit)
    ordered = np.sort(stack, axis=0)
    answers = {
        "first photo alone": first.linear,
        "mean": stack.mean(axis=0),
        "plain minimum": ordered[0],
        "unaligned, plain minimum": np.stack([first.linear] + [in_light_of(first, p) for p in case.flats[1:]]).min(
            axis=0
        ),
        "weighted by excess": merged.flat.linear,
    }
    if len(lit) > 2:
        answers["second smallest"] = ordered[1]
    return answers


def errors(case: Shots, linear: Map, light_from: Flat) -> tuple[Map, Map]:
    """Value error on the 1 mm grid, the level (where no photo has glare) taken out, and where the first has glare."""
    light = correct_light(light_from, case.moved)
    shape = case.true_value.shape[::-1]
    value = value_of_linear(light.apply(cv2.resize(linear.astype(np.float32), shape, interpolation=cv2.INTER_AREA)))
    error = value - case.true_value
    clean = case.glare_light.max(axis=0) < 1e-3
    glared = (case.glare_light[0] > 0.02) & (case.glare_light[1:].min(axis=0) < 0.002)
    return error - np.median(error[clean]), glared


def score(case: Shots) -> tuple[dict[str, tuple[float, ...]], tuple[float, ...]]:
    """For every way: error and bias under the first photo's glare, scatter where no photo has any; and how much of the
    first's glare was told, how much of what was told is glare, and how far the second was moved, mm."""
    merged = without_glare(case.flats)
    clean = case.glare_light.max(axis=0) < 1e-3
    rows = {}
    for name, linear in ways(case, merged).items():
        error, glared = errors(case, linear, merged.flat)
        rows[name] = (np.abs(error[glared]).mean(), np.median(error[glared]), error[clean].std())
    strong, weak = case.glare_light[0] > 0.1, case.glare_light[0] > 0.003
    hidden = cv2.resize(merged.glare[0].astype(np.uint8), weak.shape[::-1], interpolation=cv2.INTER_AREA) > 0
    return rows, (float(hidden[strong].mean()), float(weak[hidden].mean()), merged.moved_mm[1])


def main(count: int) -> None:
    scores: dict[int, list[tuple[dict[str, tuple[float, ...]], tuple[float, ...]]]] = {2: [], 3: []}
    for seed in range(count):
        case = shots(seed, 3)
        for photos, found in scores.items():
            part = replace(case, flats=case.flats[:photos], glare_light=case.glare_light[:photos])
            found.append(score(part))
    for photos, found in scores.items():
        print(f"{photos} photos: error under the first's glare, bias there, scatter elsewhere (steps)")
        for name in found[0][0]:
            print(f"  {name:26s}" + "".join(f"{v:8.3f}" for v in np.mean([rows[name] for rows, _ in found], axis=0)))
        recall, precision, moved = np.mean([told for _, told in found], axis=0)
        print(
            f"  glare in the first: {recall:.0%} of it told, {precision:.0%} of what is told is; moved {moved:.2f} mm"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 4)
