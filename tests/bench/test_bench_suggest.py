"""Suggested lines, centre lines and fitted curves of 12-megapixel pictures, beside scikit-image's edge detector.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail. Meant: 3 s for a 12-megapixel
photograph on two cores.
"""

import time
from typing import Any

import cv2
import numpy as np
import pytest
from skimage.feature import canny
from skimage.morphology import skeletonize

from core.drawing.centrelines import centrelines
from core.drawing.fit_curve import fit_curve, fit_curves
from core.drawing.suggest import suggest_lines
from core.photo import Photo, srgb_curve
from core.size import Size
from tests.studio import references

SIZE = Size(400, 300)
WIDTH = 4000


def _seconds(work: Any, *given: Any, **options: Any) -> float:
    """The best of three."""
    times = []
    for _ in range(3):
        begin = time.perf_counter()
        work(*given, **options)
        times.append(time.perf_counter() - begin)
    return min(times)


@pytest.mark.parametrize("name", ["chelsea", "coffee"])
def test_suggest_lines(benchmark: Any, name: str) -> None:
    encoded = references.pixels(name, SIZE, width=WIDTH)
    photo = Photo(encoded, srgb_curve())
    benchmark.pedantic(suggest_lines, (photo,), {"size": SIZE}, rounds=5, warmup_rounds=1)
    ours = benchmark.stats.stats.min
    whole = _seconds(canny, encoded.mean(axis=2) / 255, sigma=5)
    print(
        f"\n{name}, 12 MP: lines {ours:.2f} s, {ours / whole:.2f} of scikit-image's canny ({whole:.2f} s, edges alone)"
    )


def test_centrelines(benchmark: Any) -> None:
    random = np.random.default_rng(0)
    picture = np.zeros((3000, WIDTH), np.uint8)
    for _ in range(60):
        way = (random.random((30, 2)) * [400, 300]).cumsum(axis=0) + random.random(2) * [3000, 2000]
        cv2.polylines(picture, [way.astype(np.int32)], False, 1, int(random.integers(1, 14)))
    mask = picture.astype(bool)
    benchmark.pedantic(centrelines, (mask,), rounds=5, warmup_rounds=1)
    ours, other = benchmark.stats.stats.min, _seconds(skeletonize, mask)
    print(f"\n12 MP mask: centre lines {ours:.2f} s, {ours / other:.2f} of scikit-image's skeletonize ({other:.2f} s)")


@pytest.mark.parametrize(("count", "points"), [(1, 200), (1, 20_000), (1000, 200)])
def test_fit_curve(benchmark: Any, count: int, points: int) -> None:
    t = np.linspace(0, 1, points)
    random = np.random.default_rng(0)
    stroke = np.stack([200 * t, 20 * np.sin(19 * t)], axis=1) + random.uniform(-0.03, 0.03, (points, 2))
    if count == 1:
        benchmark.pedantic(fit_curve, (stroke,), rounds=10, warmup_rounds=1)
    else:
        benchmark.pedantic(fit_curves, ([stroke] * count,), rounds=3, warmup_rounds=1)
    print(f"\n{count} strokes of {points} points: {count / benchmark.stats.stats.min:.0f} fits per second")
