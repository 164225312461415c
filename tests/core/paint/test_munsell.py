import re

import numpy as np
import pytest

from core.colorimetry import delta_e_2000, lab_from_xyz, luminance_of_value
from core.paint.munsell import OUTSIDE, Munsell, munsell_of_xyy, notation, xyy_under_c
from tests.published.libraries import colour
from tests.published.paints import USGS_LAB

FAMILIES = ("R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP")
# Numbers of the families in colour-science's specifications.
CODES = {1: "B", 2: "BG", 3: "G", 4: "GY", 5: "Y", 6: "YR", 7: "R", 8: "RP", 9: "P", 10: "PB"}
UNLIKE = {("10Y", 4.0, 2.0), ("2.5R", 9.0, 2.0)}
"""Where two of colour-science's tables of the renotation are a digit apart."""
# Worked outside the project by colour-science from spectra under C itself: pigments of the USGS library.
USGS_MUNSELL = {
    "yellow ochre": "9.5YR 4.6/6.1",
    "raw sienna": "8.0YR 4.3/5.3",
    "burnt sienna": "3.6YR 2.3/5.0",
    "raw umber": "8.9YR 1.8/2.0",
    "burnt umber": "8.9YR 1.3/1.6",
    "Venetian red": "0.2YR 2.8/6.2",
    "cadmium red": "7.9R 2.5/10.2",
    "cadmium yellow medium": "1.5Y 6.8/14.5",
    "alizarin crimson": "5.5R 2.2/8.4",
    "ultramarine": "7.0PB 2.0/14.5",
    "cobalt blue": "5.5PB 3.2/10.5",
    "cerulean blue": "3.0PB 3.7/8.3",
    "viridian": "1.1BG 3.4/7.2",
}


def parts(told: str) -> tuple[float, float, float]:
    number, family, value, chroma = re.fullmatch(r"([\d.]+)([A-Z]+) ([\d.]+)/([\d.]+)", told).groups()  # type: ignore[union-attr]
    return 10 * FAMILIES.index(family) + float(number), float(value), float(chroma)


def turn(one: float, other: float) -> float:
    return abs((one - other + 50) % 100 - 50)


def test_a_published_colour() -> None:
    assert str(munsell_of_xyy((0.387369, 0.357517, 0.593620))) == "4.2YR 8.1/5.3"


def test_every_real_colour_of_the_renotation_is_found_again() -> None:
    """Their luminance by ASTM D1535: the table's is against magnesium oxide."""
    table = colour.MUNSELL_COLOURS["Munsell Colours Real"]
    for (hue, value, chroma), (x, y, _) in table[::3]:
        if (hue, value, chroma) in UNLIKE:
            continue
        number = float(re.match(r"[\d.]+", hue)[0])  # type: ignore[index]
        told = munsell_of_xyy((x, y, float(luminance_of_value(value))))
        assert str(told) == f"{number:.1f}{hue.lstrip('0123456789.')} {value:.1f}/{chroma:.1f}"


def test_between_the_colours_of_the_renotation() -> None:
    """What colour-science says of a notation, which goes from value to value in the same way."""
    random, seen = np.random.default_rng(2), 0
    while seen < 60:
        code, hue, value, chroma = random.integers(1, 11), *random.uniform((0, 1, 1), (10, 9, 8))
        try:
            xyy = colour.notation.munsell.munsell_specification_to_xyY([hue, value, chroma, code])
        except (ValueError, AssertionError):
            continue
        found = munsell_of_xyy(xyy)
        if found is None:
            continue
        seen += 1
        assert turn(found.hue, 10 * FAMILIES.index(CODES[int(code)]) + hue) < 0.4
        assert found.value == pytest.approx(value, abs=1e-4)
        assert found.chroma == pytest.approx(chroma, abs=0.3)


@pytest.mark.parametrize("name", USGS_MUNSELL)
def test_pigments_from_their_colour_under_d65(name: str) -> None:
    hue, value, chroma = parts(notation(USGS_LAB[name]))
    known_hue, known_value, known_chroma = parts(USGS_MUNSELL[name])
    assert turn(hue, known_hue) <= 0.5
    assert value == pytest.approx(known_value, abs=0.11)
    assert chroma == pytest.approx(known_chroma, abs=0.35)


def test_adaptation_is_bradfords() -> None:
    light = (0.3127, 0.3290), (0.31006, 0.31616)
    for told in ((50.0, 30.0, -20.0), (80.0, -10.0, 60.0)):
        xyz = colour.Lab_to_XYZ(told, light[0])
        whites = [colour.xy_to_XYZ(each) for each in light]
        other = colour.adaptation.chromatic_adaptation_VonKries(xyz, *whites, transform="Bradford")
        ours = lab_from_xyz(colour.xyY_to_XYZ(xyy_under_c(told)), whites[1])
        assert delta_e_2000(ours, lab_from_xyz(other, whites[1])) == pytest.approx(0, abs=0.02)


@pytest.mark.parametrize(
    ("told", "written"),
    [
        ((50.0, 0.0, 0.0), "N 4.9"),
        ((100.0, 0.0, 0.0), "N 10.0"),
        ((1.0, 0.0, 0.0), "N 0.1"),
        ((0.0, 0.0, 0.0), "N 0.0"),
    ],
)
def test_neutrals(told: tuple, written: str) -> None:
    assert notation(told) == written


def test_what_lies_outside_is_said() -> None:
    assert notation((29.5, 46.0, -110.0)) == f"value 2.9, {OUTSIDE}"
    assert notation((1.3, 4.0, 4.0)) == f"value 0.1, {OUTSIDE}"
    assert notation((1.0, 0.5, 0.3)) == "N 0.1"
    assert munsell_of_xyy((0.7, 0.29, 0.4)) is None


def test_a_black_of_the_tube_is_still_told() -> None:
    """Bone black of the USGS library: the renotation goes on below value 1."""
    hue, value, chroma = parts(notation(USGS_LAB["bone black"]))
    assert value == pytest.approx(0.6, abs=0.05)
    assert chroma < 0.6
    assert 10 < hue < 30


@pytest.mark.parametrize(
    ("told", "written"),
    [
        (Munsell(15.0, 5.0, 6.0), "5.0YR 5.0/6.0"),
        (Munsell(10.0, 5.0, 6.0), "10.0R 5.0/6.0"),
        (Munsell(99.98, 5.0, 6.0), "10.0RP 5.0/6.0"),
        (Munsell(0.04, 5.0, 6.0), "10.0RP 5.0/6.0"),
        (Munsell(0.1, 5.0, 6.0), "0.1R 5.0/6.0"),
        (Munsell(40.0, 6.25, 0.01), "N 6.2"),
    ],
)
def test_how_it_is_written(told: Munsell, written: str) -> None:
    assert str(told) == written
