"""Drift on plain pictures, where it can be seen at a glance what can be told and what cannot."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.drawing.drawing import Landmark
from core.drawing.drift import Drift, measure_drift
from core.size import Size
from tests.studio import references
from tests.studio.displacement import Displacement
from tests.studio.painter import paint

SIZE = Size(400, 300)
PX_PER_MM = 2.0
Picture = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.float64]]
PLACES = np.array([[200.0, 150.0], [120.0, 100.0], [300.0, 200.0]])


def _flat(picture: Picture, moved: tuple[float, float] = (0.0, 0.0), grain: float = 0.0) -> Flat:
    x, y = np.meshgrid((np.arange(800) + 0.5) / PX_PER_MM, (np.arange(600) + 0.5) / PX_PER_MM)
    light = picture(x - moved[0], y - moved[1]) * (1 + grain * np.random.default_rng(0).normal(size=x.shape))
    return Flat(np.repeat(light[..., None], 3, axis=2).astype(np.float32), PX_PER_MM, SIZE)


def _drift(picture: Picture, moved: tuple[float, float]) -> Drift:
    marks = [Landmark(str(i), float(x), float(y)) for i, (x, y) in enumerate(PLACES)]
    return measure_drift(_flat(picture), _flat(picture, moved, 0.05), landmarks=marks, points_mm=PLACES)


def test_a_square_on_a_plain_ground() -> None:
    """Painted 3 mm to the right: its corners tell, the empty ground far from it does not."""

    def square(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.where((abs(x - 150) < 30) & (abs(y - 150) < 30), 0.05, 0.3)

    marks = [Landmark("corner", 120, 120), Landmark("far", 350, 250), Landmark("far", 350, 40)]
    drift = measure_drift(_flat(square), _flat(square, (3.0, 0.0)), landmarks=marks)
    corner, *far = drift.landmarks
    assert corner.confidence >= 0.5
    assert (corner.dx_mm, corner.dy_mm) == pytest.approx((3.0, 0.0), abs=0.3)
    assert all(mark.confidence < 0.5 for mark in far)
    assert np.isnan(drift.field_dx_mm[250, 350])


def test_an_edge_tells_what_happened_across_it_and_not_along() -> None:
    drift = _drift(lambda x, y: 0.2 + 0.3 / (1 + np.exp(-(x - 200) / 0.5)), (3.0, 2.0))
    assert drift.landmarks[0].confidence < 0.5
    points = drift.points
    assert abs(points.firm_direction[0]) == pytest.approx((1.0, 0.0), abs=0.1)
    assert points.firm_drift_mm[0] * points.firm_direction[0, 0] == pytest.approx(3.0, abs=0.3)
    assert points.firm_confidence[0] >= 0.5
    assert points.confidence[0] == pytest.approx(drift.landmarks[0].confidence)


@pytest.mark.parametrize(
    ("period_mm", "moved"),
    [(4.0, (3.0, 0.0)), pytest.param(6.0, (4.0, 4.0), marks=pytest.mark.slow),
     pytest.param(8.0, (3.0, 0.0), marks=pytest.mark.slow), (10.0, (4.0, 4.0))],
)  # fmt: skip
def test_a_pattern_that_repeats_is_not_told(period_mm: float, moved: tuple[float, float]) -> None:
    """One thread of a cloth is like the next: whatever number comes out, it is not believed."""

    def cloth(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
        return 0.3 + 0.2 * np.sin(2 * np.pi * x / period_mm) * np.sin(2 * np.pi * y / period_mm)

    drift = _drift(cloth, moved)
    assert all(mark.confidence < 0.5 for mark in drift.landmarks)


@pytest.mark.parametrize("level", [0.002, 0.3])
def test_an_even_canvas_tells_nothing(level: float) -> None:
    drift = _drift(lambda x, y: np.full_like(x, level), (3.0, 2.0))
    assert all(mark.confidence < 0.1 for mark in drift.landmarks)
    assert drift.whole.shift_sigma_mm == np.inf
    assert (drift.points.firm_confidence < 0.5).all()


@pytest.mark.parametrize("size", [Size(20, 20), Size(150, 200), Size(1000, 700), Size(1500, 150)])
def test_other_canvases(size: Size) -> None:
    """Sizes from a postage stamp to a wall, drift in proportion to the longer side."""
    unit = max(size.width_mm, size.height_mm) / 400
    moved = Displacement(size, (2 * unit, -1.5 * unit), 0.3, 1.003)
    linear = references.linear(references.pixels("astronaut", size, width=1000))
    px_per_mm = 1000 / size.width_mm
    painted = paint(linear, moved, brushwork="none", px_per_mm=px_per_mm).linear
    places = np.array([[0.3, 0.5], [0.5, 0.5], [0.7, 0.4]]) * (size.width_mm, size.height_mm)
    marks = [Landmark(str(i), float(x), float(y)) for i, (x, y) in enumerate(places)]
    drift = measure_drift(Flat(linear, px_per_mm, size), Flat(painted, px_per_mm, size), landmarks=marks)
    assert drift.field_dx_mm.shape == (round(size.height_mm), round(size.width_mm))
    for mark, true in zip(drift.landmarks, moved.at(places), strict=True):
        assert (mark.dx_mm, mark.dy_mm) == pytest.approx(tuple(true), abs=0.25 * unit)
    assert drift.whole.turn_deg == pytest.approx(0.3, abs=0.05)
