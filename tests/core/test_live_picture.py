"""The live picture against the exact ways: laid flat, grey, steps, squint; and the gain that matches a reference."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.canvas.lay_flat import lay_flat
from core.colorimetry import munsell_value
from core.develop import srgb_curve
from core.errors import CanvasError, ValuesError
from core.frames.frame import Frame
from core.live_picture import LiveLook, LivePicture, matched_gain
from core.size import Size
from core.tone import display_of_linear, grey_codes, linear_of_codes, value_map
from core.value.squint import squint
from core.value.steps import steps_between

SIZE = Size(400, 300)
CORNERS = np.array([[60.0, 40.0], [560.0, 55.0], [570.0, 430.0], [50.0, 420.0]])
BOUNDARIES = (2.5, 4.0, 6.0, 8.0)


@pytest.fixture(scope="module")
def frame() -> Frame:
    rng = np.random.default_rng(3)
    small = rng.integers(0, 256, (24, 32, 3), dtype=np.uint8)
    codes = np.clip(cv2.resize(small, (640, 480), interpolation=cv2.INTER_CUBIC), 0, 255).astype(np.uint8)
    return Frame(codes, 0, 0.0)


def _flat(frame: Frame, look: LiveLook, *, k1: float = 0.0, width_px: int = 500) -> np.ndarray:
    return LivePicture(SIZE).flat(frame, CORNERS, k1=k1, width_px=width_px, look=look)


@pytest.mark.parametrize("k1", [0.0, -0.05, 0.03])
@pytest.mark.parametrize("width_px", [500, 200])
def test_the_canvas_lies_where_the_exact_way_lays_it(frame: Frame, k1: float, width_px: int) -> None:
    """Within 3 codes in 99 of 100, 16 anywhere: codes are interpolated here, light there."""
    seen = _flat(frame, LiveLook(), k1=k1, width_px=width_px)
    exact = display_of_linear(lay_flat(frame.photo(), CORNERS, SIZE, k1=k1, px_per_mm=width_px / 400).linear)
    assert seen.shape == exact.shape
    apart = np.abs(seen.astype(int) - exact)
    assert np.percentile(apart, 99) <= 3
    assert apart.max() <= 16


def test_fine_weave_does_not_turn_into_moire() -> None:
    """Lines of one pixel, shown at a third of their size, are the even grey of their mean code."""
    codes = np.zeros((480, 640, 3), np.uint8)
    codes[:, ::2] = 200
    corners = np.array([[19.5, 19.5], [619.5, 19.5], [619.5, 469.5], [19.5, 469.5]])
    seen = LivePicture(SIZE).flat(Frame(codes, 0, 0.0), corners, k1=0.0, width_px=200, look=LiveLook())
    assert abs(float(seen.mean()) - 100) <= 2
    assert seen.std() < 40


def test_grey_and_steps_are_the_exact_ones_of_the_colours(frame: Frame) -> None:
    colour = _flat(frame, LiveLook(), k1=0.02)
    grey = _flat(frame, LiveLook("grey"), k1=0.02)
    assert np.array_equal(grey, grey_codes(colour, srgb_curve()))
    steps = _flat(frame, LiveLook("steps", BOUNDARIES), k1=0.02)
    value = value_map(colour, srgb_curve())
    exact = steps_between(value, np.array(BOUNDARIES), px_per_mm=1.25, smallest_mm2=0.0).index
    shown = np.unique(steps)
    assert len(shown) == 5
    differ = np.searchsorted(shown, steps) != exact
    nearest = np.abs(value[..., None] - BOUNDARIES).min(axis=-1)
    assert not (differ & (nearest > 0.003)).any()


def test_each_step_is_shown_as_the_grey_of_the_middle_of_its_values() -> None:
    """The greys read back by the exact formula: within the half code that rounding leaves."""
    codes = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    seen = LivePicture(SIZE).as_seen(Frame(codes, 0, 0.0), LiveLook("steps", BOUNDARIES))
    values = munsell_value(srgb_curve()[np.unique(seen)].astype(np.float64))
    assert np.abs(values - [1.25, 3.25, 5.0, 7.0, 9.0]).max() < 0.03


@pytest.mark.parametrize("sigma_mm", [0.5, 1.5, 4.0, 12.0])
def test_a_squint_is_a_gaussian_on_the_light_of_the_colours(frame: Frame, sigma_mm: float) -> None:
    """Against the library's own at full size, 2 codes in 99 of 100; against the house's, which reduces too, 4."""
    light = linear_of_codes(_flat(frame, LiveLook()), srgb_curve())
    seen = _flat(frame, LiveLook(squint_mm=sigma_mm)).astype(int)
    sigma_px = sigma_mm * 1.25
    whole = display_of_linear(cv2.GaussianBlur(light, (0, 0), sigma_px, borderType=cv2.BORDER_REFLECT))
    assert np.percentile(np.abs(seen - whole), 99) <= 2
    assert np.abs(seen - whole).max() <= 12
    house = display_of_linear(squint(light, sigma_mm, 1.25))
    assert np.percentile(np.abs(seen - house)[40:-40, 40:-40], 99) <= 4
    grey = _flat(frame, LiveLook("grey", squint_mm=sigma_mm))
    assert np.percentile(np.abs(grey.astype(int) - grey_codes(whole, srgb_curve())), 99) <= 2


def test_a_fine_mixture_squints_to_the_mean_of_its_light() -> None:
    """Half black and half white is light 0.5: sRGB code 188 (IEC 61966-2-1), not 128."""
    codes = np.zeros((300, 400, 3), np.uint8)
    codes[:, ::2] = 255
    seen = LivePicture(SIZE).as_seen(Frame(codes, 0, 0.0), LiveLook(squint_mm=10.0))
    assert np.abs(seen[50:-50, 50:-50].astype(int) - 188).max() <= 1


@settings(max_examples=20)
@given(st.floats(0.2, 5.0), st.integers(0, 255))
def test_a_gain_is_on_light(gain: float, code: int) -> None:
    codes = np.full((2, 2, 3), code, np.uint8)
    light = min(1.0, float(srgb_curve()[code]) * gain)
    exact = 255 * (12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055)
    for kind in ("colour", "grey"):
        seen = LivePicture(SIZE).as_seen(Frame(codes, 0, 0.0), LiveLook(kind, gain=gain))
        assert np.abs(seen.astype(float) - exact).max() <= (0.51 if kind == "colour" else 1.0)


def test_what_lies_outside_the_frame_is_neutral_grey(frame: Frame) -> None:
    corners = CORNERS - (200.0, 0.0)
    seen = LivePicture(SIZE).flat(frame, corners, k1=0.0, width_px=500, look=LiveLook())
    assert np.ptp(seen[100:150, :40]) == 0
    assert abs(float(munsell_value(np.array([srgb_curve()[seen[100, 0, 0]]]))[0]) - 5.0) < 0.03


def test_a_picture_seen_is_new_and_maps_follow_the_corners(frame: Frame) -> None:
    picture = LivePicture(SIZE)
    seen = picture.as_seen(frame, LiveLook())
    assert seen is not frame.codes
    assert np.array_equal(seen, frame.codes)
    first = picture.flat(frame, CORNERS, k1=0.02, width_px=300, look=LiveLook())
    again = picture.flat(frame, CORNERS, k1=0.02, width_px=300, look=LiveLook())
    assert np.array_equal(first, again)
    moved = picture.flat(frame, CORNERS + 5.0, k1=0.02, width_px=300, look=LiveLook())
    assert not np.array_equal(first, moved)
    assert np.array_equal(moved, LivePicture(SIZE).flat(frame, CORNERS + 5.0, k1=0.02, width_px=300, look=LiveLook()))


@pytest.mark.parametrize("gain", [0.4, 1.0, 2.3])
@pytest.mark.parametrize("as_value", [False, True])
def test_the_gain_that_matches_is_found_with_a_hand_in_the_picture(frame: Frame, gain: float, as_value: bool) -> None:
    codes = (frame.codes // 3 + 20).astype(np.uint8)
    light = linear_of_codes(codes, srgb_curve()) * np.float32(gain)
    live = codes.copy()
    live[200:, 400:] = (120, 60, 40)
    reference = munsell_value(light @ np.array([0.2126, 0.7152, 0.0722])).astype(np.float32) if as_value else light
    reference[:20] = np.nan
    assert matched_gain(live, reference) == pytest.approx(gain, rel=0.02)


def test_a_dark_picture_tells_no_gain() -> None:
    assert matched_gain(np.zeros((9, 9, 3), np.uint8), np.ones((5, 5, 3), np.float32)) == 1.0


def test_what_cannot_be_shown_is_told(frame: Frame) -> None:
    for wrong in ({"kind": "steps"}, {"boundaries": (4.0, 3.0)}, {"boundaries": (0.0,)}, {"boundaries": (np.nan,)},
                  {"squint_mm": -1.0}, {"gain": 0.0}, {"gain": np.nan}):  # fmt: skip
        with pytest.raises(ValuesError, match=r"\.$"):
            LiveLook(**wrong)
    with pytest.raises(CanvasError):
        LivePicture(SIZE).flat(frame, np.zeros((4, 2)), k1=0.0, width_px=300, look=LiveLook())
    with pytest.raises(CanvasError, match="narrower"):
        LivePicture(SIZE).flat(frame, CORNERS, k1=0.0, width_px=100_000, look=LiveLook())
