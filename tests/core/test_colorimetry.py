"""core.colorimetry against published tables and two independent libraries."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from core import colorimetry
from tests.published import ciede2000, lightness, spaces
from tests.published.libraries import colour, skimage

V_TOLERANCE = 5e-4  # the tables are given to this
L_TOLERANCE = 5e-3
SWEEP = (-1.0, 0.0, 1.0, np.inf, -np.inf, np.nan)

unit = st.floats(0.0, 1.0)


@pytest.mark.parametrize(("v", "y"), lightness.D1535_Y_OF_V.items())
def test_luminance_of_value_astm_d1535(v: float, y: float) -> None:
    assert 100 * colorimetry.luminance_of_value(v) == pytest.approx(y, abs=6e-5)


@pytest.mark.parametrize(("v", "y"), lightness.D1535_Y_OF_V.items())
def test_value_of_tabulated_luminance(v: float, y: float) -> None:
    assert colorimetry.munsell_value(y / 100) == pytest.approx(v, abs=5e-5)


@pytest.mark.parametrize(("y", "v"), lightness.D1535_V_OF_Y.items())
def test_value_of_luminance(y: float, v: float) -> None:
    assert colorimetry.munsell_value(y / 100) == pytest.approx(v, abs=V_TOLERANCE / 5)


@pytest.mark.parametrize(("v", "y"), lightness.NEWHALL_1943_Y_OF_V.items())
def test_the_1943_scale_is_relative_to_magnesium_oxide(v: int, y: float) -> None:
    assert 100 * colorimetry.luminance_of_value(v) == pytest.approx(y * lightness.MAGNESIUM_OXIDE, rel=2e-4)


@pytest.mark.parametrize(("y", "l_star"), lightness.CIE_L_OF_Y.items())
def test_lightness(y: float, l_star: float) -> None:
    assert colorimetry.lightness(y / 100) == pytest.approx(l_star, abs=1e-5)


@pytest.mark.parametrize(("l_star", "y"), lightness.CIE_Y_OF_L.items())
def test_luminance_of_lightness(l_star: int, y: float) -> None:
    assert 100 * colorimetry.luminance_of_lightness(l_star) == pytest.approx(y, abs=1e-6)


@pytest.mark.parametrize("v", lightness.L_OF_V)
def test_lightness_and_grey_of_the_munsell_neutrals(v: int) -> None:
    y = colorimetry.luminance_of_value(v)
    assert colorimetry.lightness(y) == pytest.approx(lightness.L_OF_V[v], abs=1e-3)
    assert 255 * colorimetry.encode_srgb(y) == pytest.approx(lightness.SRGB_GREY_OF_V[v], abs=0.06)


@pytest.mark.parametrize(("encoded", "linear"), lightness.SRGB_DECODED.items())
def test_decode_srgb(encoded: float, linear: float) -> None:
    # The table reads the joint (0.04045) on its upper piece, 2e-9 above the lower one that the standard puts it on.
    assert colorimetry.decode_srgb(encoded) == pytest.approx(linear, abs=3e-9)


@pytest.mark.parametrize(("linear", "encoded"), lightness.SRGB_ENCODED.items())
def test_encode_srgb(linear: float, encoded: float) -> None:
    assert colorimetry.encode_srgb(linear) == pytest.approx(encoded, abs=5e-9)


@pytest.mark.parametrize(("code", "expected"), lightness.SRGB_CODES.items())
def test_srgb_codes(code: int, expected: tuple[float, float]) -> None:
    linear = colorimetry.decode_srgb(code / 255)
    assert linear == pytest.approx(expected[0], abs=5e-8)
    assert colorimetry.lightness(linear) == pytest.approx(expected[1], abs=5e-5)


@pytest.mark.parametrize(("y", "l_star", "v"), lightness.COLORCHECKER_NEUTRALS.values())
def test_colorchecker_neutrals(y: float, l_star: float, v: float) -> None:
    # Y is given to four places: half of the last is 0.005 L* and, at the black patch, 0.003 V.
    assert colorimetry.lightness(y) == pytest.approx(l_star, abs=L_TOLERANCE + 0.02)
    assert colorimetry.munsell_value(y) == pytest.approx(v, abs=5e-3 + 0.004)


@pytest.mark.parametrize(("pair", "one", "two", "expected"), ciede2000.PAIRS)
def test_ciede2000_sharma(pair: int, one: tuple[float, ...], two: tuple[float, ...], expected: float) -> None:
    assert colorimetry.delta_e_2000(one, two) == pytest.approx(expected, abs=5e-5), pair
    assert colorimetry.delta_e_2000(two, one) == pytest.approx(expected, abs=5e-5), pair


def test_the_fourteenth_pair_takes_either_of_its_two_readings() -> None:
    found = float(colorimetry.delta_e_2000((50, -0.001, 2.49), (50, 0.001, -2.49)))
    assert min(abs(found - 4.7461), abs(found - 4.8045)) < 1e-4


def test_delta_e_76_published() -> None:
    # The same pairs by the 1976 formula: figures from colour-science 0.4.7.
    assert colorimetry.delta_e_76((50, 2.6772, -79.7751), (50, 0, -82.7485)) == pytest.approx(4.0011, abs=5e-5)
    assert colorimetry.delta_e_76((50, 2.5, 0), (73, 25, -18)) == pytest.approx(36.8680, abs=5e-5)


def test_luminance_weights() -> None:
    weights = colorimetry.luminance(np.eye(3))
    assert weights == pytest.approx(np.array(spaces.SRGB_LUMINANCE), abs=1e-10)
    assert weights == pytest.approx(np.array(spaces.SRGB_LUMINANCE_ROUNDED), abs=5e-5)
    assert colorimetry.luminance([1.0, 1.0, 1.0]) == pytest.approx(1.0, abs=1e-12)


def test_white_is_neutral() -> None:
    assert colorimetry.lab([0.5, 0.5, 0.5])[1:] == pytest.approx([0.0, 0.0], abs=1e-9)


def test_value_agrees_with_colour_science() -> None:
    y = np.linspace(0.0005, 1.0, 500)
    reference = colour.notation.munsell_value_ASTMD1535(100 * y)
    assert np.abs(colorimetry.munsell_value(y) - reference).max() < 1e-3  # theirs interpolates a table


def test_lab_agrees_with_skimage_and_colour_science(random_colours: np.ndarray) -> None:
    encoded, linear = random_colours, colorimetry.decode_srgb(random_colours)
    ours = colorimetry.lab(linear)
    # skimage and colour-science use the 4-digit matrix of the standard, hence the tolerance.
    assert np.abs(ours - skimage.color.rgb2lab(encoded, illuminant="D65")).max() < 0.03
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    theirs = colour.XYZ_to_Lab(colorimetry.xyz(linear), white)
    assert np.abs(ours - theirs).max() < 0.01


def test_ciede2000_agrees_with_skimage_and_colour_science(random_colours: np.ndarray) -> None:
    labs = colorimetry.lab(colorimetry.decode_srgb(random_colours))
    one, two = labs[:2000], labs[2000:4000]
    ours = colorimetry.delta_e_2000(one, two)
    assert np.abs(ours - skimage.color.deltaE_ciede2000(one, two)).max() < 1e-8
    assert np.abs(ours - colour.delta_E(one, two, method="CIE 2000")).max() < 1e-8


@pytest.fixture(scope="module")
def random_colours() -> np.ndarray:
    return np.random.default_rng(1976).random((4000, 3))


@given(unit)
def test_srgb_round_trip(x: float) -> None:
    # The two pieces of the standard's curve meet within 3e-8 of each other.
    assert colorimetry.encode_srgb(colorimetry.decode_srgb(x)) == pytest.approx(x, abs=1e-7)


@given(st.floats(-2.0, 2.0))
def test_srgb_is_mirrored_about_zero(x: float) -> None:
    assert colorimetry.decode_srgb(-x) == -colorimetry.decode_srgb(x)
    assert colorimetry.encode_srgb(-x) == -colorimetry.encode_srgb(x)


@given(st.floats(0.0, 12.0))
def test_value_round_trip(v: float) -> None:
    assert colorimetry.munsell_value(colorimetry.luminance_of_value(v)) == pytest.approx(v, abs=1e-8)


@given(unit)
def test_lightness_round_trip(y: float) -> None:
    assert colorimetry.luminance_of_lightness(colorimetry.lightness(y)) == pytest.approx(y, abs=1e-12)


@given(unit, unit)
def test_value_and_lightness_rise_with_light(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert colorimetry.munsell_value(low) <= colorimetry.munsell_value(high)
    assert colorimetry.lightness(low) <= colorimetry.lightness(high)
    assert colorimetry.decode_srgb(low) <= colorimetry.decode_srgb(high)


@given(unit)
def test_rule_of_thumb_a_tenth_of_lightness(y: float) -> None:
    v = float(colorimetry.munsell_value(y))
    if v >= 1.0:
        assert abs(v - float(colorimetry.lightness(y)) / 10) < 0.11  # from memory; D1535 against CIE L*


colours = hnp.arrays(np.float64, hnp.array_shapes(max_dims=3, max_side=4).map(lambda s: (*s, 3)), elements=unit)


@given(colours)
def test_shapes_and_round_trips_in_any_number_of_dimensions(rgb: np.ndarray) -> None:
    assert colorimetry.luminance(rgb).shape == rgb.shape[:-1]
    assert colorimetry.rgb_from_xyz(colorimetry.xyz(rgb)) == pytest.approx(rgb, abs=1e-12)
    lab = colorimetry.lab(rgb)
    assert lab.shape == rgb.shape
    assert colorimetry.xyz_from_lab(lab) == pytest.approx(colorimetry.xyz(rgb), abs=1e-12)
    assert colorimetry.delta_e_2000(lab, lab) == pytest.approx(np.zeros(rgb.shape[:-1]), abs=1e-9)
    assert colorimetry.delta_e_76(lab, lab).shape == rgb.shape[:-1]


@given(colours)
def test_one_at_a_time_gives_the_same(rgb: np.ndarray) -> None:
    flat = rgb.reshape(-1, 3)
    singly = np.array([colorimetry.lab(colour_) for colour_ in flat]).reshape(rgb.shape)
    assert colorimetry.lab(rgb) == pytest.approx(singly, abs=1e-12)


def test_sweep_of_odd_numbers() -> None:
    odd = np.array(SWEEP)
    with np.errstate(invalid="ignore"):
        values = colorimetry.munsell_value(odd)
        assert values[:2] == pytest.approx([0.0, 0.0], abs=1e-12)
        assert values[2] == pytest.approx(10.0, abs=1e-6)
        assert values[3] == pytest.approx(15.0, abs=1e-6)  # as far as the scale is carried past white
        assert values[4] == 0.0
        assert np.isnan(values[5])
        for function in (colorimetry.decode_srgb, colorimetry.encode_srgb, colorimetry.lightness):
            found = function(odd)
            assert np.isfinite(found[:3]).all()
            assert np.isnan(found[5])
            assert found[3] == np.inf


@pytest.mark.parametrize("wrong", [0.5, [0.1, 0.2], np.zeros((4, 4, 4))])
def test_three_channels_are_asked_for(wrong: object) -> None:
    for function in (colorimetry.luminance, colorimetry.xyz, colorimetry.lab):
        with pytest.raises(ValueError, match="three channels"):
            function(wrong)
