"""A drawing read from a 12-megapixel photo, and its thinning beside scikit-image's.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail. Meant: 3 s on two cores.
"""

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from skimage.morphology import skeletonize

from core.drawing.centrelines import centrelines
from core.drawing.scan import Scan, scan_drawing
from core.drawing.thinning import thinned
from core.photo import Photo
from tests.core.drawing.drawn_sheets import A4, as_photo, drawn, paper, random_strokes, recovery

Array = NDArray[np.float64]


@pytest.fixture(scope="module")
def photographed() -> tuple[Photo, Array]:
    rng = np.random.default_rng(0)
    painted = drawn(random_strokes(rng, count=40), paper(A4, rng), A4, rng)
    return as_photo(painted, 0, width=4000, height=3000)


@pytest.fixture(scope="module")
def scanned(photographed: tuple[Photo, Array]) -> Scan:
    photo, corners = photographed
    return scan_drawing(photo, A4, corners_px=corners)


def test_scan_drawing(benchmark: Any, photographed: tuple[Photo, Array]) -> None:
    photo, corners = photographed
    scan = benchmark.pedantic(scan_drawing, (photo, A4), {"corners_px": corners}, rounds=5, warmup_rounds=1)
    got = recovery(scan.drawing, random_strokes(np.random.default_rng(0), count=40))
    print(
        f"\n12 MP, {scan.drawing.length_mm / 1000:.1f} m of line: {benchmark.stats.stats.min:.2f} s; "
        f"found {got.found:.1%}, false {got.false:.1%}"
    )


def test_centre_lines(benchmark: Any, scanned: Scan) -> None:
    benchmark.pedantic(centrelines, (scanned.ink,), rounds=5, warmup_rounds=1)
    print(f"\nthinned and followed: {benchmark.stats.stats.min:.2f} s")


def test_thinning(benchmark: Any, scanned: Scan) -> None:
    benchmark.pedantic(thinned, (scanned.ink,), rounds=5, warmup_rounds=1)
    print(f"\nthinned: {benchmark.stats.stats.min:.3f} s")


def test_thinning_by_scikit_image(benchmark: Any, scanned: Scan) -> None:
    benchmark.pedantic(skeletonize, (scanned.ink,), rounds=5, warmup_rounds=1)
    print(f"\nscikit-image's skeletonize: {benchmark.stats.stats.min:.3f} s")
