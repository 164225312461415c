import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from skimage.measure import label

from core.colorimetry import LUMINANCE, decode_srgb, luminance_of_value, munsell_value
from core.errors import ValuesError
from core.size import Size
from core.tone import value_of_linear
from core.value.boundaries import equal_boundaries
from core.value.steps import steps_picture, value_steps
from tests.published.libraries import colour, skimage
from tests.studio import references

# Equal Munsell steps V = 10 i / n as per cent luminance, computed with colour-science 0.4.7
# (colour.colorimetry.luminance_ASTMD1535), rounded to 0.001.
BOUNDARIES_Y = {
    2: (19.272,),
    3: (7.925, 37.447),
    5: (3.048, 11.701, 29.301, 57.620),
    7: (1.843, 5.802, 13.624, 26.174, 44.029, 68.056),
    9: (1.336, 3.642, 7.925, 14.774, 24.529, 37.447, 53.869, 74.385),
}

# ColorChecker24 neutrals (after November 2014, D50): luminance Y and Munsell value, as colour-science carries them.
NEUTRALS = {0.8807: 9.51, 0.5900: 8.08, 0.3649: 6.59, 0.1906: 4.98, 0.0882: 3.51, 0.0315: 2.04}

values = arrays(np.float32, (12, 17), elements=st.floats(0, 10, width=32))
counts = st.integers(2, 10)


@pytest.mark.parametrize("count", BOUNDARIES_Y)
def test_boundaries_are_equal_munsell_steps(count: int) -> None:
    luminance = 100 * luminance_of_value(equal_boundaries(count))
    assert luminance == pytest.approx(BOUNDARIES_Y[count], abs=6e-4)


def test_boundaries_agree_with_astm_d1535_as_colour_science_has_it() -> None:
    for count in range(2, 11):
        expected = [colour.colorimetry.luminance_ASTMD1535(v) for v in equal_boundaries(count)]
        assert 100 * luminance_of_value(equal_boundaries(count)) == pytest.approx(expected, rel=1e-9)


def test_colorchecker_neutrals_fall_in_their_steps() -> None:
    value = munsell_value(np.array([list(NEUTRALS)])).astype(np.float32)
    assert value[0] == pytest.approx(list(NEUTRALS.values()), abs=0.01)
    nine = value_steps(value, 9, px_per_mm=1, smallest_mm2=0)
    # V / (10 / 9), rounded down: 9.51 -> 8, 8.08 -> 7, 6.59 -> 5, 4.98 -> 4, 3.51 -> 3, 2.04 -> 1
    assert nine.index.tolist() == [[8, 7, 5, 4, 3, 1]]


@given(values, counts)
def test_no_more_levels_than_asked_and_shares_make_one(value: np.ndarray, count: int) -> None:
    steps = value_steps(value, count, px_per_mm=1, smallest_mm2=3)
    assert steps.index.dtype == np.uint8
    assert steps.index.max() < count == steps.count
    assert len(steps.boundaries) == count - 1
    assert steps.shares.sum() == pytest.approx(1)
    assert steps.shares == pytest.approx([(steps.index == k).mean() for k in range(count)])


@given(values, counts)
def test_monotone(value: np.ndarray, count: int) -> None:
    index = value_steps(value, count, px_per_mm=1, smallest_mm2=0).index
    order = np.argsort(value, axis=None)
    assert (np.diff(index.ravel()[order].astype(int)) >= 0).all()


@given(values, counts, st.sampled_from([0.0, 2.0, 5.0, 400.0]))
def test_idempotent(value: np.ndarray, count: int, smallest: float) -> None:
    once = value_steps(value, count, px_per_mm=1, smallest_mm2=smallest)
    again = value_steps(once.levels[once.index], count, px_per_mm=1, smallest_mm2=smallest)
    assert (again.index == once.index).all()


@settings(deadline=None)
@given(values, counts, st.integers(2, 30))
def test_no_small_islands_are_left_and_no_step_is_new(value: np.ndarray, count: int, smallest: int) -> None:
    plain = value_steps(value, count, px_per_mm=1, smallest_mm2=0).index
    joined = value_steps(value, count, px_per_mm=1, smallest_mm2=smallest).index
    assert set(np.unique(joined)) <= set(np.unique(plain))
    islands = label(joined.astype(int), connectivity=1, background=-1)
    assert min(np.bincount(islands.ravel())[1:]) >= min(smallest, joined.size)


