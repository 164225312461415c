import numpy as np
import pytest

from core.colorimetry import LUMINANCE, lab, warmth_of_lab, xyz
from core.errors import PainterError
from core.temperature.neutral import (
    BY_LIGHT,
    UNBALANCED,
    Balance,
    Source,
    balance_by_neutral,
    colour_temperature,
    daylight_xy,
    of_chromaticity,
)
from core.temperature.warmth import warmth
from tests.core.temperature import scenes
from tests.published import warmth as published


@pytest.mark.parametrize("name", published.ILLUMINANTS)
def test_the_published_illuminants(name: str) -> None:
    (x, y), (mccamy, ohno, duv) = published.ILLUMINANTS[name]
    told = of_chromaticity(x, y)
    assert told.mccamy_kelvin == pytest.approx(mccamy, abs=0.01)
    assert told.kelvin == pytest.approx(ohno, abs=0.01)
    assert told.duv == pytest.approx(duv, abs=1e-6)


def test_the_documented_example() -> None:
    (u, v), (kelvin, duv) = published.OHNO_EXAMPLE
    whole = 2 * u - 8 * v + 4
    told = of_chromaticity(3 * u / whole, 2 * v / whole)
    assert told.kelvin == pytest.approx(kelvin, abs=0.01)
    assert told.duv == pytest.approx(duv, abs=1e-6)


def test_daylight_is_that_of_the_standard() -> None:
    from tests.published.libraries import colour

    assert daylight_xy(5000) == pytest.approx(published.DAYLIGHT_5000, abs=1e-6)
    for kelvin in (4000, 5700, 6500, 7000, 7001, 10000, 25000):
        assert daylight_xy(kelvin) == pytest.approx(colour.temperature.CCT_to_xy_CIE_D(kelvin), abs=1e-9)
    with pytest.raises(ValueError, match="4000 to 25000"):
        daylight_xy(3000)


def test_a_neutral_in_lamplight_tells_its_kelvin() -> None:
    """D65 is the white of linear light, so that a grey lit by 3000 K and balanced to D65 reads 3000 K."""
    for kelvin in (2700, 3000, 4500, 6500, 9000):
        told = colour_temperature(0.4 * scenes.planck_rgb(kelvin))
        assert told.kelvin == pytest.approx(kelvin, rel=1e-3)
        assert abs(told.duv) < 1e-4
    assert colour_temperature(0.2 * scenes.planck_rgb(3000)).say() == "3000 K"
    assert "greenish" in colour_temperature([0.3, 0.4, 0.3]).say()
    assert "pinkish" in colour_temperature([0.4, 0.3, 0.36]).say()


def test_what_is_no_light_of_a_lamp_has_no_kelvin() -> None:
    told = colour_temperature([0.1, 0.8, 0.1])
    assert told.kelvin is None
    assert told.mccamy_kelvin is None
    assert "too far" in told.say()
    with pytest.raises(ValueError, match="black"):
        colour_temperature([0, 0, 0])


@pytest.mark.parametrize("kelvin", [3000, 5000, 9000])
def test_a_clicked_grey_takes_the_cast_out(kelvin: int) -> None:
    picture = scenes.photographs()["astronaut"] * 0.5
    picture[20:60, 20:60] = 0.35
    cast = (picture * scenes.planck_rgb(kelvin) / scenes.planck_rgb(6500)).astype(np.float32)
    balance = balance_by_neutral(cast, 20, 20, px_per_mm=2.0)
    assert balance.source is Source.GREY
    assert balance.absolute
    assert balance.note == ""
    balanced = balance.apply(cast)
    assert np.abs(lab(balanced[40, 40])[1:]).max() < 0.1
    assert (balanced[40, 40] @ LUMINANCE) == pytest.approx(cast[40, 40] @ LUMINANCE, rel=1e-3)
    bright = picture.max(axis=2) > 0.05
    off = np.abs(warmth(balanced * (0.35 / balanced[40, 40])) - warmth(picture))[bright]
    assert off.max() < 0.05


def test_what_is_no_neutral_is_refused_in_a_sentence() -> None:
    picture = np.full((80, 80, 3), 0.4, np.float32)
    for light, said in (
        ((1.0, 1.0, 1.0), "burnt out"),
        ((0.01, 0.01, 0.01), "too dark"),
        ((0.7, 0.1, 0.02), "coloured"),
    ):
        picture[:] = light
        with pytest.raises(PainterError, match=said):
            balance_by_neutral(picture, 20, 20, px_per_mm=2.0)
    with pytest.raises(PainterError, match="cannot be read"):
        balance_by_neutral(picture, 90, 20, px_per_mm=2.0)


def test_without_a_balance_only_relations_are_told() -> None:
    assert not UNBALANCED.absolute
    assert "only relations" in UNBALANCED.note
    assert BY_LIGHT.absolute


@pytest.mark.parametrize("way", [-1, 1])
def test_the_doubt_covers_a_balance_that_is_off(way: int) -> None:
    """Against T itself under 800 K of error: the shift of single colours, and of differences of all lightnesses."""
    rng = np.random.default_rng(4)
    of = [light(6504 + way * 800) / light(6504) for light in (scenes.daylight_rgb, scenes.planck_rgb)]
    for _ in range(100):
        one, other = 0.05 + 0.75 * rng.random((2, 3)) ** 2
        gains = of[int(rng.integers(2))]
        moved = [warmth_of_lab(lab(light * gains)) - warmth_of_lab(lab(light)) for light in (one, other)]
        assert abs(moved[0]) <= UNBALANCED.doubt(one) * 1.1 + 0.3
        assert abs(moved[0] - moved[1]) <= UNBALANCED.doubt(one, other) * 1.1 + 0.3
    assert UNBALANCED.doubt([1, 1, 1]) == pytest.approx(6.9, abs=0.1)
    assert UNBALANCED.doubt([0.2] * 3, [0.2] * 3) == 0
    assert UNBALANCED.doubt([0.9] * 3, [0.05] * 3) > 3
    assert Balance(kelvin=100).doubt([1, 1, 1]) < 1
    assert xyz([1, 1, 1])[1] == pytest.approx(1)
