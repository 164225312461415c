from dataclasses import replace

import cv2
import numpy as np
import pytest

from core.canvas.flat import Flat
from core.colorimetry import LUMINANCE, luminance_of_value, munsell_value
from core.tone import value_of_linear
from core.value.compare import compare_values
from core.value.light import LightCorrection, correct_light
from core.value.light_fit import Sample, legendre_terms, robust_field
from core.value.light_grid import value_per_log
from tests.core.value.cases import Case
from tests.core.value.conftest import FAULTS
from tests.measure.value import covered, light_error

BLANK_BAR, FIT_BAR = 0.06, 0.09
"""Mean error in steps. The agreed bars are 0.25 (level included) and 0.5 (level taken out); 26 cases at 12 megapixels
gave 0.018 and 0.026, at worst 0.024 and 0.042, so anything near the agreed bars is a fault."""

CASES = ["photographed", "near_lamp", "right"]


@pytest.fixture(params=CASES)
def case(request: pytest.FixtureRequest) -> Case:
    found: Case = request.getfixturevalue(request.param)
    return found


def known(case: Case) -> np.ndarray:
    """Glare as the truth has it, on the pixels of the flats."""
    shape = case.canvas.linear.shape[1::-1]
    return cv2.resize((case.glare_light > 0.003).astype(np.uint8), shape, interpolation=cv2.INTER_NEAREST) > 0


def by_blank(case: Case, blank: Flat | None = None, **options: object) -> LightCorrection:
    return correct_light(
        case.canvas, case.moved, blank=blank or case.blank, withheld=known(case), **options  # type: ignore[arg-type]
    )  # fmt: skip


def mean_error(case: Case, light: LightCorrection, *, level: bool) -> float:
    error = light_error(case, light)
    return float(np.nanmean(np.abs(error if level else error - np.nanmedian(error))))


def test_with_a_blank_values_are_right_in_themselves(case: Case) -> None:
    light = by_blank(case)
    assert light.source == "blank"
    assert mean_error(case, light, level=True) < BLANK_BAR
    assert light.notes == ()
    assert "blank" in light.level_note


def test_by_fit_values_are_right_among_themselves(case: Case) -> None:
    light = correct_light(case.canvas, case.moved, withheld=known(case))
    assert light.source == "fit"
    assert mean_error(case, light, level=False) < FIT_BAR
    assert "would not show" in light.level_note
    assert light.level_note in light.notes


def test_fit_without_known_drift(case: Case) -> None:
    light = correct_light(case.canvas, case.reference, withheld=known(case))
    assert mean_error(case, light, level=False) < FIT_BAR + 0.02


def test_white_balance_is_taken_out(case: Case) -> None:
    """The neutral part of the field: what the camera's cast and light did to each channel."""
    light = correct_light(case.canvas, case.moved, withheld=known(case))
    cast = np.array(case.camera.white_balance)
    found = 1 / light.gain.reshape(-1, 3).mean(axis=0)
    assert found / found[1] == pytest.approx(cast / cast[1], abs=0.03)


@pytest.mark.parametrize("source", ["blank", "fit"])
def test_stated_uncertainty_is_honest(source: str, photographed: Case, near_lamp: Case, right: Case) -> None:
    """80 to 97 % of all places lie within it; 26 cases at 12 megapixels gave 0.97 and 0.95."""
    one, place = [], []
    for case in (photographed, near_lamp, right):
        light = by_blank(case) if source == "blank" else correct_light(case.canvas, case.moved, withheld=known(case))
        shares = covered(light, light_error(case, light))
        one.append(shares[0])
        place.append(shares[1])
    assert 0.80 <= np.mean(one) <= 0.985
    assert 0.80 <= np.mean(place) <= 0.985


def test_a_darker_exposure_of_the_blank_is_noticed(photographed: Case) -> None:
    darker = replace(photographed.blank, linear=photographed.blank.linear * np.float32(0.5))
    light = by_blank(photographed, darker)
    assert light.source == "blank"
    assert any("exposed differently" in note for note in light.notes)
    assert "matched to the reference" in light.level_note
    assert mean_error(photographed, light, level=True) < BLANK_BAR + 0.03


