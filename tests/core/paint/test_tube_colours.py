"""The colours of the tubes and of their mixtures: what painters know of them (common practice, no source)."""

import numpy as np

from assets.make_tubes import LADDER_AT
from core.colorimetry import lightness, munsell_value
from core.paint import WAVELENGTHS, predict
from core.paint.spectrum import lab, xyz
from core.paint.tubes import tinting_strength, tubes

HERE = np.isin(WAVELENGTHS, LADDER_AT)
PAINTS = {name: tube.paint for name, tube in tubes().items()}
WHITE = "titanium white"
Floats = np.ndarray


def colour_of(**parts: float) -> Floats:
    return lab(predict(PAINTS, {name.replace("_", " "): part for name, part in parts.items()}))


def value_of(name: str, white: float = 0.0) -> float:
    return float(munsell_value(xyz(predict(PAINTS, {name: 1.0, WHITE: white} if white else {name: 1.0}))[1]))


def tint(name: str, white: float) -> Floats:
    return lab(predict(PAINTS, {name: 1.0, WHITE: white} if white else {name: 1.0}))


def hue(colour: Floats) -> float:
    return float(np.degrees(np.arctan2(colour[2], colour[1])) % 360)


def chroma(colour: Floats) -> float:
    return float(np.hypot(colour[1], colour[2]))


def test_values_of_masstones() -> None:
    assert value_of("ivory black") <= 2
    assert value_of("lamp black") <= 2
    assert value_of("Mars black") <= 2.6
    assert value_of(WHITE) >= 9.5
    for name, low, high in (
        ("yellow ochre", 5, 6.5), ("raw umber", 2, 3.2), ("burnt umber", 1.8, 2.8), ("burnt sienna", 2.5, 4),
        ("cadmium red", 3.6, 4.8), ("cadmium yellow medium", 7.3, 8.5), ("cadmium yellow light", 8, 9),
        ("ultramarine", 1.5, 2.8), ("phthalo blue", 1.4, 2.6), ("viridian", 2.3, 3.6), ("alizarin crimson", 2, 3.3),
        ("Naples yellow", 7.5, 8.8), ("cerulean blue", 4, 5.2), ("chromium oxide green", 3.8, 5),
    ):  # fmt: skip
        assert low < value_of(name) < high, name


def test_whites_opaque_and_clear() -> None:
    hiding = [float(PAINTS[name].s[HERE].mean()) for name in (WHITE, "zinc white", "lead white")]
    assert hiding[0] > 3 * max(hiding[1:])
    opaque = [float(tube.paint.s[HERE].mean()) for tube in tubes().values() if tube.opacity == "opaque"]
    clear = [float(tube.paint.s[HERE].mean()) for tube in tubes().values() if tube.opacity == "transparent"]
    assert min(opaque) > np.median(clear)
    assert np.median(opaque) > 2 * np.median(clear)


def test_black_and_white_is_a_cool_grey() -> None:
    for name in ("ivory black", "lamp black"):
        for white in (3, 10, 30):
            grey = tint(name, white)
            assert chroma(grey) < 5
            # The white itself is a little yellow; the grey is bluer than any earth's tint, and than the white.
            assert grey[2] < tint(WHITE, 0)[2]
            assert grey[2] < tint("yellow ochre", white)[2] - 8
    assert tint("ivory black", 10)[2] < 0
    assert tint("lamp black", 10)[2] < 0


def test_known_mixtures() -> None:
    dark = colour_of(ultramarine=1, burnt_sienna=1.3)
    assert dark[0] < 28
    assert chroma(dark) < 8
    assert chroma(colour_of(ultramarine=1, burnt_sienna=1.3, titanium_white=5)) < 10
    green = colour_of(ultramarine=1, cadmium_yellow_medium=1)
    assert 95 < hue(green) < 150
    assert chroma(green) < 0.5 * chroma(tint("cadmium yellow medium", 0))
    clean = colour_of(phthalo_blue=1, Hansa_yellow_light=5)
    assert 120 < hue(clean) < 170
    assert chroma(clean) > chroma(green)
    olive = colour_of(ivory_black=1, yellow_ochre=3)
    assert hue(olive) > hue(tint("yellow ochre", 0)) + 8
    assert olive[0] < 40
    assert olive[2] > 6
    assert 90 < hue(colour_of(ivory_black=1, cadmium_yellow_medium=3)) < 110
    violet = colour_of(quinacridone_rose=1, ultramarine=1, titanium_white=3)
    assert 300 < hue(violet) < 350
    orange = colour_of(cadmium_red=1, cadmium_yellow_medium=4)
    assert 45 < hue(orange) < 75
    assert chroma(orange) > 65


def test_red_tints_are_cooler() -> None:
    """Their hue turns away from yellow, and there is less warmth in them."""
    for name in ("cadmium red", "vermilion", "pyrrole red", "alizarin crimson", "quinacridone rose", "Venetian red"):
        masstone, pale = tint(name, 0), tint(name, 10)
        assert pale[2] < masstone[2]
        assert chroma(pale) < chroma(masstone)
        turned = (hue(pale) - hue(masstone) + 180) % 360 - 180
        assert turned < 4, name
    assert (hue(tint("alizarin crimson", 10)) + 180) % 360 < (hue(tint("cadmium red", 10)) + 180) % 360


def test_tinting_strengths_in_order() -> None:
    strength = {name: tinting_strength(tube) for name, tube in tubes().items()}
    assert strength["ultramarine"] == 1
    assert strength[WHITE] < 1e-9
    order = ["terre verte", "viridian", "ultramarine", "ivory black", "Mars black", "phthalo green", "phthalo blue"]
    assert [strength[name] for name in order] == sorted(strength[name] for name in order)
    assert strength["phthalo blue"] > 8
    assert strength["terre verte"] < 0.35
    assert strength["Prussian blue"] > 5
    assert strength["dioxazine violet"] > 8


def test_hues_of_the_circle() -> None:
    """CIELAB hue of the tints with 3 parts of white, in degrees."""
    for name, low, high in (
        ("cadmium yellow light", 92, 108), ("Hansa yellow light", 95, 110), ("cadmium yellow medium", 80, 95),
        ("cadmium orange", 40, 65), ("cadmium red", 20, 40), ("quinacridone rose", 345, 365),
        ("dioxazine violet", 290, 315), ("ultramarine", 272, 292), ("cobalt blue", 255, 280),
        ("cerulean blue", 240, 268), ("phthalo blue", 245, 268), ("Prussian blue", 250, 275),
        ("phthalo green", 175, 200), ("viridian", 165, 195), ("chromium oxide green", 120, 145),
        ("terre verte", 140, 180), ("yellow ochre", 70, 88), ("burnt sienna", 40, 62), ("Venetian red", 28, 45),
    ):  # fmt: skip
        assert low <= (hue(tint(name, 3)) + (360 if high > 360 and hue(tint(name, 3)) < 90 else 0)) <= high, name


def test_lightness_of_tints_rises_with_white() -> None:
    for name in tubes():
        values = [float(lightness(xyz(predict(PAINTS, {name: 1, WHITE: w}))[1])) for w in (1, 3, 10, 30)]
        assert values == sorted(values)
