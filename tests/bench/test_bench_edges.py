"""The edges of a 12 MP reference as a check measures them, beside scikit-image's Canny on the same pixels.

Canny only says where edges run; these are measured across as well. Bar: 2 s. Run with ``pytest tests/bench
--benchmark-only -s``. Timings are printed and never fail.
"""

import time
from typing import Any

import numpy as np
import pytest

from core.check import working_px_per_mm
from core.demo import demo_request
from core.edge.compare import reference_edges
from core.edge.lines import link_edges
from core.edge.width import measure_edges
from core.tone import value_of_linear
from tests.published.libraries import skimage

_CANNY_SIGMA_PX = 2.0


@pytest.fixture(scope="module")
def value() -> tuple[np.ndarray, float]:
    """The demo's reference as a check sees it: Munsell value, and px/mm."""
    from core.canvas.lay_flat import reference_flat

    request = demo_request()
    px_per_mm = working_px_per_mm(request.size, 10.0)
    return value_of_linear(reference_flat(request.reference, request.size, px_per_mm)[0].linear), px_per_mm


def test_edges_measured(benchmark: Any, value: tuple[np.ndarray, float]) -> None:
    edges = benchmark.pedantic(measure_edges, value, rounds=3, warmup_rounds=1)
    best = benchmark.stats.stats.min
    began = time.perf_counter()
    seen = skimage.feature.canny(value[0].astype(np.float64), _CANNY_SIGMA_PX)
    canny = time.perf_counter() - began
    print(
        f"\n{len(edges)} points measured in {best:.2f} s of 2 s; scikit-image's Canny finds {int(seen.sum())} pixels "
        f"in {canny:.2f} s: {best / canny:.1f} ×"
    )
    assert len(edges) > 1000


def test_edges_made_ready_for_comparing(benchmark: Any, value: tuple[np.ndarray, float]) -> None:
    edges = measure_edges(*value)
    lines = link_edges(edges)
    ready = benchmark.pedantic(lambda: reference_edges(*value, edges=edges, lines=lines), rounds=3, warmup_rounds=1)
    print(f"\nwhich of {len(ready.order)} points stand alone: {benchmark.stats.stats.min:.2f} s")
