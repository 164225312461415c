import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.colorimetry import munsell_value
from core.errors import ValuesError
from core.tone import value_of_linear
from core.value.keying import Keying, KeyingCurve, keyed_linear, keying_curve
from core.value.reach import OIL, Reach, beyond, measured_reach
from tests.published.libraries import colour, skimage
from tests.studio import references

KEYINGS = (Keying.LIGHTS, Keying.DARKS, Keying.EVENLY)
reaches = st.tuples(st.floats(0, 4), st.floats(6.5, 10)).map(lambda ends: Reach(*ends))
FULL = np.linspace(0, 10, 4001)


def photograph(name: str) -> np.ndarray:
    return references.linear(np.ascontiguousarray(getattr(skimage.data, name)()[::4, ::4, :3]))


def test_oil_is_as_dark_and_light_as_its_published_drawdowns() -> None:
    """Luminance of the lightest white and of the darkest masstones in Geldof and others 2018, by ASTM D1535."""
    ends = [colour.notation.munsell_value_ASTMD1535(y) for y in (2.2, 87.0)]
    assert (OIL.darkest, OIL.lightest) == pytest.approx(ends, abs=0.05)


def test_what_lies_beyond_is_counted() -> None:
    value = np.repeat(np.array([0.5, 1.2, 5.0, 9.9]), [10, 20, 60, 10])[None]
    found = beyond(value, Reach(1.5, 9.5))
    assert (found.dark_share, found.light_share) == (0.3, 0.1)
    assert (found.dark_steps, found.light_steps) == pytest.approx((1.0, 0.4), abs=1e-5)
    assert found.too_dark.sum() == 30
    within = beyond(value, Reach(0.0, 10.0))
    assert (within.dark_share, within.light_share, within.dark_steps, within.light_steps) == (0, 0, 0, 0)


def test_reach_is_measured_by_areas_not_by_flecks() -> None:
    canvas = np.random.default_rng(1).normal(5, 0.2, (300, 400)).astype(np.float32)
    canvas[50:70, 50:70] = 2.2
    canvas[150:170, 50:70] = 8.8
    canvas[10:13, 10:13] = 0.3
    canvas[20:23, 10:13] = 10.5
    canvas[200:260, 300:] = np.nan
    found = measured_reach(canvas, px_per_mm=1, uncertainty_steps=0.2)
    assert (found.darkest, found.lightest, found.uncertainty) == pytest.approx((2.2, 8.8, 0.2), abs=0.05)


def test_reach_that_cannot_be_measured_is_said() -> None:
    with pytest.raises(ValuesError, match="no darks and lights"):
        measured_reach(np.full((50, 50), 5.0), px_per_mm=1, uncertainty_steps=0.1)
    with pytest.raises(ValuesError, match="Too little"):
        measured_reach(np.full((50, 50), np.nan), px_per_mm=1, uncertainty_steps=0.1)


@pytest.mark.parametrize("ends", [(5, 5), (9, 1), (-1, 9), (1, 11), (float("nan"), 9), (4, 5.5)])
def test_a_reach_is_two_values_far_enough_apart(ends: tuple[float, float]) -> None:
    with pytest.raises(ValuesError):
        Reach(*ends)


@given(reaches, st.sampled_from(KEYINGS))
def test_keying_rises_and_stays_within_reach(reach: Reach, keying: Keying) -> None:
    curve = keying_curve(FULL, reach, keying)
    assert (np.diff(curve.becomes) >= -1e-12).all()
    assert curve.becomes.min() >= reach.darkest - 1e-12
    assert curve.becomes.max() <= reach.lightest + 1e-12
    ends = curve.of(np.percentile(FULL, [0.1, 99.9]))
    assert ends == pytest.approx([reach.darkest, reach.lightest], abs=0.02)


@given(st.floats(0, 2), st.floats(8, 10), st.sampled_from(KEYINGS))
def test_what_lies_within_reach_is_left_alone(darkest: float, lightest: float, keying: Keying) -> None:
    inside = np.linspace(darkest, lightest, 500)
    curve = keying_curve(inside, Reach(darkest, lightest), keying)
    assert curve.of(inside) == pytest.approx(inside, abs=0.02)
    assert curve.kept > 0.98


