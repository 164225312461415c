"""The light drawn and put into words."""

import numpy as np
import pytest

from core.colorimetry import decode_srgb, luminance_of_value, munsell_value
from core.value.light import LightCorrection
from core.value.light_pictures import CONTOUR_STEPS, light_pictures


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
    expected = munsell_value(luminance_of_value(5.0) * np.exp([-0.5 * np.log(2), 0.5 * np.log(2)])) - 5.0
    assert found.reach_steps == pytest.approx(tuple(expected), abs=0.04)
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
