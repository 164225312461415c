"""Colour charts drawn from colour-science's published values, photographed and found again."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from core.colorimetry import LUMINANCE, luminance_of_lightness
from core.errors import ValuesError
from core.photo import Photo
from core.value.light import correct_light
from core.value.light_chart import NEUTRALS, REFLECTANCE, Chart, chart_anchor, find_chart
from tests.core.value.lit_scene import CAMERA, SIZE, Scene, of_pixels, scene
from tests.studio.colour_chart import HEIGHT_MM, WIDTH_MM, drawn_chart, published_reflectance
from tests.studio.lamps import Lying

CORNERS = np.array([[200, 120], [507, 147], [497, 347], [193, 333]], dtype=np.float32)
BALANCE = np.array(CAMERA.white_balance)


def rendered(
    *, corners: np.ndarray = CORNERS, light: np.ndarray | float = 1.0, tone: float = 0.0, exposure: float = 0.75
) -> Photo:
    """The chart on a mid grey wall, in perspective; ``light`` falls on all of it, ``(600, 800)``."""
    chart, wall = drawn_chart(), np.full((600, 800, 3), 0.3, np.float32)
    h, w = chart.shape[:2]
    lies = cv2.getPerspectiveTransform(np.float32([[0, 0], [w, 0], [w, h], [0, h]]), corners.astype(np.float32))
    laid = cv2.warpPerspective(chart, lies, (800, 600), flags=cv2.INTER_AREA)
    cover = cv2.warpPerspective(np.ones((h, w), np.float32), lies, (800, 600))[..., None]
    picture = (wall * (1 - cover) + laid * cover) * np.broadcast_to(np.asarray(light), (600, 800))[..., None]
    return of_pixels(picture, replace(CAMERA, vignetting=0.0, tone_contrast=tone, exposure=exposure))


def found(photo: Photo) -> Chart:
    chart = find_chart(photo)
    assert chart is not None
    return chart


def test_the_published_values_are_colour_sciences() -> None:
    """colour-science, 'ColorChecker24 - After November 2014', Bradford to D65; L* of the neutrals under D50."""
    assert pytest.approx(published_reflectance(), abs=1e-5) == REFLECTANCE
    lightness = [95.19, 81.29, 66.89, 50.76, 35.63, 20.64]
    assert REFLECTANCE[NEUTRALS] @ LUMINANCE == pytest.approx(luminance_of_lightness(lightness), rel=0.01)


@pytest.mark.parametrize("turns", [0, 1, 2])
def test_a_chart_is_found_however_it_is_held(turns: int) -> None:
    upright = rendered()
    chart = found(replace(upright, codes=np.ascontiguousarray(np.rot90(upright.codes, turns))))
    assert chart.problem == ""
    assert chart.notes == ()
    assert chart.log_light == pytest.approx(np.log(0.75 * BALANCE), abs=0.02)
    assert np.abs(chart.neutral_steps).max() < 0.08
    assert chart.colour_difference < 1.5
    assert 0.01 < chart.sigma < 0.03
    if turns == 0:
        assert chart.outline_px[0] == pytest.approx(CORNERS[0], abs=10)
        assert chart.patches_px[0][0] < chart.patches_px[5][0]


def test_light_that_falls_off_across_it_is_measured_at_its_middle() -> None:
    x = np.linspace(0, 1, 800)[None, :] * np.ones((600, 1))
    light = np.exp(0.45 * (x - 0.44))
    chart = found(rendered(light=light))
    at = chart.patches_px.mean(axis=0)
    expected = np.log(0.75 * BALANCE * np.exp(0.45 * (at[0] / 800 - 0.44)))
    assert chart.problem == ""
    assert chart.log_light == pytest.approx(expected, abs=0.025)


def test_a_shadow_on_part_of_it_is_noticed() -> None:
    light = np.ones((600, 800))
    light[:, 373:] = 0.5
    chart = found(rendered(light=cv2.GaussianBlur(light, (0, 0), 4)))
    assert "shadow or glare" in chart.problem
    with pytest.raises(ValuesError, match="shadow or glare"):
        chart_anchor(chart, rendered(), scene().fix, SIZE)


def test_a_burnt_out_chart_is_refused_and_a_burnt_out_white_patch_is_told() -> None:
    assert "burnt out" in found(rendered(exposure=3.4)).problem
    some = found(rendered(exposure=1.1))
    assert some.problem == ""
    assert any("white patch" in note for note in some.notes)
    assert some.log_light == pytest.approx(np.log(1.1 * BALANCE), abs=0.03)


def test_the_cameras_tone_curve_is_told_in_steps() -> None:
    """An S-shaped curve of strength 0.4 makes lights lighter and darks darker."""
    chart = found(rendered(tone=0.4))
    assert chart.problem == ""
    assert chart.neutral_steps[1] - chart.neutral_steps[-2] > 0.3
    assert any("contrast is stronger" in note for note in chart.notes)


@pytest.mark.parametrize("columns", [212, 260])
def test_a_chart_that_is_cut_off_is_told(columns: int) -> None:
    """A corner of a patch, then all but a strip of the first column of patches, lies outside the photo."""
    whole = rendered()
    chart = found(Photo(np.ascontiguousarray(whole.codes[:, columns:]), whole.curve))
    assert "runs out of the photo" in chart.problem
    assert np.isnan(chart.log_light).all()


def test_no_chart_is_no_answer() -> None:
    assert find_chart(scene().photo) is None


@pytest.fixture(scope="module")
def beside() -> Scene:
    camera = replace(CAMERA, corners=((150, 210), (695, 225), (688, 640), (142, 628)))
    return scene((Lying(212, 30, WIDTH_MM, HEIGHT_MM, drawn_chart(), 4.0),), camera=camera)


def test_a_chart_beside_the_canvas_gives_level_and_white_balance(beside: Scene) -> None:
    chart = found(beside.photo)
    fitted = correct_light(beside.canvas, beside.reference)
    anchor = chart_anchor(chart, beside.photo, beside.fix, SIZE, light=fitted)
    assert (anchor.x_mm, anchor.y_mm) == pytest.approx((212 + WIDTH_MM / 2, 30 + HEIGHT_MM / 2), abs=1.5)
    light = correct_light(beside.canvas, beside.reference, anchors=(anchor,))
    error = (-np.log(light.gain.astype(np.float64)) - beside.true_log).reshape(-1, 3).mean(axis=0)
    # It lies a third of the canvas's width away: the light there has to be carried on, and this is said.
    assert error == pytest.approx(np.zeros(3), abs=0.1)
    assert np.abs(error).max() < light.uncertainty_steps / 1.645  # 2 steps for a natural logarithm, nine in ten
    assert light.uncertainty_steps > 1.5 * fitted.uncertainty_steps
    assert "colour chart" in light.level_note


def test_a_chart_wholly_in_shadow_is_refused(beside: Scene) -> None:
    shaded = (drawn_chart() * np.float32(0.45)).astype(np.float32)
    camera = replace(CAMERA, corners=((150, 210), (695, 225), (688, 640), (142, 628)))
    dark = scene((Lying(212, 30, WIDTH_MM, HEIGHT_MM, shaded),), camera=camera)
    fitted = correct_light(dark.canvas, dark.reference)
    with pytest.raises(ValuesError, match="shadow"):
        chart_anchor(found(dark.photo), dark.photo, dark.fix, SIZE, light=fitted)
