"""What is found to have changed between two photos of a painting: the figures of core.two_photos.

    python -m tests.measure.two_photos [SEEDS [FIRST]]

Paintings of known truth photographed twice by hand, at 3 megapixels as JPEGs, each time from another place in another
light, the corners a pixel out, one spot of glare; in between up to five passages are repainted 0.8 to 2 steps darker
or lighter, or nothing is, or one passage of two fifths of the canvas.
"""

import sys
from dataclasses import dataclass, replace
from time import process_time
from unittest.mock import patch

import cv2
import numpy as np

from core import two_photos
from core.canvas.flat import Flat
from core.photo import Photo, load_photo_bytes, srgb_curve
from core.size import Size
from core.two_photos import CanvasShot, Changed, what_changed
from core.value.light import LightCorrection, correct_light
from core.value.light_between import light_between
from core.value.light_grid import Mask
from tests.studio import references
from tests.studio.camera import Camera, stand_before
from tests.studio.displacement import Displacement
from tests.studio.lamps import KINDS, photograph_lit
from tests.studio.painter import Painted, ValueFault, fault_map, paint

SIZE = Size(400, 300)


def shot(painted: Painted, seed: int, kind: str, *, width: int = 2000) -> CanvasShot:
    rng = np.random.default_rng(seed)
    height = width * 3 // 4
    corners = stand_before(rng, SIZE.aspect, width=width, height=height)
    glare = tuple((float(x), float(y), 6.0) for x, y in rng.uniform(0.1, 0.9, (1, 2)) * (400, 300))
    camera = Camera(
        corners, width=width, height=height, exposure=float(rng.uniform(0.55, 0.8)), glare=glare, seed=seed,
        white_balance=tuple(rng.uniform(0.93, 1.0, 3)), vignetting=0.15,
    )  # fmt: skip
    taken = photograph_lit(painted, camera, kind, seed)
    out = np.asarray(corners) + rng.normal(0, 1.0, (4, 2))
    return CanvasShot(load_photo_bytes(taken.jpeg(), "photo.jpg"), tuple(map(tuple, out.tolist())))


def passages(rng: np.random.Generator) -> tuple[ValueFault, ...]:
    """One to four that do not overlap, 8 to 70 cm2 each."""
    made: list[ValueFault] = []
    for _ in range(40):
        radius = rng.uniform(16, 48, 2)
        at = rng.uniform(radius + 8, np.array([400, 300]) - radius - 8)
        clear = all(
            np.hypot(at[0] - f.x_mm, at[1] - f.y_mm) > max(radius) + max(f.radius_x_mm, f.radius_y_mm) + 12
            for f in made
        )
        if clear and len(made) < 1 + rng.integers(4):
            steps = float(rng.choice([-1, 1]) * rng.uniform(0.8, 2.0))
            made.append(ValueFault(*at, *radius, steps))
    return tuple(made)


def repainted(rng: np.random.Generator, case: str) -> tuple[ValueFault, ...]:
    if case == "nothing":
        return ()
    if case == "large":
        return (ValueFault(*rng.uniform((150, 120), (250, 180)), 150, 105, float(rng.choice([-1, 1]) * 1.2)),)
    return passages(rng)


def pair(
    seed: int, case: str = "passages", *, width: int = 2000
) -> tuple[CanvasShot, CanvasShot, Photo, tuple[ValueFault, ...]]:
    rng = np.random.default_rng(seed)
    name = references.NAMES[seed % 4]
    pixels = references.pixels(name, SIZE, width=1600)
    drift = Displacement(SIZE, shift_mm=(1.2, -0.8))
    before = (ValueFault(120, 90, 50, 40, -1.0),)
    changes = repainted(rng, case)
    px = width / 500
    first = paint(references.linear(pixels), drift, faults=before, brushwork="texture", px_per_mm=px, seed=seed)
    second = paint(
        references.linear(pixels), drift, faults=before + changes, brushwork="texture", px_per_mm=px, seed=seed
    )
    kinds = rng.permutation(KINDS)
    return (
        shot(first, 2 * seed, str(kinds[0]), width=width), shot(second, 2 * seed + 1, str(kinds[1]), width=width),
        Photo(pixels, srgb_curve()),
        tuple(changes),
    )  # fmt: skip


