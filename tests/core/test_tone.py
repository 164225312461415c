"""core.tone against the exact formulas of core.colorimetry."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from core import colorimetry, tone
from core.photo import Photo, half_codes, half_curve, srgb_curve
from tests.published import lightness
from tests.published.libraries import colour, skimage

MAP_ERROR = 0.003  # V, as value_map states
LINEAR_ERROR = 0.0005  # V, as value_of_linear states

PHOTOGRAPHS = ("chelsea", "astronaut", "coffee", "rocket")


def exact_value(linear: np.ndarray) -> np.ndarray:
    return colorimetry.munsell_value(colorimetry.luminance(linear))


def exact_linear(codes: np.ndarray) -> np.ndarray:
    return colorimetry.decode_srgb(codes / np.iinfo(codes.dtype).max)


def colour_cube(step: int) -> np.ndarray:
    """``(n, n * n, 3)`` uint8: every ``step``-th code of each channel, black and white among them."""
    axis = np.unique(np.r_[np.arange(0, 256, step), 255]).astype(np.uint8)
    return np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(len(axis), -1, 3)


def test_value_map_over_the_colour_cube() -> None:
    codes = colour_cube(3)  # 636 056 of the 16.7 million colours
    error = tone.value_map(codes, srgb_curve()) - exact_value(exact_linear(codes))
    assert np.abs(error).max() < MAP_ERROR


def test_value_map_of_every_dark_colour() -> None:
    axis = np.arange(48, dtype=np.uint8)
    codes = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(48, -1, 3)
    error = tone.value_map(codes, srgb_curve()) - exact_value(exact_linear(codes))
    assert np.abs(error).max() < MAP_ERROR


def test_value_map_of_random_colours() -> None:
    codes = np.random.default_rng(1943).integers(0, 256, (700, 1000, 3), dtype=np.uint8)
    error = tone.value_map(codes, srgb_curve()) - exact_value(exact_linear(codes))
    assert np.abs(error).max() < MAP_ERROR


def test_value_map_of_16_bits() -> None:
    codes = np.random.default_rng(1943).integers(0, 65536, (300, 1000, 3), dtype=np.uint16)
    codes[:20] >>= 6  # dark ones too
    error = tone.value_map(codes, srgb_curve(65536)) - exact_value(exact_linear(codes))
    assert np.abs(error).max() < MAP_ERROR


def test_every_grey_in_order() -> None:
    greys = np.arange(256, dtype=np.uint8)[None, :, None].repeat(3, axis=2)
    values = tone.value_map(greys, srgb_curve())[0]
    assert (np.diff(values) > 0).all()
    assert values[0] == 0.0
    assert values[255] == pytest.approx(10.0, abs=1e-6)
    assert np.array_equal(tone.grey_codes(greys, srgb_curve())[0], greys[0, :, 0])


@pytest.mark.parametrize("v", lightness.SRGB_GREY_OF_V)
def test_published_greys(v: int) -> None:
    code = lightness.SRGB_GREY_OF_V[v]
    low, high = (np.full((1, 1, 3), int(np.floor(code + side)), np.uint8) for side in (0, 0.999))
    between = np.interp(code % 1, [0, 1], [tone.value_map(c, srgb_curve())[0, 0] for c in (low, high)])
    assert between == pytest.approx(v, abs=0.005)  # the table gives the code to a tenth


@pytest.mark.parametrize("name", PHOTOGRAPHS)
def test_photographs(name: str) -> None:
    codes = np.ascontiguousarray(getattr(skimage.data, name)())
    photo = Photo(codes, srgb_curve())
    linear = exact_linear(codes)
    expected = exact_value(linear)
    assert np.abs(photo.value() - expected).max() < MAP_ERROR
    assert np.abs(tone.value_of_linear(photo.linear()) - expected).max() < LINEAR_ERROR
    theirs = colour.notation.munsell_value_ASTMD1535(100 * colorimetry.luminance(linear[::9, ::9]))
    assert np.abs(photo.value()[::9, ::9] - theirs).max() < MAP_ERROR + 0.001  # theirs interpolates a table
    assert np.array_equal(photo.display(), codes)


@pytest.mark.parametrize("name", PHOTOGRAPHS)
def test_greys_of_photographs(name: str) -> None:
    codes = np.ascontiguousarray(getattr(skimage.data, name)())
    exact = 255 * colorimetry.encode_srgb(colorimetry.luminance(exact_linear(codes)))
    for grey in (tone.grey_codes(codes, srgb_curve()), tone.grey_of_linear(Photo(codes, srgb_curve()).linear())):
        assert np.abs(grey - exact).max() < 0.58  # rounding, and 1.5 of 65535 in luminance at the dark end
    # Skimage's grey is a sum of encoded numbers: a different thing, and it must not be mistaken for ours.
    assert np.abs(255 * skimage.color.rgb2gray(codes) - exact).max() > 3


def test_value_of_linear_from_black_to_glare() -> None:
    y = np.concatenate([np.linspace(0, 0.01, 20001), np.linspace(0.01, 3.4, 40000)])
    greys = y.astype(np.float32)[None, :, None].repeat(3, axis=2)
    error = tone.value_of_linear(greys)[0] - colorimetry.munsell_value(y)
    assert np.abs(error).max() < LINEAR_ERROR


def test_value_of_linear_of_random_light() -> None:
    light = (np.random.default_rng(8).random((500, 800, 3)) ** 3).astype(np.float32)
    assert np.abs(tone.value_of_linear(light) - exact_value(light)).max() < LINEAR_ERROR


def test_value_of_odd_light() -> None:
    light = np.array([-1.0, -0.0, 0.0, 1.0, 3.3, 4.0, 1e9, np.inf, np.nan], np.float32)[None, :, None].repeat(3, axis=2)
    with np.errstate(invalid="raise"):
        values = tone.value_of_linear(light)[0]
    with np.errstate(invalid="ignore"):
        expected = colorimetry.munsell_value(light[0, :, 0].astype(np.float64))
    assert np.array_equal(values[:3], [0, 0, 0])
    assert values[:5] == pytest.approx(expected[:5], abs=LINEAR_ERROR)
    assert values[5:8] == pytest.approx([15.0] * 3, abs=1e-4)  # as colorimetry.munsell_value ends
    assert np.isnan(values[8])
    assert np.array_equal(tone.display_of_linear(light)[0, :, 0], [0, 0, 0, 255, 255, 255, 255, 255, 0])
    assert np.array_equal(tone.grey_of_linear(light)[0], [0, 0, 0, 255, 255, 255, 255, 255, 0])


@given(hnp.arrays(np.float32, (3, 4, 3), elements=st.floats(-0.25, 4.0, width=32)))
def test_value_of_linear_never_strays(light: np.ndarray) -> None:
    error = tone.value_of_linear(light) - exact_value(light)
    assert np.abs(error).max() < LINEAR_ERROR


@given(st.floats(0, 3, width=32), st.floats(0, 3, width=32))
def test_more_light_is_never_darker(a: float, b: float) -> None:
    pair = np.sort(np.array([a, b], np.float32))[None, :, None].repeat(3, axis=2)
    for found in (tone.value_of_linear(pair), tone.grey_of_linear(pair), tone.display_of_linear(pair)[..., 0]):
        assert found[0, 0] <= found[0, 1]


def test_light_outside_the_gamut() -> None:
    linear = np.random.default_rng(3).uniform(-0.3, 1.4, (60, 90, 3)).astype(np.float32)
    codes = half_codes(linear)
    half = half_curve()[codes]
    # Half floats hold 11 bits: each channel within 2**-11 of itself.
    assert np.abs(half - linear).max() <= 1.4 * 2**-11
    assert np.abs(tone.value_map(codes, half_curve()) - exact_value(half)).max() < LINEAR_ERROR
    expected = np.rint(255 * colorimetry.encode_srgb(np.clip(half.astype(np.float64), 0, 1)))
    assert np.array_equal(tone.display_codes(codes, half_curve()), expected)
    grey = 255 * colorimetry.encode_srgb(np.clip(colorimetry.luminance(half), 0, 1))
    assert np.abs(tone.grey_codes(codes, half_curve()) - grey).max() < 0.52


def test_half_curve_holds_no_odd_numbers() -> None:
    curve = half_curve()
    assert np.isfinite(curve).all()
    finite = np.isfinite(np.arange(65536).astype(np.uint16).view(np.float16))
    assert np.array_equal(half_codes(curve[finite]).view(np.float16), curve[finite].astype(np.float16))
    assert np.array_equal(half_curve()[half_codes(np.array([np.nan, np.inf, -np.inf, 1e9], np.float32))],
                          np.array([0, 65504, -65504, 65504], np.float32))  # fmt: skip


def test_display_of_linear_is_the_inverse_of_the_curve() -> None:
    codes = colour_cube(5)
    assert np.array_equal(tone.display_of_linear(srgb_curve()[codes]), codes)
    assert np.array_equal(tone.linear_of_codes(codes, srgb_curve()), srgb_curve()[codes])


def test_luminance_of_linear() -> None:
    light = np.random.default_rng(5).random((40, 50, 3)).astype(np.float32)
    assert tone.luminance_of_linear(light) == pytest.approx(colorimetry.luminance(light), abs=1e-6)


@pytest.mark.parametrize("shape", [(1, 1), (1, 7), (7, 1), (3, 70_001), (501, 640)])
def test_any_shape_is_worked_in_strips(shape: tuple[int, int]) -> None:
    codes = np.random.default_rng(1).integers(0, 256, (*shape, 3), dtype=np.uint8)
    value, grey = tone.value_map(codes, srgb_curve()), tone.grey_codes(codes, srgb_curve())
    assert value.shape == grey.shape == shape
    assert (value.dtype, grey.dtype) == (np.float32, np.uint8)
    assert np.abs(value - exact_value(exact_linear(codes))).max() < MAP_ERROR
    linear = srgb_curve()[codes]
    assert tone.value_of_linear(linear).shape == shape
    assert np.array_equal(tone.display_of_linear(linear), codes)


def test_views_and_strides_do_not_matter() -> None:
    codes = np.random.default_rng(1).integers(0, 256, (90, 80, 3), dtype=np.uint8)
    for view in (codes[::-1, ::2], codes[..., ::-1], codes.transpose(1, 0, 2)):
        solid = np.ascontiguousarray(view)
        assert np.array_equal(tone.value_map(view, srgb_curve()), tone.value_map(solid, srgb_curve()))
        assert np.array_equal(tone.display_codes(view, srgb_curve()), solid)
        linear = srgb_curve()[codes]
        assert np.array_equal(tone.value_of_linear(linear[::-1, ::2]), tone.value_of_linear(linear)[::-1, ::2])


def test_nothing_given_is_changed() -> None:
    codes = np.full((5, 6, 3), 200, np.uint8)
    codes.setflags(write=False)
    tone.value_map(codes, srgb_curve())
    assert tone.display_codes(codes, srgb_curve()).flags.writeable
    light = np.full((5, 6, 3), np.nan, np.float32)
    tone.value_of_linear(light)
    assert np.isnan(light).all()


def test_strips_cover_every_row_once() -> None:
    for height, width in product((1, 2, 99, 1000), (1, 333, 500_000)):
        rows = np.concatenate([np.arange(height)[part] for part in tone.strips((height, width, 3))])
        assert np.array_equal(rows, np.arange(height))


def test_luminance_to_value_and_back_by_table() -> None:
    y = np.linspace(0, 1.5, 40_000).astype(np.float32).reshape(200, 200)
    value = tone.value_of_luminance(y)
    np.testing.assert_allclose(value, colorimetry.munsell_value(y), rtol=0, atol=5e-4, equal_nan=False)
    np.testing.assert_allclose(tone.luminance_of_values(value), y, rtol=0, atol=1e-3, equal_nan=False)
    grid = np.linspace(0, 12, 40_000, dtype=np.float32).reshape(200, 200)
    exact = colorimetry.luminance_of_value(grid)
    slope = np.gradient(exact.ravel(), grid.ravel()[1]).reshape(grid.shape)
    assert (np.abs(tone.luminance_of_values(grid) - exact) <= 0.00013 * slope + 1e-6).all()


def test_what_is_not_known_stays_unknown() -> None:
    holes = np.array([[0.5, np.nan]], np.float32)
    for table in (tone.value_of_luminance, tone.luminance_of_values):
        assert np.isnan(table(holes)).tolist() == [[False, True]]
