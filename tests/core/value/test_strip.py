import time

import numpy as np
import pytest

from core.size import Size
from core.value.reading import reading
from core.value.strip import value_strip
from tests.studio.painter import grid_mm

SIZE = Size(200, 150)


def ramp(px_per_mm: float = 4.0) -> np.ndarray:
    """Value 2 + x / 50 + y / 100, in mm."""
    x, y = grid_mm(SIZE, px_per_mm)
    return (2 + x / 50 + y / 100).astype(np.float32)


def test_a_ramp_is_read_along_a_bent_line() -> None:
    line = [(20.0, 30.0), (120.0, 30.0), (120.0, 130.0)]
    strip = value_strip(ramp(), ramp() - 0.5, line, 4.0, uncertainty=0.2)
    assert strip.distance_mm[[0, -1]] == pytest.approx([0, 200])
    x, y = np.minimum(20 + strip.distance_mm, 120), 30 + np.maximum(strip.distance_mm - 100, 0)
    assert strip.points_mm == pytest.approx(np.stack([x, y], axis=1))
    assert np.abs(strip.reference - (2 + x / 50 + y / 100)).max() < 0.002
    assert strip.difference == pytest.approx(np.full(len(x), -0.5), abs=1e-5)
    assert strip.uncertainty == pytest.approx(np.full(len(x), 0.2), abs=1e-5)
    assert not strip.withheld.any()


def test_a_step_shows_where_it_is() -> None:
    x, _ = grid_mm(SIZE, 4.0)
    board = np.where(x < 100, 3.0, 7.0).astype(np.float32)
    strip = value_strip(board, board, [(80, 75), (120, 75)], 4.0)
    crossing = np.interp(5.0, strip.reference, strip.distance_mm)
    assert crossing == pytest.approx(20, abs=0.05)


def test_a_hair_along_the_line_does_not_count() -> None:
    canvas = ramp()
    canvas[300, :] = 10.0  # a quarter of a millimetre wide, along it
    strip = value_strip(ramp(), canvas, [(20, 75.1), (180, 75.1)], 4.0)
    assert np.abs(strip.difference).max() < 0.02


def test_wide_strips_average_brush_marks_and_say_how_surely() -> None:
    rng = np.random.default_rng(1)
    canvas = ramp() + rng.normal(0, 0.3, ramp().shape).astype(np.float32)
    narrow, wide = (value_strip(ramp(), canvas, [(20, 75), (180, 75)], 4.0, width) for width in (1.0, 12.0))
    assert wide.difference.std() < 0.6 * narrow.difference.std()
    assert wide.uncertainty.mean() < narrow.uncertainty.mean()
    assert (np.abs(wide.difference) <= wide.uncertainty).mean() > 0.75


def test_withheld_places_are_not_made_up() -> None:
    canvas = ramp()
    canvas[:, 400:480] = np.nan  # x from 100 to 120 mm
    strip = value_strip(ramp(), canvas, [(50, 75), (230, 75)], 4.0)
    x = strip.points_mm[:, 0]
    assert strip.withheld[(x > 100.2) & (x < 119.8)].all()
    assert strip.withheld[x > 200.1].all()  # beyond the canvas
    assert not strip.withheld[(x < 99.5) | ((x > 120.5) & (x < 199.5))].any()
    for values in (strip.reference, strip.canvas, strip.difference, strip.uncertainty):
        assert (np.isnan(values) == strip.withheld).all()


def test_half_the_width_is_enough() -> None:
    canvas = ramp()
    canvas[:304] = np.nan  # down to y = 76 mm
    beside, upon = (value_strip(ramp(), canvas, [(20, y), (180, y)], 4.0, 4.0) for y in (76.6, 75.0))
    assert not beside.withheld.any()
    assert upon.withheld.all()


@pytest.mark.parametrize(
    ("line", "px_per_mm", "width"),
    [([(1, 1)], 4, 2), ([(1, 1), (1, 1)], 4, 2), ([(1, 1), (np.nan, 2)], 4, 2), ([(1, 1), (2, 2)], 0, 2),
     ([(1, 1), (2, 2)], 4, 0)],
)  # fmt: skip
def test_no_line_is_refused(line: list[tuple[float, float]], px_per_mm: float, width: float) -> None:
    with pytest.raises(ValueError, match=r"line|above 0"):
        value_strip(ramp(), ramp(), line, px_per_mm, width)


def test_unlike_maps_are_refused() -> None:
    with pytest.raises(ValueError, match="one shape"):
        value_strip(ramp(), ramp()[1:], [(1, 1), (2, 2)], 4.0)


def test_quick() -> None:
    maps = [np.repeat(np.repeat(ramp(), 2, axis=0), 2, axis=1) for _ in range(2)]
    best = np.inf
    for _ in range(5):
        start = time.process_time()
        value_strip(*maps, [(5, 5), (195, 20), (10, 140)], 8.0, 3.0, 0.1)
        best = min(best, time.process_time() - start)
    assert best < 0.02


def test_a_reading_is_the_mean_of_its_disc() -> None:
    told, other = reading((ramp(), ramp() - 1), 100.0, 75.0, px_per_mm=4.0)
    assert told is not None
    assert other is not None
    assert told.value == pytest.approx(4.75, abs=0.005)
    assert other.value - told.value == pytest.approx(-1.0, abs=1e-5)
    assert told.spread < 0.03
    assert told.known == 1.0


def test_a_reading_leaves_out_specks_and_says_its_spread() -> None:
    rng = np.random.default_rng(2)
    canvas = np.full((600, 800), 5.0, np.float32) + rng.normal(0, 0.2, (600, 800)).astype(np.float32)
    canvas[299:301, 399:401] = 10.0
    (told,) = reading((canvas,), 100.0, 75.0, 4.0, px_per_mm=4.0)
    assert told is not None
    assert told.value == pytest.approx(5.0, abs=0.06)
    assert told.spread == pytest.approx(0.2, rel=0.25)  # the standard deviation of the noise


def test_a_reading_where_nothing_is_known_is_none() -> None:
    canvas = ramp()
    canvas[280:320, 380:420] = np.nan
    assert reading((canvas, ramp()), 100.0, 75.0, px_per_mm=4.0)[0] is None
    assert reading((canvas, ramp()), 100.0, 75.0, px_per_mm=4.0)[1] is not None
    assert reading((ramp(),), -1.0, 75.0, px_per_mm=4.0) == (None,)
    assert reading((ramp(),), 200.0, 150.0, px_per_mm=4.0) != (None,)
    beside = reading((canvas,), 95.0, 75.0, px_per_mm=4.0)[0]
    assert beside is not None
    assert 0.5 <= beside.known < 1
    with pytest.raises(ValueError, match="above 0"):
        reading((ramp(),), 1.0, 1.0, 0.0, px_per_mm=4.0)


@pytest.mark.parametrize("px_per_mm", [0.2, 1.0, 4.0])
def test_at_least_one_pixel_is_read(px_per_mm: float) -> None:
    flat = np.full((round(150 * px_per_mm), round(200 * px_per_mm)), 6.0, np.float32)
    for x, y in ((0.0, 0.0), (77.7, 33.3), (199.9, 149.9)):
        (told,) = reading((flat,), x, y, 0.1, px_per_mm=px_per_mm)
        assert told is not None
        assert told.value == 6.0