def test_a_painting_too_dark_as_a_whole_is_seen_against_a_blank(photographed: Case) -> None:
    """All paint reflects 0.82 of what it should, on a ground that is known well: no exposure explains that away."""
    dark = replace(photographed, canvas=replace(photographed.canvas, linear=photographed.canvas.linear * 0.82))
    light = by_blank(dark, reflectance=(0.87, 0.89))
    assert light.source == "blank"
    expected = munsell_value(0.82 * luminance_of_value(photographed.true_value)) - photographed.true_value
    assert np.nanmedian(light_error(dark, light)) == pytest.approx(np.median(expected), abs=0.05)
    assert "darker as a whole" in light.level_note
    assert light.uncertainty_steps > 0.3  # it might be the exposure after all


def test_the_level_stays_within_what_the_ground_can_reflect(photographed: Case) -> None:
    """With an exactly known ground the level is the blank's own."""
    exact = by_blank(photographed, reflectance=(0.88, 0.88))
    wrong = by_blank(photographed, reflectance=(0.80, 0.80))
    ratio = (exact.gain / wrong.gain).mean()
    assert ratio == pytest.approx(0.88 / 0.80, rel=1e-3)


def test_a_blank_in_other_light_is_noticed(photographed: Case) -> None:
    w = photographed.blank.linear.shape[1]
    other = photographed.blank.linear * np.linspace(0.6, 1.1, w, dtype=np.float32)[None, :, None]
    light = by_blank(photographed, replace(photographed.blank, linear=other))
    assert light.source == "fit"
    assert any("not photographed in the same light" in note for note in light.notes)
    assert mean_error(photographed, light, level=False) < FIT_BAR


def test_a_blank_from_another_place_is_noticed(photographed: Case) -> None:
    """A strip of wall 15 mm wide has come into view."""
    shifted = np.roll(photographed.blank.linear, 30, axis=1)
    shifted[:, :30] = (0.25, 0.22, 0.20)
    light = by_blank(photographed, replace(photographed.blank, linear=shifted))
    assert any("another view" in note for note in light.notes)
    assert mean_error(photographed, light, level=True) < BLANK_BAR + 0.05


def test_a_hard_shadow_on_both_photos_goes_with_the_blank(right: Case) -> None:
    shadow = np.ones((1, right.canvas.linear.shape[1]), np.float32)
    shadow[:, 200:330] = 0.6
    shadow = cv2.GaussianBlur(shadow, (0, 0), 6)[..., None]
    both = replace(right, canvas=replace(right.canvas, linear=right.canvas.linear * shadow))
    light = by_blank(both, replace(right.blank, linear=right.blank.linear * shadow))
    assert light.source == "blank"
    assert light.notes == ()
    assert mean_error(both, light, level=True) < BLANK_BAR


def test_a_burnt_out_blank_is_filled_or_refused(photographed: Case) -> None:
    some = replace(photographed.blank, linear=np.minimum(photographed.blank.linear * 1.3, 1.0))
    share = float((some.linear.max(axis=2) >= 0.985).mean())
    assert 0.1 < share < 0.6, share
    light = by_blank(photographed, some)
    assert mean_error(photographed, light, level=False) < FIT_BAR
    all_of_it = replace(photographed.blank, linear=np.ones_like(photographed.blank.linear))
    light = by_blank(photographed, all_of_it)
    assert light.source == "fit"
    assert any("burnt out" in note for note in light.notes)


def test_contrast_that_may_be_the_cameras_is_told(right: Case) -> None:
    """An S-shaped tone curve of strength 0.3: the error stays below a quarter of a step, and is owned up to."""
    plain = correct_light(right.canvas, right.moved)
    codes = right.canvas.linear ** (1 / 2.2)
    curved = (codes + 0.3 * (codes * codes * (3 - 2 * codes) - codes)) ** 2.2
    toned = replace(right, canvas=replace(right.canvas, linear=curved.astype(np.float32)))
    light = correct_light(toned.canvas, right.moved)
    assert mean_error(toned, light, level=False) < 0.25
    assert light.uncertainty_steps > 1.5 * plain.uncertainty_steps
    weak = munsell_value(right.canvas.linear @ LUMINANCE)
    gain = luminance_of_value(5 + 0.8 * (weak - 5)) / np.maximum(right.canvas.linear @ LUMINANCE, 1e-6)
    flatter = replace(right.canvas, linear=(right.canvas.linear * gain[..., None]).astype(np.float32))
    flat = correct_light(flatter, right.moved)
    assert flat.contrast_left < -0.04
    assert abs(plain.contrast_left) < 0.015
    assert light.contrast_left > plain.contrast_left + 0.01