def test_error_of_steps_is_that_of_a_uniform_quantiser() -> None:
    value = np.linspace(0, 10, 100_000, dtype=np.float32).reshape(100, 1000)
    for count in (2, 5, 10):
        steps = value_steps(value, count, px_per_mm=1, smallest_mm2=0)
        error = steps.levels[steps.index] - value
        assert np.sqrt((error**2).mean()) == pytest.approx(10 / count / np.sqrt(12), rel=1e-3)


def test_an_island_joins_the_neighbour_of_longest_border_not_the_nearest_value() -> None:
    value = np.full((40, 40), 1.0, np.float32)
    value[:, 20:] = 9.0
    value[10:14, 18:21] = 5.5  # touches 1.0 along 2 x 2 + 4 and 9.0 along 2 x 1 + 4
    steps = value_steps(value, 10, px_per_mm=1, smallest_mm2=20)
    assert (steps.index[10:14, 18:21] == 1).all()
    assert (steps.index[:, 21:] == 9).all()


def test_on_equal_borders_the_nearest_value_wins() -> None:
    value = np.full((20, 20), 1.0, np.float32)
    value[:, 10:] = 9.0
    value[5:9, 8:12] = 6.5
    steps = value_steps(value, 10, px_per_mm=1, smallest_mm2=20)
    assert (steps.index[5:9, 8:12] == 9).all()


def test_islands_are_measured_in_square_millimetres() -> None:
    value = np.full((80, 80), 2.5, np.float32)
    value[30:40, 30:40] = 7.5
    assert value_steps(value, 2, px_per_mm=4, smallest_mm2=6).index[35, 35] == 1  # 10 px at 4 px/mm: 6.25 mm2
    assert value_steps(value, 2, px_per_mm=4, smallest_mm2=7).index[35, 35] == 0


def test_a_large_shape_keeps_its_place() -> None:
    y, x = np.mgrid[0:300, 0:400]
    inside = np.hypot(x - 210.0, y - 140.0) < 60
    noise = np.random.default_rng(3).normal(0, 0.5, inside.shape)
    value = (np.where(inside, 6.7, 3.3) + noise).astype(np.float32)
    steps = value_steps(value, 2, px_per_mm=2, smallest_mm2=20)
    assert (steps.index == inside).mean() > 0.998


def test_squint_is_in_linear_light() -> None:
    """A fine checker of black and white reflects half the light: V 7.54, not the mean of the values, 5.
    The value of Y = 50 is from ASTM D1535-08e1 as colour-science solves it."""
    value = (10.0 * (np.indices((64, 64)).sum(axis=0) % 2)).astype(np.float32)
    steps = value_steps(value, 10, px_per_mm=1, squint_mm=3)
    assert (steps.index == 7).all()


def test_picture_shows_the_middle_of_each_step() -> None:
    value = np.arange(0.5, 10, 1, dtype=np.float32)[None, :]
    picture = steps_picture(value_steps(value, 10, px_per_mm=1, smallest_mm2=0))
    assert picture.dtype == np.uint8
    shown = value_of_linear(np.repeat(decode_srgb(picture / 255)[..., None], 3, axis=2).astype(np.float32))
    assert shown == pytest.approx(value, abs=0.03)


@pytest.mark.parametrize("name", references.NAMES)
def test_photographs(name: str) -> None:
    photograph = getattr(skimage.data, name)()[..., :3]
    value = value_of_linear(references.linear(photograph))
    steps = value_steps(value, 5, px_per_mm=1.5)
    plain = np.digitize(munsell_value(references.linear(photograph) @ LUMINANCE), equal_boundaries(5))
    assert (steps.index == plain).mean() > 0.93
    assert steps.shares == pytest.approx(np.bincount(plain.ravel(), minlength=5) / plain.size, abs=0.025)


def test_quick_enough_to_follow_a_slider() -> None:
    photograph = references.pixels("astronaut", Size(400, 300), width=1600)
    value = value_of_linear(references.linear(photograph))
    best = min(_seconds(value) for _ in range(3))
    assert best < 0.4  # processor time


def _seconds(value: np.ndarray) -> float:
    start = time.process_time()
    value_steps(value, 9, px_per_mm=4)
    return time.process_time() - start


def test_bad_input_is_refused() -> None:
    good = np.ones((4, 4), np.float32)
    for count in (1, 11):
        with pytest.raises(ValuesError, match="from 2 to 10"):
            value_steps(good, count, px_per_mm=1)
    with pytest.raises(ValueError, match=r"\(H, W\)"):
        value_steps(np.ones((4, 4, 3)), 3, px_per_mm=1)
    good[1, 1] = np.nan
    with pytest.raises(ValueError, match="not numbers"):
        value_steps(good, 3, px_per_mm=1)
