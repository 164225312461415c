import numpy as np
import pytest

from core.colorimetry import delta_e_2000
from core.paint import WAVELENGTHS
from core.paint.spectrum import at_wavelengths, lab, linear_rgb, xyz
from tests.published.libraries import colour

LIGHTS = ("D65", "D50")


def reflectances() -> np.ndarray:
    """The 24 patches of the colour chart as colour-science carries them (BabelColor's average)."""
    shape = colour.SpectralShape(380, 730, 10)
    chart = colour.SDS_COLOURCHECKERS["BabelColor Average"]
    return np.array([sd.copy().align(shape).values for sd in chart.values()])


@pytest.mark.parametrize("light", LIGHTS)
def test_colours_are_those_of_the_reference_library(light: str) -> None:
    """By its observer and lights, nanometre by nanometre; what lies past 730 nm is all the difference."""
    finely = colour.SpectralShape(380, 730, 1)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(finely)
    source = colour.SDS_ILLUMINANTS[light].copy().align(finely)
    for sd, ours in zip(colour.SDS_COLOURCHECKERS["BabelColor Average"].values(), reflectances(), strict=True):
        seen = observer.values * source.values[:, None]
        told = sd.copy().align(finely).values @ seen / seen[:, 1].sum()
        assert xyz(ours, light) == pytest.approx(told, abs=4e-4)


@pytest.mark.parametrize("light", LIGHTS)
def test_lab_is_that_of_the_reference_library(light: str) -> None:
    ours = lab(reflectances(), light)
    theirs = colour.XYZ_to_Lab(xyz(reflectances(), light), colour.XYZ_to_xy(xyz(np.ones(36), light)))
    assert np.abs(ours - theirs).max() < 1e-3


@pytest.mark.parametrize("light", LIGHTS)
def test_the_perfect_diffuser_is_white(light: str) -> None:
    assert lab(np.ones(36), light) == pytest.approx([100.0, 0.0, 0.0], abs=1e-9)
    assert xyz(np.ones(36), light)[1] == pytest.approx(1.0, abs=1e-8)
    told = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][light]
    assert colour.XYZ_to_xy(xyz(np.ones(36), light)) == pytest.approx(told, abs=2e-4)


def test_greys_are_neutral_on_the_screen() -> None:
    assert linear_rgb(0.3 * np.ones(36)) == pytest.approx([0.3, 0.3, 0.3], abs=1e-9)


def test_screen_colour_and_lab_say_the_same() -> None:
    from core.colorimetry import lab as lab_of_rgb

    assert delta_e_2000(lab_of_rgb(linear_rgb(reflectances())), lab(reflectances())).max() < 0.02


def test_between_wavelengths() -> None:
    nm = np.array([400.0, 450, 500, 600, 700])
    told = at_wavelengths(nm, [[0.1, 0.1, 0.5, 0.9, 0.9]])
    assert told.shape == (1, 36)
    assert (np.diff(told[0]) >= 0).all()
    assert told[0, [0, -1]] == pytest.approx([0.1, 0.9])
    assert told[0, WAVELENGTHS == 500] == pytest.approx(0.5)
    for wrong in ([400.0], [500.0, 400.0]):
        with pytest.raises(ValueError, match="rise"):
            at_wavelengths(wrong, [0.1] * len(wrong))


def test_a_reflectance_of_another_length() -> None:
    with pytest.raises(ValueError, match="36 wavelengths"):
        xyz(np.ones(31))
