import numpy as np
import pytest

from assets import make_earths
from core import colorimetry
from core.colorimetry import LUMINANCE, decode_srgb, munsell_value
from core.errors import ValuesError
from core.tone import grey_of_linear, value_of_linear
from core.value.underpainting import earth_named, earths, underpainting
from tests.published.libraries import colour, skimage
from tests.studio import references

# L*, a*, b* (D65, 2°) of the powders, as USGS Spectral Library 7 gives them through colour-science 0.4.7.
MASSTONES = {
    "raw umber": (18.1, 5.7, 11.5),
    "burnt umber": (13.0, 5.4, 9.9),
    "burnt sienna": (23.2, 19.5, 20.9),
    "yellow ochre": (46.8, 11.7, 37.7),
    "Venetian red": (28.1, 27.4, 20.4),
}
# K and S at 450, 550, 650 nm beside a white of S = 1: Okumura 2005 (thesis, Rochester Institute of Technology).
ACRYLICS = {
    "raw umber": ((0.817853, 0.739117, 0.733599), (0.053096, 0.048110, 0.047596)),
    "yellow ochre": ((0.469202, 0.064973, 0.022488), (0.129598, 0.165422, 0.157571)),
    "burnt sienna": ((0.512822, 0.357595, 0.058169), (0.033566, 0.047926, 0.080028)),
}
ACRYLIC_WHITE = np.array([0.000650, 0.000515, 0.000534])
AT = [int(np.argmin(np.abs(make_earths.SAMPLED - w))) for w in (450, 550, 650)]


@pytest.mark.parametrize("name", references.NAMES)
@pytest.mark.parametrize("earth", [earth.name for earth in earths()])
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


@pytest.mark.parametrize("name", MASSTONES)
def test_masstones_are_the_librarys(name: str) -> None:
    _, powder = make_earths.POWDERS[name]
    spectrum = np.interp(make_earths.SAMPLED, make_earths.WAVELENGTHS, np.array(powder) / 100)
    assert colorimetry.lab_from_xyz(make_earths.colours(spectrum[None])[0]) == pytest.approx(MASSTONES[name], abs=0.5)


def test_colours_are_integrated_as_colour_science_does() -> None:
    _, powder = make_earths.POWDERS["burnt sienna"]
    spectrum = np.interp(make_earths.SAMPLED, make_earths.WAVELENGTHS, np.array(powder) / 100)
    shape = colour.SpectralShape(380, 780, 5)
    theirs = colour.sd_to_XYZ(
        colour.SpectralDistribution(spectrum, make_earths.SAMPLED),
        cmfs=colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape),
        illuminant=colour.SDS_ILLUMINANTS["D65"].copy().align(shape),
        method="Integration",
    )
    assert make_earths.colours(spectrum[None])[0] == pytest.approx(theirs / 100, abs=2e-4)


def test_the_file_is_what_its_script_makes() -> None:
    for earth in earths()[:2]:
        made = make_earths.tint_row(make_earths.POWDERS[earth.name][1])
        assert earth.tints == pytest.approx(made, abs=1e-6)


def test_tints_are_nearer_to_measured_acrylics_than_straight_averages() -> None:
    ours, straight = (np.mean([_off(name, way) for name in ACRYLICS]) for way in (_mixed, _averaged))
    assert ours == pytest.approx(0.07, abs=0.02)
    assert straight == pytest.approx(0.12, abs=0.03)


def _off(name: str, way) -> float:  # type: ignore[no-untyped-def]
    """Mean error in reflectance at 450 and 650 nm over the tints that reflect 0.4 and 0.6 at 550."""
    k, s = np.array(ACRYLICS[name])
    share = np.linspace(0.0005, 1, 20_000)[:, None]
    theirs = make_earths.reflectance((share * k + (1 - share) * ACRYLIC_WHITE) / (share * s + 1 - share))
    mine = way(make_earths.POWDERS[name][1])
    rows = [[row[np.argmin(np.abs(row[:, 1] - level))] for row in (theirs, mine)] for level in (0.43, 0.6)]
    return float(np.mean([np.abs(a - b)[[0, 2]] for a, b in rows]))


def _mixed(powder: tuple[float, ...]) -> np.ndarray:
    return make_earths.tints(powder, np.geomspace(1e-6, 1e4, 4000))[:, AT]


def _averaged(powder: tuple[float, ...]) -> np.ndarray:
    earth = np.interp(make_earths.SAMPLED, make_earths.WAVELENGTHS, np.array(powder) / 100)[AT]
    share = np.linspace(0, 1, 20_000)[:, None]
    return share * earth + (1 - share) * np.array(make_earths.WHITE)


def test_raw_umber_unless_another_is_named() -> None:
    value = np.full((2, 2), 5.0)
    assert (underpainting(value) == underpainting(value, earth_named("Raw Umber"))).all()
    red, _, blue = underpainting(value)[0, 0].astype(int)
    assert red > blue + 20
    with pytest.raises(ValuesError, match="burnt sienna"):
        earth_named("sky blue")
