"""Drift of a 400 × 300 mm canvas from a 12-megapixel photo, beside the dense flow it was measured against.

Run with ``pytest tests/bench --benchmark-only -s``. Timings are printed and never fail. Meant: 1.5 s on two cores, and
no more than 400 MB beside the pictures themselves.
"""

import tracemalloc
from typing import Any

import numpy as np
import pytest

from core.canvas.flat import Flat
from core.drawing.drawing import Landmark
from core.drawing.drift import measure_drift, warp_reference
from core.size import Size
from tests.measure.drift_flow import flow_drift
from tests.studio import references
from tests.studio.displacement import random_displacement
from tests.studio.painter import paint

SIZES = {"400 × 300 mm": (Size(400, 300), 4.0), "1000 × 700 mm": (Size(1000, 700), 3.0)}


@pytest.fixture(scope="module", params=list(SIZES))
def pair(request: pytest.FixtureRequest) -> tuple[str, Flat, Flat, list[Landmark]]:
    size, px_per_mm = SIZES[request.param]
    encoded = references.pixels("chelsea", size, width=round(size.width_mm * px_per_mm))
    linear = references.linear(encoded)
    moved = random_displacement(size, np.random.default_rng(1), largest_mm=4.0)
    painted = paint(linear, moved, brushwork="texture", px_per_mm=px_per_mm).linear
    marks = [Landmark(str(i), float(x), float(y)) for i, (x, y) in enumerate(references.landmarks(encoded, size))]
    return request.param, Flat(linear, px_per_mm, size), Flat(painted, px_per_mm, size), marks


def _peak_mb(reference: Flat, canvas: Flat) -> float:
    """Most memory held at once beside what was there before (numpy and OpenCV both report their arrays)."""
    tracemalloc.start()
    measure_drift(reference, canvas)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1024**2


def test_measure_drift(benchmark: Any, pair: tuple[str, Flat, Flat, list[Landmark]]) -> None:
    name, reference, canvas, marks = pair
    benchmark.pedantic(measure_drift, (reference, canvas), {"landmarks": marks}, rounds=5, warmup_rounds=1)
    print(f"\n{name}: drift {benchmark.stats.stats.min:.2f} s, peak memory {_peak_mb(reference, canvas):.0f} MB")


def test_dense_flow(benchmark: Any, pair: tuple[str, Flat, Flat, list[Landmark]]) -> None:
    name, reference, canvas, _ = pair
    benchmark.pedantic(flow_drift, (reference, canvas), rounds=3, warmup_rounds=1)
    print(f"\n{name}: dense flow {benchmark.stats.stats.min:.2f} s")


def test_warp_reference(benchmark: Any, pair: tuple[str, Flat, Flat, list[Landmark]]) -> None:
    name, reference, canvas, _ = pair
    drift = measure_drift(reference, canvas)
    benchmark.pedantic(warp_reference, (reference, drift), rounds=5, warmup_rounds=1)
    print(f"\n{name}: reference moved in {benchmark.stats.stats.min * 1000:.0f} ms")