def test_the_contrast_is_said_once(right: Case) -> None:
    """The light keeps its number; the one sentence is that of the relations."""
    luminance = right.canvas.linear @ LUMINANCE
    value = munsell_value(luminance)
    gain = luminance_of_value(value + 0.2 * (value - 5.5)) / np.maximum(luminance, 1e-6)
    strong = replace(right.canvas, linear=(right.canvas.linear * gain[..., None]).astype(np.float32))
    light = correct_light(strong, right.moved)
    assert not any("contrast" in note for note in light.notes)
    wanted, painted = value_of_linear(right.moved.linear), value_of_linear(light.apply(strong.linear))
    found = compare_values(
        wanted, painted, px_per_mm=strong.px_per_mm, uncertainty_steps=light.uncertainty_steps, level_known=False
    ).relations
    said = [*light.notes, found.say(), found.contrast_doubt(light.contrast_left)]
    assert sum("contrast" in sentence for sentence in said) == 1
    assert "contrast" in found.say()


def test_a_large_passage_does_not_bend_the_light() -> None:
    """A fifth of the canvas 1.5 steps too dark; fitted to the ratio alone it would pull the light with it."""
    h, w = 30, 40
    y, x = np.mgrid[0:h, 0:w]
    light = 0.35 * (x / w - 0.5) - 0.25 * (y / h - 0.5)
    passage = np.hypot((x - 13) / 11, (y - 11) / 7) < 1
    assert 0.19 < passage.mean() < 0.22
    noise = np.random.default_rng(2).normal(0, 0.02, (h, w))
    slope = np.full((h, w), float(value_per_log(np.array(0.2))))
    sample = Sample(light - 1.5 * passage / slope + noise, slope, np.ones((h, w)))
    field = robust_field(sample)
    assert np.abs((field.log - light - np.median(field.log - light)) * slope).mean() < 0.05
    assert field.believed[passage].max() < 0.05
    terms, _ = legendre_terms((h, w), 3)
    plain = terms @ np.linalg.lstsq(terms.reshape(h * w, -1), sample.ratio.ravel(), rcond=None)[0]
    assert np.abs((plain - light) * slope).mean() > 0.25


def test_value_per_log_is_the_slope_of_astm_d1535() -> None:
    y = np.array([0.01, 0.05, 0.18, 0.5, 0.9])
    small = 1e-5
    slope = (munsell_value(y * np.exp(small)) - munsell_value(y * np.exp(-small))) / (2 * small)
    assert value_per_log(y) == pytest.approx(slope, rel=1e-4)


def test_apply_multiplies_by_the_field(right: Case) -> None:
    light = correct_light(right.canvas, right.moved)
    lit = light.apply(right.canvas.linear)
    assert lit.shape == right.canvas.linear.shape
    assert lit.dtype == np.float32
    h, w = light.gain.shape[:2]
    assert light.uncertainty_map.shape == (h, w)
    at = (lit.shape[0] // 2, lit.shape[1] // 2)
    assert lit[at] / right.canvas.linear[at] == pytest.approx(light.gain[h // 2, w // 2], rel=0.03)


def test_nothing_to_judge_is_said(right: Case) -> None:
    light = correct_light(right.canvas, right.moved, withheld=np.ones(right.canvas.linear.shape[:2], bool))
    assert any("Too little" in note for note in light.notes)
    assert light.uncertainty_steps >= 2
    assert np.isfinite(light.gain).all()


def test_faults_of_the_cases_are_what_the_bar_asks_for() -> None:
    assert 0.11 < sum(f.area_cm2 for f in FAULTS) / 1200 < 0.13
    assert {abs(f.steps) >= 0.7 for f in FAULTS} == {True}
