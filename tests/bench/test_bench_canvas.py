"""Finding the canvas in a 12-megapixel photo and laying it flat.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail. Finding stands beside
scikit-image's Canny edges and Hough lines on a picture of 1000 px (which still know nothing of a canvas), laying flat
beside scikit-image's warp to the same size.
"""

import time
from collections.abc import Callable

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from skimage.feature import canny
from skimage.transform import ProjectiveTransform, probabilistic_hough_line, warp

from core.canvas.lay_flat import lay_flat
from core.canvas.locate import locate_canvas
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, photograph, stand_before
from tests.studio.displacement import Displacement
from tests.studio.painter import paint

SIZE, PX_PER_MM = Size(400, 300), 6.0


@pytest.fixture(scope="module")
def shot() -> tuple[Photo, np.ndarray]:
    linear = references.linear(references.pixels("chelsea", SIZE, width=1600))
    painted = paint(linear, Displacement(SIZE), brushwork="texture", px_per_mm=4.0)
    corners = stand_before(np.random.default_rng(1), SIZE.aspect, fill=0.85)
    camera = Camera(corners, k1=-0.04, exposure=0.8, light_ratio=1.6, setting="room", seed=2)
    return Photo(photograph(painted, camera).pixels, srgb_curve()), np.array(corners)


def _best_s(work: Callable[[], object], rounds: int = 3) -> float:
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def _say(name: str, benchmark: BenchmarkFixture, other: str, other_s: float) -> None:
    found = benchmark.stats.stats.min
    print(f"\n{name:<34} best {found:5.2f} s, {found / other_s:5.2f} × {other} ({other_s:.2f} s)")


def test_finding_the_canvas(benchmark: BenchmarkFixture, shot: tuple[Photo, np.ndarray]) -> None:
    photo, _ = shot
    grey = photo.reduced(1000).mean(axis=2)
    hough = _best_s(lambda: probabilistic_hough_line(canny(np.sqrt(grey), 1.5), line_length=80, rng=1))
    benchmark.pedantic(lambda: locate_canvas(photo, SIZE), rounds=5, warmup_rounds=1)
    _say("canvas found in 12 MP", benchmark, "Canny and Hough", hough)


def test_reading_the_lens_from_given_corners(benchmark: BenchmarkFixture, shot: tuple[Photo, np.ndarray]) -> None:
    photo, corners = shot
    grey = photo.reduced(1000).mean(axis=2)
    hough = _best_s(lambda: probabilistic_hough_line(canny(np.sqrt(grey), 1.5), line_length=80, rng=1))
    benchmark.pedantic(lambda: locate_canvas(photo, SIZE, corners_px=corners), rounds=5, warmup_rounds=1)
    _say("lens from given corners", benchmark, "Canny and Hough", hough)


def test_laying_flat(benchmark: BenchmarkFixture, shot: tuple[Photo, np.ndarray]) -> None:
    photo, corners = shot
    across, down = round(SIZE.width_mm * PX_PER_MM), round(SIZE.height_mm * PX_PER_MM)
    flat = np.array([[0, 0], [across, 0], [across, down], [0, down]], dtype=float)
    linear = photo.linear()
    plain = _best_s(
        lambda: warp(linear, ProjectiveTransform.from_estimate(flat, corners), output_shape=(down, across)), 2
    )
    benchmark.pedantic(lambda: lay_flat(photo, corners, SIZE, k1=-0.04, px_per_mm=PX_PER_MM), rounds=5, warmup_rounds=1)
    _say("12 MP laid flat at 6 px/mm, k1", benchmark, "skimage warp, no lens", plain)
