import numpy as np
import pytest

from assets import make_earths, make_tubes
from assets.tube_figures import COLOURS
from assets.tube_powders import AT, POWDERS
from core.colorimetry import LUMINANCE, decode_srgb, delta_e_2000, lab, munsell_value
from core.errors import ValuesError
from core.paint import WAVELENGTHS, ks, predict, reflectance
from core.paint.spectrum import lab as lab_of_spectrum
from core.paint.spectrum import xyz
from core.paint.tubes import tubes
from core.tone import grey_of_linear, value_of_linear
from core.value.underpainting import earth_named, earths, underpainting
from tests.published.libraries import skimage
from tests.published.paints import OKUMURA_2005, ZINC_WHITE_07A
from tests.studio import references

THREE = (450, 550, 650)
ACRYLICS = ("raw umber", "yellow ochre", "burnt sienna")
NAMES = [earth.name for earth in earths()]


@pytest.mark.parametrize("name", references.NAMES)
@pytest.mark.parametrize("earth", NAMES)
def test_the_value_of_every_place_is_kept(name: str, earth: str) -> None:
    linear = references.linear(np.ascontiguousarray(getattr(skimage.data, name)()[::3, ::3, :3]))
    painted = underpainting(value_of_linear(linear), earth_named(earth))
    there = munsell_value(decode_srgb(painted / 255) @ LUMINANCE)
    grey = munsell_value(decode_srgb(grey_of_linear(linear) / 255))
    assert np.abs(there - value_of_linear(linear)).max() <= 0.06
    assert np.abs(there - grey).max() <= 0.1


def test_every_value_of_the_scale_is_kept() -> None:
    scale = np.linspace(0, 10, 20_001, dtype=np.float32)[None]
    for earth in earths():
        there = munsell_value(decode_srgb(underpainting(scale, earth) / 255) @ LUMINANCE)
        assert np.abs(there - scale).max() <= 0.06


@pytest.mark.parametrize("earth", NAMES)
@pytest.mark.parametrize("white", [0.0, 1.0, 3.0, 10.0])
def test_at_its_value_each_mixture_of_the_tube_has_its_own_colour(earth: str, white: float) -> None:
    """Within 1 CIEDE2000 of what the tube with that much white is; whole codes cost that in the dark."""
    paints = {name: tubes()[name].paint for name in (earth, "titanium white")}
    mixed = predict(paints, {earth: 1.0, "titanium white": white})
    value = float(munsell_value(xyz(mixed)[1]))
    painted = decode_srgb(underpainting(np.array([[value]]), earth_named(earth))[0, 0] / 255)
    assert delta_e_2000(lab(painted), lab_of_spectrum(mixed)) < 1.0


def test_below_the_masstone_the_hue_stays() -> None:
    for earth in earths():
        masstone = float(munsell_value(xyz(predict({"e": tubes()[earth.name].paint}, {"e": 1}))[1]))
        below = (earth.values > 0) & (earth.values < np.floor(masstone * 10) / 10)
        share = earth.tints[below] / earth.tints[below].sum(axis=1, keepdims=True)
        assert np.ptp(share, axis=0).max() < 0.005


@pytest.mark.parametrize("name", NAMES)
def test_the_file_is_what_its_script_makes(name: str) -> None:
    assert earth_named(name).tints == pytest.approx(make_earths.tint_row(name), abs=1e-6)
    assert earth_named(name).pigment == tubes()[name].pigments[0]


def test_tints_are_nearer_to_measured_acrylics_than_the_other_ways() -> None:
    ways = (_mixed, _by_the_model_alone, _in_one_constant, _averaged)
    off = [np.mean([_off(name, way(name)) for name in ACRYLICS]) for way in ways]
    assert off == pytest.approx([0.021, 0.043, 0.069, 0.104], abs=0.002)


def _off(name: str, mine: np.ndarray) -> float:
    """Mean error in reflectance at 450 and 650 nm over the tints that reflect 0.43 and 0.6 at 550; all within the
    paint."""
    (k, s), (white, _) = (np.array(OKUMURA_2005[each]) for each in (name, "titanium white"))
    share = np.linspace(0.0005, 1, 20_000)[:, None]
    theirs = reflectance(share * k + (1 - share) * white, share * s + 1 - share)
    rows = [[row[np.argmin(np.abs(row[:, 1] - level))] for row in (theirs, mine)] for level in (0.43, 0.6)]
    return float(np.mean([np.abs(a - b)[[0, 2]] for a, b in rows]))


def _mixed(name: str) -> np.ndarray:
    return make_earths.within(name, np.linspace(0, 1, 20_000))[:, np.isin(WAVELENGTHS, THREE)]


def _by_the_model_alone(name: str) -> np.ndarray:
    k, s = make_tubes.modelled(next(made for made in COLOURS if made.name == name))
    white, share = tubes()["titanium white"].paint, np.linspace(0, 1, 20_000)[:, None]
    mixed = reflectance(share * k + (1 - share) * white.k, share * s + (1 - share) * white.s)
    return mixed[:, np.isin(WAVELENGTHS, THREE)]


def _powder(name: str) -> np.ndarray:
    return np.interp(THREE, AT, np.array(POWDERS[name]) / 100)


def _in_one_constant(name: str) -> np.ndarray:
    more = np.geomspace(1e-6, 1e4, 4000)[:, None]
    return reflectance(ks(ZINC_WHITE_07A) + more * ks(_powder(name)), 1.0)


def _averaged(name: str) -> np.ndarray:
    share = np.linspace(0, 1, 20_000)[:, None]
    return share * _powder(name) + (1 - share) * np.array(ZINC_WHITE_07A)


def test_raw_umber_unless_another_is_named() -> None:
    value = np.full((2, 2), 5.0)
    assert (underpainting(value) == underpainting(value, earth_named("Raw Umber"))).all()
    red, _, blue = underpainting(value)[0, 0].astype(int)
    assert red > blue + 20
    with pytest.raises(ValuesError, match="burnt sienna"):
        earth_named("sky blue")