def by_gain(earlier: Flat, later: Flat, *, withheld: Mask) -> LightCorrection:
    """One gain for the whole of each channel: the median ratio."""
    found = correct_light(later, earlier, withheld=withheld)
    ratio = np.log(np.maximum(earlier.linear, 1e-4)) - np.log(np.maximum(later.linear, 1e-4))
    gain = np.exp(np.median(ratio[~withheld], axis=0)).astype(np.float32)
    return replace(found, gain=np.broadcast_to(gain, found.gain.shape).copy())


def once(earlier: Flat, later: Flat, *, withheld: Mask) -> LightCorrection:
    """A smooth field over all, as against the reference."""
    return correct_light(later, earlier, withheld=withheld)


@dataclass(frozen=True)
class Judged:
    """Mean error and what nine places in ten lie within where nothing changed, steps; passages found, of so many, and
    false ones; how far the steps of those found are off."""

    mean: float
    ninth: float
    found: int
    of: int
    false: int
    errors: tuple[float, ...]


def judged(changed: Changed, changes: tuple[ValueFault, ...]) -> Judged:
    truth = cv2.resize(fault_map(changes, SIZE, 2.0).astype(np.float32), changed.difference.shape[::-1])
    touched = cv2.dilate((np.abs(truth) > 0.02).astype(np.uint8), np.ones((25, 25)))
    off = np.abs(changed.difference[(touched == 0) & np.isfinite(changed.difference)])
    errors = []
    for change in changes:
        steps = [a.steps for a in changed.areas if _within(a.x_mm, a.y_mm, change) and a.steps * change.steps > 0]
        errors += [abs(steps[0] - change.steps)] if steps else []
    false = sum(not touched[int(a.y_mm * changed.px_per_mm), int(a.x_mm * changed.px_per_mm)] for a in changed.areas)
    return Judged(float(off.mean()), float(np.quantile(off, 0.9)), len(errors), len(changes), int(false), tuple(errors))


def _within(x_mm: float, y_mm: float, change: ValueFault) -> bool:
    return bool(np.hypot((x_mm - change.x_mm) / change.radius_x_mm, (y_mm - change.y_mm) / change.radius_y_mm) < 1)


def told(way: str, rows: list[tuple[Judged, float]], seconds: list[float]) -> None:
    means, ninths = [r.mean for r, _ in rows], [r.ninth for r, _ in rows]
    errors = np.array([e for r, _ in rows for e in r.errors] or [np.nan])
    print(
        f"{way}: error where nothing changed {np.mean(means):.3f}, at worst {np.max(means):.3f}; nine in ten within "
        f"{np.mean(ninths):.3f}, stated {np.mean([s for _, s in rows]):.2f}, held by "
        f"{np.mean([r.ninth <= s for r, s in rows]):.0%} of pairs; found {sum(r.found for r, _ in rows)} of "
        f"{sum(r.of for r, _ in rows)}, false {sum(r.false for r, _ in rows)}; steps off by {np.mean(errors):.3f}, "
        f"within 0.15 {np.mean(errors < 0.15):.0%}, within 0.3 {np.mean(errors < 0.3):.0%}; "
        f"{np.median(seconds):.2f} s of processor time",
        flush=True,
    )


WAYS = {"one gain": by_gain, "a field": once, "fields, the painted left out": light_between}


def main(seeds: range) -> None:
    for case in ("passages", "nothing", "large"):
        rows: dict[str, list[tuple[Judged, float]]] = {way: [] for way in (*WAYS, "no reference")}
        seconds: list[float] = []
        for seed in seeds:
            earlier, later, reference, changes = pair(seed, case)
            for way, light in WAYS.items():
                begun = process_time()
                with patch.object(two_photos, "light_between", light):
                    changed = what_changed(earlier, later, SIZE, reference=reference)
                seconds.append(process_time() - begun)
                rows[way].append((judged(changed, changes), changed.uncertainty_steps))
            bare = what_changed(earlier, later, SIZE)
            rows["no reference"].append((judged(bare, changes), bare.uncertainty_steps))
        for way, found in rows.items():
            told(f"{case}, {way}", found, seconds)


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:3]]
    count, begin = (*given, *(6, 0)[len(given) :])
    main(range(begin, begin + count))
