"""How well corners are foretold from the photo before: ``python -m tests.measure.foretold [pairs] [--shift mm]``.

Pairs of simulated photos of one painting of scikit-image's photographs in two states (an underpainting, a thin
beginning, or faults mended in between), taken by hand from two places in other light, before walls, frames and easels.
Prints for each pair how far off the corners are, mm, by each way; then the whole.
"""

import argparse
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.edge_picture import edge_picture
from core.canvas.foretold import SURE, LastSeen, foretell, guessed_corners, locate_again
from core.canvas.given import trace_given
from core.canvas.locate import CanvasFix, locate_canvas, locate_near
from core.errors import CanvasError
from core.photo import Photo, load_photo_bytes
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph
from tests.studio.displacement import Displacement
from tests.studio.painter import Painted, ValueFault, paint
from tests.studio.stand import stand_at

SIZES = (Size(400, 300), Size(300, 400), Size(350, 350))
SETTINGS = ("light", "frames", "room", "easel", "wall")
WIDTH, HEIGHT = 2000, 1500


def states(number: int, rng: np.random.Generator, shift_mm: float) -> tuple[Painted, Painted]:
    """The same painting before and after a sitting, in which it was moved on its canvas."""
    size = SIZES[number % 3]
    linear = references.linear(references.pixels(references.NAMES[number % 4], size, width=1500))
    brushwork = ("strokes", "texture")[number % 2]
    before, after = (
        paint(
            linear,
            Displacement(size, shift_mm=(turn * shift_mm, 0.6 * turn * shift_mm)),
            faults=_faults(size, rng),
            brushwork=brushwork,
            px_per_mm=4.0,
            seed=number + turn,
        )
        for turn in range(2)
    )
    light = before.linear
    if number % 3 == 1:
        grey = 0.8 * light.mean(axis=2, keepdims=True) ** 0.8 + 0.03
        before = replace(before, linear=np.asarray(grey * np.array([1.05, 1.0, 0.9]), dtype=np.float32))
    elif number % 3 == 2:
        done = np.clip(np.linspace(-1, 2, len(light)), 0, 1).astype(np.float32)[:, None, None]
        before = replace(before, linear=light * done + (1 - done) * (0.5 * light + np.float32(0.35)))
    return before, after


def cameras(number: int, rng: np.random.Generator) -> tuple[Camera, Camera]:
    size, k1 = SIZES[number % 3], float(rng.uniform(-0.06, 0.03))
    return tuple(
        Camera(
            stand_at(
                rng, size, width=WIDTH, height=HEIGHT, fill=float(rng.uniform(0.45, 0.95)), most_tilt_deg=20.0, k1=k1
            ),
            width=WIDTH, height=HEIGHT, k1=k1, exposure=float(rng.uniform(0.6, 1.0)),
            white_balance=tuple(1 + rng.uniform(-0.15, 0.15, 3)), light_ratio=float(rng.uniform(1.2, 2.0)),
            light_from_deg=float(rng.uniform(0, 360)), setting=SETTINGS[number % 5], clamp=number % 5 == 3,
            stretcher=(float(rng.uniform(-0.02, 0.02)), 0.01) if number % 2 else (0.0, 0.0),
            seed=number + turn * (number % 2),
        )
        for turn in range(2)
    )  # type: ignore[return-value]  # fmt: skip


def _faults(size: Size, rng: np.random.Generator) -> tuple[ValueFault, ...]:
    return tuple(
        ValueFault(
            float(rng.uniform(0.15, 0.85) * size.width_mm), float(rng.uniform(0.15, 0.85) * size.height_mm),
            float(rng.uniform(17, 60)), float(rng.uniform(17, 60)),
            float(rng.choice([-1, 1]) * rng.uniform(0.8, 1.8)), 5.0,
        )
        for _ in range(4)
    )  # fmt: skip


def _off_mm(fix: CanvasFix, camera: Camera, size: Size) -> float:
    true = np.array(camera.corners)
    scale = CanvasMap(true, size, camera.width, camera.height, camera.k1).scales(grid_mm(size)).min()
    return float(np.linalg.norm(fix.corners_px - true, axis=1).max() / scale)


def _told(off: list[float | None]) -> str:
    found = np.array([each for each in off if each is not None])
    if not len(found):
        return "none"
    return f"{len(found)} of {len(off)}: median {np.median(found):.2f} mm, worst {found.max():.2f}"


def measured(number: int, stranger: Photo | None, shift_mm: float) -> tuple[dict[str, float | None], Photo, float]:
    """Corners off in mm by each way, None where it gave none; the later photo; and the seconds that foretelling took.

    ``stranger``: a photo of another painting, in which nothing is to be foretold.
    """
    rng = np.random.default_rng(7000 + number)
    (before, after), (one, two) = states(number, rng, shift_mm), cameras(number, rng)
    first, second = (
        load_photo_bytes(photograph(painted, camera).jpeg(), "photo.jpg")
        for painted, camera in ((before, one), (after, two))
    )
    size = SIZES[number % 3]
    last = LastSeen.of(first, np.array(one.corners), size, one.k1)

    def tried(find: Callable[[Photo], CanvasFix], photo: Photo = second, least: float = 0.0) -> float | None:
        try:
            fix = find(photo)
        except CanvasError:
            return None
        return _off_mm(fix, two, size) if fix.confidence >= least else None

    def traced(photo: Photo) -> CanvasFix:
        sides = trace_given(photo, guessed_corners(photo, last))
        if sides is None:
            raise CanvasError("No edges near the guess.")
        return locate_canvas(photo, size, corners_px=sides.corners_px)

    def near(photo: Photo) -> CanvasFix:
        guess = guessed_corners(photo, last)
        return locate_near(photo, edge_picture(photo), size, guess, last.canvas.k1, reference=last.likeness)

    def outline(photo: Photo) -> CanvasFix:
        return locate_canvas(photo, size, reference=last.likeness)

    began = time.perf_counter()
    off = {"foretold": tried(lambda photo: foretell(photo, last))}
    taken = time.perf_counter() - began
    off |= {"traced": tried(traced), "sure near": tried(near, least=SURE)}
    off |= {"outline": tried(outline), "sure outline": tried(outline, least=SURE)}
    off["both"] = tried(lambda photo: locate_again(photo, last))
    if stranger is not None:
        off["in another"] = tried(lambda photo: foretell(photo, last), photo=stranger)
    return off, second, taken


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("pairs", nargs="?", type=int, default=40)
    parser.add_argument("--shift", type=float, default=0.0, help="mm that the painting moved right, and 0.6 of it down")
    asked = parser.parse_args()
    rows: dict[str, list[float | None]] = {}
    seconds: list[float] = []
    stranger: Photo | None = None
    for number in range(asked.pairs):
        off, stranger, taken = measured(number, stranger, asked.shift)
        seconds.append(taken)
        for name, each in off.items():
            rows.setdefault(name, []).append(each)
        shown = ", ".join(f"{name} {'-' if each is None else f'{each:.2f}'}" for name, each in off.items())
        print(f"{number:3d} {SETTINGS[number % 5]:6s} {shown}", flush=True)
    for name, column in rows.items():
        print(f"{name:13s} {_told(column)}")
    print(f"seconds a photo, foretold: median {np.median(seconds):.2f}")


if __name__ == "__main__":
    main()