def test_lights_are_kept_and_darks_pressed_together() -> None:
    """Reference 0-9, paint 1.6-9.5: the knee lies at 3 × 1.6; above it nothing changes; below, by hand at 2.4:
    4.8 - 2.4 + 1.6 (2.4 / 4.8)² = 2.8. At the very end a third of each difference is left."""
    reference = np.linspace(0, 9, 2001)
    curve = keying_curve(reference, OIL, Keying.LIGHTS)
    assert curve.of([9.0, 7.0, 4.9]) == pytest.approx([9.0, 7.0, 4.9], abs=0.01)
    assert curve.of([2.4]) == pytest.approx([2.8], abs=0.02)
    assert curve.least_slope == pytest.approx(1 / 3, abs=0.03)
    assert curve.kept == pytest.approx(1 - 4.08 / 9, abs=0.01)  # slope 0.9 is at 4.8 - 0.05 × 4.8² / 1.6 = 4.08


def test_darks_are_kept_and_lights_pressed_together() -> None:
    reference = np.linspace(2, 10, 2001)
    curve = keying_curve(reference, OIL, Keying.DARKS)
    assert curve.of([2.0, 5.0, 8.4]) == pytest.approx([2.0, 5.0, 8.4], abs=0.01)
    assert curve.of([10.0]) == pytest.approx([9.5], abs=0.02)
    assert curve.least_slope == pytest.approx(1 / 3, abs=0.03)


def test_lights_beyond_reach_lower_the_whole_and_keep_their_differences() -> None:
    curve = keying_curve(np.linspace(3, 10, 2001), Reach(1.5, 9.0), Keying.LIGHTS)
    assert np.diff(curve.of([6.0, 8.0, 10.0])) == pytest.approx([2.0, 2.0], abs=0.02)
    assert curve.of([10.0]) == pytest.approx([9.0], abs=0.02)


def test_even_compression_is_a_straight_line() -> None:
    curve = keying_curve(FULL, Reach(2.0, 8.0), Keying.EVENLY)
    assert curve.of([0, 2.5, 5, 7.5, 10]) == pytest.approx([2, 3.5, 5, 6.5, 8], abs=0.02)
    assert curve.least_slope == pytest.approx(0.6, abs=0.01)


@pytest.mark.parametrize("name", references.NAMES)
@pytest.mark.parametrize("keying", KEYINGS)
def test_a_keyed_photograph_has_the_keyed_values_and_its_own_hues(name: str, keying: Keying) -> None:
    linear = photograph(name)
    value = value_of_linear(linear)
    curve = keying_curve(value, OIL, keying)
    keyed = keyed_linear(linear, curve)
    luminance = keyed @ np.array([0.2126390059, 0.7151686788, 0.0721923154])  # sRGB, IEC 61966-2-1
    assert np.abs(munsell_value(luminance) - curve.of(value)).max() < 0.02
    share = linear / np.maximum(linear.sum(axis=2, keepdims=True), 1e-6)
    coloured = linear.sum(axis=2) > 1e-3
    kept = keyed / np.maximum(keyed.sum(axis=2, keepdims=True), 1e-6)
    np.testing.assert_allclose(kept[coloured], share[coloured], rtol=0, atol=1e-4, equal_nan=False)


def test_no_keying_changes_nothing() -> None:
    curve = keying_curve(FULL, OIL, Keying.NONE)
    assert isinstance(curve, KeyingCurve)
    assert curve.of(FULL) == pytest.approx(FULL, abs=1e-5)


def test_a_picture_is_looked_up_as_single_values_are() -> None:
    curve = keying_curve(np.linspace(0.2, 9.9, 5000), OIL, Keying.LIGHTS)
    values = np.random.default_rng(5).uniform(0, 10, (200, 150)).astype(np.float32)
    values[3, 4] = np.nan
    looked_up, one_by_one = curve.of(values), np.array([curve.of(row) for row in values])
    assert np.isnan(looked_up[3, 4])
    assert np.nanmax(np.abs(looked_up - one_by_one)) < 0.0015
