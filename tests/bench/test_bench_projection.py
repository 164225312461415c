"""What a nudge costs: the drawing's lines, a picture and the marks on a screen of 1920 × 1080.

Run with ``pytest tests/bench --benchmark-only -s``. The lines have 16 ms, a picture 100 ms; a busy machine is given
twice that.
"""

from typing import Any

import numpy as np
import pytest

from core.drawing.drawing import Drawing, Line
from core.drawing.projection import Projection
from core.drawing.projection_light import Slide, rendered_lines, rendered_picture
from core.drawing.projection_marks import rendered_marks
from core.size import Size

SIZE = Size(400, 300)
LINES_MS, PICTURE_MS = 16.0, 100.0


def winding(count: int = 250, length_mm: float = 55.0) -> Drawing:
    """Lines of two to five curves each, all over the canvas: some 14 m."""
    rng = np.random.default_rng(0)
    lines = []
    for _ in range(count):
        steps = 3 * int(rng.integers(2, 6))
        way = rng.uniform(0, 2 * np.pi) + np.cumsum(rng.normal(0, 0.25, steps))
        run = np.cumsum(np.stack([np.cos(way), np.sin(way)], axis=1), axis=0) * length_mm / steps
        points = rng.uniform([40, 40], [360, 260]) + np.vstack([[0, 0], run])
        lines.append(Line(np.clip(points, 0, [SIZE.width_mm, SIZE.height_mm])))
    return Drawing(SIZE, tuple(lines))


@pytest.fixture(scope="module")
def projection() -> Projection:
    return Projection.fitted(SIZE, 1920, 1080).nudged(0, 40, 30)


@pytest.mark.parametrize("weight_mm", [0.3, 0.8, 2.0])
def test_lines(benchmark: Any, projection: Projection, weight_mm: float) -> None:
    drawing = winding()
    benchmark.pedantic(rendered_lines, (drawing, projection), {"weight_mm": weight_mm}, rounds=20, warmup_rounds=2)
    assert benchmark.stats.stats.min * 1e3 < 2 * LINES_MS


def test_a_picture(benchmark: Any, projection: Projection) -> None:
    codes = np.random.default_rng(0).integers(0, 256, (1500, 2000, 3), dtype=np.uint8)
    benchmark.pedantic(rendered_picture, (Slide.of(codes), projection), rounds=10, warmup_rounds=1)
    assert benchmark.stats.stats.min * 1e3 < 2 * PICTURE_MS


def test_the_marks(benchmark: Any, projection: Projection) -> None:
    benchmark.pedantic(rendered_marks, (projection,), rounds=5, warmup_rounds=1)
    assert benchmark.stats.stats.min * 1e3 < 2 * PICTURE_MS
