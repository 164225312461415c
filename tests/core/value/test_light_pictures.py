"""The light drawn and put into words."""

import cv2
import numpy as np
import pytest

from core.colorimetry import LUMINANCE, decode_srgb, luminance_of_value, munsell_value
from core.value.light import LightCorrection, correct_light
from core.value.light_pictures import CONTOUR_STEPS, contour_figures, field_scale, light_pictures
from tests.core.value.lit_scene import scene
from tests.studio.lamps import KINDS


def correction(log_light: np.ndarray, *, known: bool = True) -> LightCorrection:
    gain = np.exp(-log_light).astype(np.float32)
    return LightCorrection(gain, "blank", 0.1, np.full(gain.shape[:2], 0.1, np.float32), "", (), known)


def across(log_range: float) -> np.ndarray:
    return np.repeat(np.tile(np.linspace(-0.5, 0.5, 40) * log_range, (30, 1))[..., None], 3, axis=2)


def test_even_neutral_light() -> None:
    found = light_pictures(correction(np.full((30, 40, 3), np.log(0.5))), (400, 300))
    assert found.exposure_stops == pytest.approx(-1.0, abs=1e-4)
    assert np.ptp(found.balance) == 0
    assert found.field.shape == (300, 400, 3)
    assert np.ptp(found.field) <= 1
    assert found.words[0] == "White was exposed 1.0 stop under the camera's full range."
    assert "neutral" in found.words[1]
    assert "even" in found.words[2]


def test_the_field_is_in_steps_of_a_middle_grey_with_a_line_at_each_quarter() -> None:
    found = light_pictures(correction(across(np.log(2.0))), (800, 600))
    to_the_edge = 0.5 * np.log(2) * 40 / 39  # the outermost cells' middles lie half a cell in from it
    expected = munsell_value(luminance_of_value(5.0) * np.exp([-to_the_edge, to_the_edge])) - 5.0
    assert found.reach_steps == pytest.approx(tuple(expected), abs=0.01)
    lines = int(np.floor(expected[1] / CONTOUR_STEPS) - np.ceil(expected[0] / CONTOUR_STEPS)) + 1
    row = found.field[300, :, 0].astype(int)
    ink = np.abs(np.diff(row)) > 12
    starts = np.flatnonzero(ink & ~np.concatenate([[False], ink[:-1]]))
    apart = np.split(starts, np.flatnonzero(np.diff(starts) > 8) + 1)
    assert len(apart) == lines
    assert (found.field[..., 0] == found.field[..., 2]).all()
    assert "at the right" in found.words[2]
    assert f"{np.ptp(expected):.1f} steps" in found.words[2]


def test_the_greys_stand_for_true_steps() -> None:
    found = light_pictures(correction(across(0.8)), (800, 600))
    shown = munsell_value(decode_srgb(np.median(found.field[:, :, 0], axis=0) / 255))
    difference = shown - found.field_steps[300]
    plain = np.abs(difference - np.median(difference)) < 0.05
    assert plain.mean() > 0.8


@pytest.mark.parametrize(
    ("tint", "said", "warm"),
    [
        ((1.2, 1.0, 0.75), "very warm", True),
        ((0.9, 1.0, 1.15), "cool", False),
        ((1.05, 1.0, 0.95), "touch warm", True),
    ],
)
def test_the_balance_in_words(tint: tuple[float, float, float], said: str, warm: bool) -> None:
    found = light_pictures(correction(np.log(np.full((30, 40, 3), tint))), (80, 60))
    assert said in found.balance_words
    assert (found.warmth > 0) is warm
    assert ("warmer" if warm else "cooler") in found.balance_words
    assert bool(found.balance[0] > found.balance[2]) is warm


def test_a_level_matched_to_the_reference_is_said() -> None:
    found = light_pictures(correction(np.zeros((30, 40, 3)), known=False), (80, 60))
    assert found.words[0].endswith("as light as the reference.")


TRUE_STEPS = 0.08
"""The field shown lies within this many steps of the light that truly fell, everywhere on the canvas."""


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("with_blank", [False, True])
def test_the_field_of_a_photographed_canvas_is_the_light_that_fell_on_it(kind: str, with_blank: bool) -> None:
    shot = scene(kind=kind)
    blank = scene(kind=kind, bare=0.85).canvas if with_blank else None
    found = light_pictures(correct_light(shot.canvas, shot.reference, blank=blank), (400, 300))
    brightness = np.log(np.exp(shot.true_log) @ LUMINANCE)
    true = munsell_value(luminance_of_value(5.0) * np.exp(brightness - brightness.mean())) - 5.0
    shown = cv2.resize(found.field_steps, true.shape[1::-1], interpolation=cv2.INTER_AREA)
    np.testing.assert_allclose(shown, true, rtol=0, atol=TRUE_STEPS, equal_nan=False)
    assert found.exposure_stops == pytest.approx(brightness.mean() / np.log(2), abs=0.03)
    assert found.reach_steps == pytest.approx((true.min(), true.max()), abs=TRUE_STEPS + 0.05)


def test_lines_run_straight_to_the_canvas_edge() -> None:
    """Light that falls off evenly has straight lines of equal light, at the edges as in the middle."""
    found = light_pictures(correction(across(np.log(3.0))), (800, 600))
    slope = np.diff(found.field_steps[300])
    assert slope[:10] == pytest.approx(np.full(10, slope[20]), rel=0.15)
    assert slope[-10:] == pytest.approx(np.full(10, slope[-20]), rel=0.15)


def test_figures_stand_on_their_lines_and_keep_apart() -> None:
    y, x = np.mgrid[0:300, 0:400].astype(np.float32)
    steps = (np.hypot(x - 150, y - 120) / 150 - 0.8).astype(np.float32)
    figures = contour_figures(steps)
    assert {"+0.5", "0", "−0.5"} <= {each.words for each in figures}
    for each in figures:
        there = steps[int(each.y * 300), int(each.x * 400)]
        assert there == pytest.approx(each.steps, abs=2 / 150)
        assert min(each.x * 400, 400 - each.x * 400, each.y * 300, 300 - each.y * 300) >= 0.07 * 400
    places = np.array([(each.x * 400, each.y * 300) for each in figures])
    gaps = [np.hypot(*(a - b)) for n, a in enumerate(places) for b in places[:n]]
    assert min(gaps) >= 0.14 * 400


def test_an_even_light_has_neither_lines_nor_figures() -> None:
    found = light_pictures(correction(across(0.05)), (400, 300))
    assert np.ptp(found.reach_steps) < CONTOUR_STEPS
    assert contour_figures(found.field_steps) == ()
    assert np.abs(np.diff(found.field[150, :, 0].astype(int))).max() <= 1


def test_the_scale_has_the_greys_of_the_field() -> None:
    found = light_pictures(correction(across(np.log(2.0))), (800, 600))
    scale = field_scale(found.reach_steps, (800, 20))
    at = np.linspace(20, 780, 60).astype(int)
    expected = found.reach_steps[0] + np.ptp(found.reach_steps) * (at + 0.5) / 800
    nearest = np.abs(found.field_steps[300][None] - expected[:, None]).argmin(axis=1)
    off = np.abs(scale[10, at, 0].astype(int) - found.field[300, nearest, 0])
    assert np.median(off) <= 1
