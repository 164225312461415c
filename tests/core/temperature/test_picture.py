import numpy as np
import pytest

from core.colorimetry import decode_srgb, delta_e_2000, lab
from core.temperature.picture import (
    COLOURS,
    LIGHT_FAMILY,
    SHADOW_FAMILY,
    families_picture,
    lean_picture,
    legend,
    warmth_picture,
)
from core.temperature.warmth import WarmthWords, lab_map
from tests.core.temperature import scenes
from tests.published.libraries import colour

COOL, SAME, WARM, WITHHELD = COLOURS[:3], COLOURS[3], COLOURS[4:7], COLOURS[7]
LEAST_APART = 10.0


def seen_by(kind: str | None) -> np.ndarray:
    """CIELAB of the seven stops to eyes of that kind: Machado, Oliveira and Fernandes 2009, severity 1."""
    light = decode_srgb(np.array(COLOURS[:7]) / 255)
    if kind is not None:
        light = np.clip(light @ np.asarray(colour.blindness.CVD_MATRICES_MACHADO2010[kind][1.0]).T, 0, 1)
    return lab(light)


@pytest.mark.parametrize("kind", [None, "Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_eyes_of_every_kind_tell_the_stops_apart(kind: str | None) -> None:
    """The nearest two are CIEDE2000 15.0 apart, 14.0 to protanopes, 14.4 to deuteranopes, 13.1 to tritanopes."""
    stops = seen_by(kind)
    apart = [float(delta_e_2000(stops[i], stops[j])) for i in range(7) for j in range(i)]
    assert min(apart) > LEAST_APART
    assert min(float(delta_e_2000(stops[i], stops[i + 1])) for i in range(6)) > LEAST_APART


def test_both_sides_are_as_light() -> None:
    lightness = seen_by(None)[:, 0]
    assert np.abs(lightness[:3] - lightness[:3:-1]).max() < 1
    assert (np.diff(lightness[:4]) > 8).all()
    assert np.abs(seen_by(None)[3, 1:]).max() < 0.01


def test_each_band_has_the_colour_of_its_word() -> None:
    told = np.array([[-20, -10, -7, -5, -3, -1.9, 0, 1.9, 2.1, 4.9, 5.1, 9.9, 10.1, 30, np.nan]], np.float32)
    shown = warmth_picture(told)
    expected = [
        COOL[0],
        COOL[0],
        COOL[1],
        COOL[1],
        COOL[2],
        *[SAME] * 3,
        WARM[0],
        WARM[0],
        WARM[1],
        WARM[1],
        WARM[2],
        WARM[2],
    ]
    assert [tuple(c) for c in shown[0, :14].tolist()] == expected
    assert tuple(shown[0, 14].tolist()) in (WITHHELD, SAME)
    assert shown.dtype == np.uint8


def test_the_undecided_is_grey() -> None:
    told = np.array([[4.0, 4.0, -12.0]], np.float32)
    assert tuple(warmth_picture(told, uncertainty=6.0)[0, 0]) == SAME
    place_by_place = warmth_picture(told, uncertainty=np.array([[6.0, 1.0, 13.0]]))[0]
    assert [tuple(c) for c in place_by_place.tolist()] == [SAME, WARM[0], SAME]


def test_strength_draws_the_bands_nearer_but_nothing_out_of_the_grey() -> None:
    told = np.array([[1.9, 3.6, 6.5, -3.6]], np.float32)
    assert [tuple(c) for c in warmth_picture(told, strength=2.0)[0].tolist()] == [SAME, WARM[1], WARM[2], COOL[1]]
    assert [tuple(c) for c in warmth_picture(told, strength=0.5)[0].tolist()] == [SAME, SAME, WARM[0], SAME]
    with pytest.raises(ValueError, match="strength"):
        warmth_picture(told, strength=0)


@pytest.mark.parametrize("strength", [0.5, 1.0, 2.0])
def test_the_legend_is_what_the_picture_does(strength: float) -> None:
    words = WarmthWords(1, 4, 9)
    entries = legend(strength, words)
    assert len(entries) == 8
    for label, rgb, (low, high) in entries[:7]:
        middle = np.clip((np.clip(low, -50, 50) + np.clip(high, -50, 50)) / 2, -50, 50)
        shown = warmth_picture(np.full((1, 1), middle, np.float32), strength=strength, words=words)
        assert tuple(shown[0, 0].tolist()) == rgb, label
    assert [e[2][1] for e in entries[:6]] == [e[2][0] for e in entries[1:7]]
    assert "cooler" in entries[0][0]
    assert "warmer" in entries[6][0]
    assert "withheld" in entries[7][0]


def near_whites() -> np.ndarray:
    """Three near-whites that lean warm, not at all, and cool, a near-black, and a strong colour."""
    told = np.array([3.0, 0.0, -3.0, -3.0, 45.0]).repeat(30)[None, :].repeat(40, axis=0)
    lightness = np.array([88.0, 88.0, 88.0, 25.0, 55.0]).repeat(30)[None, :].repeat(40, axis=0)
    return scenes.of_warmth(lightness, told)


def test_near_whites_show_which_way_they_lean() -> None:
    linear = near_whites()
    shown = lab(decode_srgb(lean_picture(linear, factor=5.0) / 255))[20, 15::30]
    mean = (3.0 - 3.0 - 3.0) / 4
    told = scenes.warmth_of_lab(shown)
    for k, was in enumerate((3.0, 0.0, -3.0)):
        assert told[k] == pytest.approx(mean + 5 * (was - mean), abs=1.0)
    before = lab_map(linear)[20, 15::30]
    assert np.abs(shown[:, 0] - before[:, 0]).max() < 1.0
    assert float(delta_e_2000(shown[4], before[4])) < 0.6
    assert told[4] == pytest.approx(45, abs=1)


def test_all_colours_may_be_drawn_apart_and_lightness_stays() -> None:
    for picture in scenes.photographs().values():
        shown = lab_map(decode_srgb(lean_picture(picture, factor=3.0, below_chroma=None) / 255).astype(np.float32))
        before = lab_map(picture)
        assert np.abs(shown[..., 0] - before[..., 0]).max() < 2.5
        assert np.hypot(shown[..., 1], shown[..., 2]).mean() > 1.05 * np.hypot(before[..., 1], before[..., 2]).mean()


def test_a_factor_of_one_changes_nothing() -> None:
    linear = near_whites()
    shown = decode_srgb(lean_picture(linear, factor=1.0) / 255)
    assert np.abs(lab(shown) - lab_map(linear)).max() < 1.0


def test_a_picture_without_near_neutrals_is_left() -> None:
    strong = scenes.of_warmth(np.full((10, 10), 55.0), np.full((10, 10), 50.0))
    assert float(delta_e_2000(lab(decode_srgb(lean_picture(strong)[0, 0] / 255)), lab(strong[0, 0]))) < 0.6
    for wrong in ({"factor": 0.0}, {"below_chroma": 0.0}):
        with pytest.raises(ValueError, match="above 0"):
            lean_picture(strong, **wrong)


def test_the_families_are_two_greys_and_the_unknown_is_crosshatched() -> None:
    light = np.zeros((60, 80), bool)
    light[:, :40] = True
    seen = np.ones_like(light)
    seen[40:, :] = False
    shown = families_picture(light, seen)
    assert (shown[:40, :40] == LIGHT_FAMILY).all()
    assert (shown[:40, 40:] == SHADOW_FAMILY).all()
    assert {int(code) for code in np.unique(shown[40:])} == {WITHHELD[0], SAME[0]}
