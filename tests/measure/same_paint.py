"""Whether two photos with the lamp moved are told from photos of other paint: the figures of core.value.same_paint.

    python -m tests.measure.same_paint

Four paintings photographed by hand at 3 megapixels as JPEGs, each photo with three spots and a wide sheen, smooth or
broken up by relief; the same with a very wide sheen; each against every other painting and its empty canvas; and the
sittings and the blank of the demo painting against one another. Then, for sheens that grow, how wrong the merged values
are where the first photo had glare.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

import cv2
import numpy as np

from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat
from core.canvas.locate import locate_canvas
from core.colorimetry import encode_srgb
from core.demo import DEMO, DEMO_SIZE, SITTINGS
from core.photo import load_photo, load_photo_bytes
from core.tone import value_of_linear
from core.value.glare_photos import without_glare
from core.value.same_paint import alike, sameness
from tests.studio import references
from tests.studio.camera import Camera, Shot, canvas_coordinates, photograph_blank, stand_before
from tests.studio.displacement import Displacement
from tests.studio.lamps import photograph_lit
from tests.studio.painter import Painted, paint

NAMES = ("chelsea", "astronaut", "coffee", "rocket")
PX_PER_MM = 3.0
SHEEN, WIDE = 30.0, 60.0
GROWING = (30.0, 42.0, 50.0, 60.0)


def paintings() -> dict[str, Painted]:
    drift = Displacement(DEMO_SIZE, shift_mm=(1.2, -0.8))
    made = {}
    for name in NAMES:
        pixels = references.pixels(name, DEMO_SIZE, width=1600)
        made[name] = paint(references.linear(pixels), drift, brushwork="texture", px_per_mm=4.0)
    return made


def camera_of(seed: int, sheen_mm: float) -> Camera:
    rng = np.random.default_rng(seed)
    size = (DEMO_SIZE.width_mm, DEMO_SIZE.height_mm)
    spots = [(*(rng.uniform(0.08, 0.92, 2) * size), rng.uniform(5, 12)) for _ in range(3)]
    spots.append((*(rng.uniform(0.2, 0.8, 2) * size), sheen_mm))
    corners = stand_before(rng, DEMO_SIZE.aspect, width=2000, height=1500, fill=0.75)
    return Camera(
        corners,
        width=2000,
        height=1500,
        exposure=float(rng.uniform(0.55, 0.75)),
        vignetting=0.15,
        glare=tuple((float(x), float(y), float(r)) for x, y, r in spots),
        seed=seed,
    )


def flat(shot: Shot) -> Flat:
    photo = load_photo_bytes(shot.jpeg(), "photo.jpg")
    return lay_flat(photo, np.asarray(shot.camera.corners), DEMO_SIZE, px_per_mm=PX_PER_MM)


def photo(painted: Painted, seed: int, *, sheen_mm: float = SHEEN, kind: str = "window") -> Flat:
    return flat(photograph_lit(painted, camera_of(seed, sheen_mm), kind, seed))


def sparkling(painted: Painted, seed: int, strength: float) -> Flat:
    """The glare broken up by relief, in grains of about a millimetre and a half."""
    camera = camera_of(seed, SHEEN)
    x_mm, y_mm = canvas_coordinates(painted, camera)
    clean = photograph_lit(painted, replace(camera, glare=()), "window", seed)
    grain = cv2.GaussianBlur(np.random.default_rng(seed).normal(size=x_mm.shape).astype(np.float32), (0, 0), 1.2)
    lamp = sum(np.exp(-((((x_mm - x) ** 2 + (y_mm - y) ** 2) / (2 * r * r)) ** 2)) for x, y, r in camera.glare)
    added = 1.6 * strength * camera.exposure * lamp * np.clip(1 + 0.6 * grain / grain.std(), 0, None)
    linear = load_photo_bytes(clean.jpeg(98), "clean.jpg").linear() + added[..., None]
    return flat(Shot(np.rint(255 * encode_srgb(np.clip(linear, 0, 1))).astype(np.uint8), camera))


def cases() -> Iterator[tuple[str, str, Flat, Flat]]:
    """What the two photos are to one another, a name, and the two."""
    made = paintings()
    for name, painted in made.items():
        first = photo(painted, 1)
        yield "same", f"{name}", first, photo(painted, 2)
        yield "same", f"{name}, mixed light", first, photo(painted, 5, kind="mixed")
        for strength in (1.0, 0.2):
            yield (
                "same",
                f"{name}, sparkle {strength}",
                sparkling(painted, 1, strength),
                sparkling(painted, 2, strength),
            )
        yield "same, wide sheen", name, photo(painted, 3, sheen_mm=WIDE), photo(painted, 4, sheen_mm=WIDE)
        yield "other", f"{name}, empty canvas", first, flat(photograph_blank(painted, camera_of(6, SHEEN)))
        for other in NAMES:
            if other != name:
                yield "other", f"{name}, {other}", first, photo(made[other], 7)
    sittings = {}
    for file in (*SITTINGS, "blank.jpg"):
        read = load_photo(DEMO / file)
        fix = locate_canvas(read, DEMO_SIZE)
        sittings[file] = lay_flat(read, fix.corners_px, DEMO_SIZE, k1=fix.k1, px_per_mm=PX_PER_MM)
    for one, two in permutations(sittings, 2):
        what = "other" if "blank.jpg" in (one, two) else "another sitting"
        yield what, f"{one}, {two}", sittings[one], sittings[two]


def merged_error(painted: Painted, sheen_mm: float) -> tuple[float, float]:
    """Share of the canvas that differs in one photo or the other, and mean error of the merged values under the first's
    glare, against the same photo without any; steps."""
    camera = camera_of(3, sheen_mm)
    first, clean = (flat(photograph_lit(painted, each, "window", 3)) for each in (camera, replace(camera, glare=())))
    merged = without_glare((first, photo(painted, 4, sheen_mm=sheen_mm)))
    error = np.abs(value_of_linear(merged.flat.linear) - value_of_linear(clean.linear))
    return max(merged.shares), float(error[merged.glare[0] & ~merged.left].mean())


def main() -> None:
    rows: dict[str, list[tuple[float, float, bool]]] = {}
    for what, name, one, two in cases():
        pair = without_glare((one, two))
        found, told = alike(pair), sameness(pair)
        slope = min((slope for slope, doubt in found.under if np.isfinite(doubt)), default=float("nan"))
        shares = " ".join(f"{share:6.1%}" for share in pair.shares)
        print(f"{what:17s} {name:26s} {shares}  likeness {found.likeness:5.2f}  slope {slope:5.2f}  {told}", flush=True)
        rows.setdefault(what, []).append((found.likeness, slope, told == "same"))
    for what, found_of in rows.items():
        likeness, slope, same = np.array(found_of).T
        print(
            f"{what}: likeness {likeness.min():.2f} to {likeness.max():.2f}, slope {np.nanmin(slope):.2f} to "
            f"{np.nanmax(slope):.2f}, told for the same {int(same.sum())} of {len(same)}"
        )
    for name, painted in paintings().items():
        errors = (merged_error(painted, sheen_mm) for sheen_mm in GROWING)
        print(
            f"{name:9s} " + "".join(f"  {share:6.1%} differs: error {error:5.3f}" for share, error in errors),
            flush=True,
        )


if __name__ == "__main__":
    main()
