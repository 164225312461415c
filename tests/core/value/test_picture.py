from itertools import pairwise

import numpy as np
import pytest

from core.colorimetry import decode_srgb, delta_e_2000, lab, lightness, luminance
from core.value.picture import COLOURS, difference_picture, legend
from tests.published.libraries import colour, warnings

CLEARLY_APART = 10.0  # CIEDE2000; 2.3 is a just noticeable difference side by side
SIGHTS = (None, "Protanomaly", "Deuteranomaly", "Tritanomaly")
MIDDLES = (-3.0, -1.5, -0.75, 0.0, 0.75, 1.5, 3.0, np.nan)


def seen(sight: str | None) -> np.ndarray:
    """The colours as linear light, for the strongest form of each deficiency: Machado, Oliveira and Fernandes 2009,
    A physiologically-based model for simulation of color vision deficiency, IEEE TVCG 15(6)."""
    linear = decode_srgb(np.array(COLOURS) / 255)
    if sight is None:
        return linear
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        matrix = colour.blindness.matrix_cvd_Machado2009(sight, 1.0)
    return np.clip(linear @ matrix.T, 0, 1)


@pytest.mark.parametrize("sight", SIGHTS)
def test_signs_are_far_apart_for_every_sight(sight: str | None) -> None:
    colours = lab(seen(sight))
    for k in range(3):
        assert delta_e_2000(colours[k], colours[6 - k]) > 35
        assert min(delta_e_2000(colours[k], colours[3]), delta_e_2000(colours[6 - k], colours[3])) > 7
    assert delta_e_2000(colours[2], colours[4]) > 35  # the two nearest to right


@pytest.mark.parametrize("sight", SIGHTS)
def test_neighbouring_bands_are_told_apart(sight: str | None) -> None:
    colours = lab(seen(sight))
    apart = delta_e_2000(colours[:-1], colours[1:])
    # Right and a little too light are nearest for tritan sight, where the hatching tells them apart.
    assert apart.min() > (7 if sight == "Tritanomaly" else CLEARLY_APART)


@pytest.mark.parametrize("sight", SIGHTS)
def test_too_light_is_lighter_so_that_it_reads_in_grey(sight: str | None) -> None:
    grey = lightness(luminance(seen(sight)))[:7]
    assert (np.diff(grey) > 5).all()


def test_right_is_neutral() -> None:
    assert len(set(COLOURS[3])) == 1


def test_every_band_shows_its_legend_colour() -> None:
    for middle, (label, rgb, (low, high)) in zip(MIDDLES, legend(0.5), strict=True):
        picture = difference_picture(np.full((60, 90), middle), tolerance=0.5)
        plain = (picture == np.array(rgb)).all(axis=2).mean()
        assert plain > 0.6, label
        assert np.isnan(middle) or low < middle <= high or (middle == 0 and low < 0 < high)
    assert [rgb for _, rgb, _ in legend()] == list(COLOURS)


def test_legend_says_the_limits() -> None:
    labels = [label for label, _, _ in legend(0.5)]
    assert labels[0] == "more than 2 steps too dark"
    assert labels[3] == "right, within 0.5 step"
    assert labels[4] == "0.5 to 1 step too light"
    limits = [limits for _, _, limits in legend(0.4)[:7]]
    assert all(a[1] == b[0] for a, b in pairwise(limits))


def test_limits_follow_the_tolerance() -> None:
    assert (difference_picture(np.full((8, 8), 0.7), tolerance=0.8) == COLOURS[3]).all()
    assert not (difference_picture(np.full((8, 8), 0.9), tolerance=0.8) == COLOURS[3]).any()


def test_hatching_leans_with_the_sign_and_lies_closer_when_worse() -> None:
    def lines(middle: float) -> np.ndarray:
        picture = difference_picture(np.full((120, 120), middle))
        base = COLOURS[MIDDLES.index(middle)]
        return (picture != np.array(base)).any(axis=2)

    dark, light = lines(-0.75), lines(0.75)
    assert (dark[1:, 1:] == dark[:-1, :-1]).all()  # falling to the right
    assert (light[1:, :-1] == light[:-1, 1:]).all()  # rising to the right
    assert not (light[1:, 1:] == light[:-1, :-1]).all()
    for sign in (-1, 1):
        assert lines(sign * 3.0).mean() > lines(sign * 1.5).mean() > lines(sign * 0.75).mean() > 0
    assert not lines(0.0).any()


def test_bad_tolerance_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        difference_picture(np.zeros((2, 2)), tolerance=0)
