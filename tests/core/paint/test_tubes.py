"""The tubes: what is said of each, what it is made from, and the model beside published paints."""

from collections.abc import Callable

import numpy as np
import pytest

from assets import make_tubes
from assets.make_tubes import LADDER_AT, contrast, of_powder, of_white, scaled, scattering, titanium_k, zinc_white
from assets.tube_figures import COLOURS, WHITES, Colour, Organic
from assets.tube_powders import AT, POWDERS
from core.colorimetry import munsell_value
from core.errors import PaintError
from core.paint import WAVELENGTHS, Paint, mixture, predict, reflectance, saunderson
from core.paint.spectrum import at_wavelengths, lab, xyz
from core.paint.tubes import DRYING, OPACITIES, UnknownTubeError, as_told, tube_named, tube_of, tubes
from tests.published.paints import (
    CARDS_07A,
    OKUMURA_2005,
    SCATTERING_2018,
    ULTRAMARINE_11,
    USGS_LAB,
    ZINC_WHITE_07A,
    ZINC_WHITE_07A_OVER_BLACK,
)

HERE = np.isin(WAVELENGTHS, LADDER_AT)
PAINTS = {name: tube.paint for name, tube in tubes().items()}
WHITE = "titanium white"
Floats = np.ndarray
Way = Callable[[str, float, float], tuple[Floats, Floats]]


def value_of(name: str) -> float:
    return float(munsell_value(xyz(predict(PAINTS, {name: 1.0}))[1]))


def hue(colour: Floats) -> float:
    return float(np.degrees(np.arctan2(colour[2], colour[1])) % 360)


def apart(one: float, other: float) -> float:
    return abs((one - other + 180) % 360 - 180)


def test_the_file_is_what_its_script_makes() -> None:
    for made in (*WHITES, *COLOURS):
        row, tube = make_tubes.row(made), tubes()[made.name]
        assert tube.paint.k == pytest.approx(np.array(row["k"]), rel=2e-4)
        assert tube.paint.s == pytest.approx(np.array(row["s"]), rel=2e-4)
        assert (tube.basis, tube.cautions, dict(tube.sources)) == (row["basis"], tuple(row["cautions"]), row["sources"])
    assert list(tubes()) == [made.name for made in (*WHITES, *COLOURS)]


def test_every_tube_says_what_it_is() -> None:
    assert len(tubes()) >= 30
    assert (tubes()[WHITE].paint.s == 1).all()
    for tube in tubes().values():
        assert tube.opacity in OPACITIES
        assert tube.drying in DRYING
        assert tube.lightfastness in ("I", "II", "III", "not rated")
        assert all(each.endswith(".") for each in tube.cautions)
        assert "safety data sheet" in " ".join(tube.cautions)
        assert set(tube.sources) >= {"opacity", "drying", "lightfastness", "cautions"}
        assert tube.white or {"strength"} <= set(tube.sources)
        assert "approximat" in tube.basis.casefold()
        assert all(code[:2] in ("PW", "PY", "PO", "PR", "PV", "PB", "PG") for code in tube.pigments)
        assert len(tube.paint.k) == len(WAVELENGTHS)
        assert not tube.own
    assert [name for name, tube in tubes().items() if tube.white] == [white.name for white in WHITES]
    assert [name for name, tube in tubes().items() if tube.black] == ["ivory black", "lamp black", "Mars black"]


@pytest.mark.parametrize(
    ("pigment", "word"),
    [("PW1", "lead"), ("PY35", "cadmium"), ("PO20", "cadmium"), ("PR108", "cadmium"), ("PB28", "cobalt"),
     ("PB35", "cobalt"), ("PV14", "cobalt"), ("PY41", "antimony"), ("PR106", "mercury"), ("PG18", "chromium"),
     ("PG17", "chromium"), ("PV16", "manganese")],
)  # fmt: skip
def test_what_is_poisonous_is_said(pigment: str, word: str) -> None:
    found = [tube for tube in tubes().values() if pigment in tube.pigments]
    assert found
    assert all(word in " ".join(tube.cautions).casefold() for tube in found)


def test_found_by_name_and_by_pigment() -> None:
    assert tube_named(" Yellow OCHRE ").name == "yellow ochre"
    assert tube_named("pb29").name == "ultramarine"
    several = r"Four tubes are PBr7: raw sienna, raw umber, burnt umber, burnt sienna\. Name one\."
    with pytest.raises(PaintError, match=several):
        tube_named(" pbr7")
    with pytest.raises(PaintError, match=r"Three tubes are PR101: .*Venetian red.*Name one\."):
        tube_named("PR101")
    with pytest.raises(PaintError, match="sky paint"):
        tube_named("sky paint")


@pytest.mark.parametrize(
    ("name", "near"),
    [("yelow ocher", "yellow ochre"), ("umber", "raw umber, burnt umber"), ("vermillion", "vermilion")],
)
def test_an_unknown_name_is_answered_with_the_nearest_ones(name: str, near: str) -> None:
    with pytest.raises(UnknownTubeError) as raised:
        tube_named(name)
    said = str(raised.value)
    assert near in said
    assert sum(known in said for known in tubes()) <= 4


def test_written_down_and_read_back() -> None:
    for tube in tubes().values():
        back = tube_of(as_told(tube))
        assert (back.paint.k == tube.paint.k).all()
        assert (back.paint.k1 == tube.paint.k1).all()
        assert as_told(back) == as_told(tube)
    with pytest.raises(ValueError, match="WAVELENGTHS"):
        as_told(
            tube_of(as_told(tubes()[WHITE])).__class__(**{**vars(tubes()[WHITE]), "paint": Paint.of([1], [1], [500])})
        )


@pytest.mark.parametrize("name", USGS_LAB)
def test_powders_are_the_librarys(name: str) -> None:
    """L*, a*, b* of the rows at 14 wavelengths, beside those of the whole spectra."""
    told = lab(at_wavelengths(AT, np.array(POWDERS[name]) / 100))
    assert np.abs(told - USGS_LAB[name]).max() < 2.2


OF_POWDER = {
    each.name: each.powder
    for each in COLOURS
    if isinstance(each, Colour) and each.powder in USGS_LAB and not (each.shift or each.black)
}


@pytest.mark.parametrize(("name", "powder"), OF_POWDER.items())
def test_masstones_in_oil_have_the_hue_of_the_powder(name: str, powder: str) -> None:
    assert apart(hue(lab(predict(PAINTS, {name: 1.0}))), hue(np.array(USGS_LAB[powder]))) < 10


def test_whites() -> None:
    """Masstone of Okumura's titanium white; S of zinc and lead white beside each other as in the pairs over black and
    white (Geldof and others 2018), within 5 %."""
    k, s = (np.array(each) for each in OKUMURA_2005[WHITE])
    assert predict(PAINTS, {WHITE: 1})[HERE] == pytest.approx(saunderson(reflectance(k, s), 0.02, 0.6), abs=1e-4)
    told = np.array(SCATTERING_2018["lead white"]) / np.array(SCATTERING_2018["zinc white"])
    assert PAINTS["lead white"].s[HERE] / PAINTS["zinc white"].s[HERE] == pytest.approx(told, rel=0.05)
    assert min(value_of(name) for name in (WHITE, "zinc white", "lead white")) > 9.4


def test_zinc_white_over_black_and_over_white() -> None:
    """Drawdown 07A, with S times thickness as of the same data."""
    zinc = Paint.of(PAINTS["zinc white"].k[HERE], PAINTS["zinc white"].s[HERE], LADDER_AT, k1=0.02)
    thick = np.array(SCATTERING_2018["zinc white"]) / zinc.s
    for card, measured in (("black", ZINC_WHITE_07A_OVER_BLACK), ("white", ZINC_WHITE_07A)):
        films = [mixture({"zinc": zinc}, {"zinc": 1}).over(np.array(CARDS_07A[card]), float(x)) for x in thick]
        assert np.diagonal(films) == pytest.approx(measured, abs=0.006)


def test_ultramarine_in_oil() -> None:
    """Predicted from the tubes as stored: 11A, 11B and 11C of Geldof and others 2018."""
    zinc, blue = (
        Paint.of(PAINTS[n].k[HERE], PAINTS[n].s[HERE], LADDER_AT, k1=0.02) for n in ("zinc white", "ultramarine")
    )
    error = {
        share: predict({"z": zinc, "u": blue}, {"u": share, "z": 1 - share}) - np.array(told)
        for share, told in ULTRAMARINE_11.items()
    }
    assert np.abs(error[1.0]).max() < 0.004
    assert np.abs(error[0.107]).max() < 0.051
    assert np.abs(error[0.107][1:]).max() < 0.013
    assert np.abs(error[0.51]).max() < 0.018


def test_the_ladder_foretold_from_two_of_its_rungs() -> None:
    k, s = make_tubes.ladder((1.0, 0.107))
    half = saunderson(reflectance(0.51 * k + 0.49 * zinc_white(), 0.51 * s + 0.49), 0.02, 0.6)
    error = half - np.array(ULTRAMARINE_11[0.51])
    assert error[0] == pytest.approx(-0.074, abs=0.005)
    assert np.abs(error[1:]).max() < 0.016


def ours(exponent: float = 0.2) -> Way:
    def made(row: str, index: float, strength: float) -> tuple[Floats, Floats]:
        q = of_powder(row, index, exponent=exponent)
        return scaled(q * scattering(q), scattering(q), strength, 450)

    return made


def level(row: str, index: float, strength: float) -> tuple[Floats, Floats]:
    q = of_powder(row, index)
    return scaled(q, np.ones_like(q), strength, 450)


def by_contrast(row: str, index: float, strength: float) -> tuple[Floats, Floats]:
    s = np.full(len(WAVELENGTHS), contrast(index, make_tubes.OIL) / contrast(2.7, make_tubes.OIL))
    q, white, at = of_powder(row, index), titanium_k(), WAVELENGTHS == 450
    return float(((strength * (s + 10) - 10 * white)[at] / q[at])[0]) * q, s


def error_beside_okumura(way: Way) -> dict[str, float]:
    """Mean error in reflectance over the masstone and 1:1, 1:3 and 1:10 with white."""
    white, errors = np.array(OKUMURA_2005[WHITE][0]), {}
    for name, index in (("yellow ochre", 2.0), ("burnt sienna", 2.2), ("raw umber", 2.0)):
        k, s = (np.array(each) for each in OKUMURA_2005[name])
        made_k, made_s = (each[HERE] for each in way(name, index, float((k[0] + 10 * white[0]) / (s[0] + 10))))
        rows = [
            saunderson(reflectance(each_k + d * white, each_s + d), 0.02, 0.6)
            for each_k, each_s in ((k, s), (made_k, made_s))
            for d in (0, 1, 3, 10)
        ]
        errors[name] = float(np.mean(np.abs(np.array(rows[:4]) - np.array(rows[4:]))))
    return errors


def test_the_model_is_nearer_to_measured_acrylics_than_the_other_ways() -> None:
    own = error_beside_okumura(ours())
    assert own == pytest.approx({"yellow ochre": 0.026, "burnt sienna": 0.011, "raw umber": 0.048}, abs=0.001)
    means = [float(np.mean(list(error_beside_okumura(way).values()))) for way in (ours(), level, by_contrast)]
    assert means == pytest.approx([0.028, 0.035, 0.061], abs=0.001)


def test_measured_scattering_falls_as_the_model_says() -> None:
    def off(shadow: float) -> float:
        rows = [
            np.log(np.array(s) * (1 + shadow * np.sqrt(np.array(k) / np.array(s)))) for k, s in OKUMURA_2005.values()
        ]
        return float(np.sqrt(np.mean([(row - row.mean()) ** 2 for row in rows[1:]])))

    assert [off(0.5), off(0.0)] == pytest.approx([0.085, 0.22], abs=0.004)


@pytest.mark.parametrize(("exponent", "told"), [(0.0, 0.028), (0.2, 0.018), (0.35, 0.035), (0.5, 0.049)])
def test_the_model_beside_the_ladder_in_oil(exponent: float, told: float) -> None:
    from scipy.optimize import brentq

    zinc_k, zinc_s = zinc_white(), of_white(WHITES[1])[1][HERE]
    q = of_powder("ultramarine", 1.5, exponent=exponent)
    s = scattering(q)[HERE] / zinc_s
    k = q[HERE] * s

    def mixed(share: float, more: float) -> Floats:
        return saunderson(reflectance(share * more * k + (1 - share) * zinc_k, share * more * s + 1 - share), 0.02, 0.6)

    more = float(np.exp(brentq(lambda x: mixed(0.107, np.exp(x))[1] - ULTRAMARINE_11[0.107][1], -12, 12)))
    errors = [mixed(share, more) - np.array(each) for share, each in ULTRAMARINE_11.items()]
    assert np.mean(np.abs(errors)) == pytest.approx(told, abs=0.001)


@pytest.mark.parametrize("made", [each for each in COLOURS if each.name != "ultramarine"], ids=lambda each: each.name)
def test_one_part_in_ten_of_white_has_the_stated_strength(made: Colour | Organic) -> None:
    paint, white = PAINTS[made.name], PAINTS[WHITE]
    ks = (paint.k + 10 * white.k) / (paint.s + 10)
    at = getattr(made, "at", None)
    assert float(ks[np.isin(WAVELENGTHS, at) if at else make_tubes.SEEN].max()) == pytest.approx(
        made.strength, rel=1e-3
    )


def test_ochre_sienna_and_umber_have_okumuras_strength() -> None:
    for name in ("yellow ochre", "burnt sienna", "raw umber"):
        k, s = (each[0] for each in OKUMURA_2005[name])
        paint, at = PAINTS[name], WAVELENGTHS == 450
        theirs = (k + 10 * OKUMURA_2005[WHITE][0][0]) / (s + 10)
        assert float(((paint.k + 10 * PAINTS[WHITE].k) / (paint.s + 10))[at][0]) == pytest.approx(theirs, rel=1e-3)


def test_the_three_earths_lie_halfway_between_the_model_and_okumuras() -> None:
    for name in ("yellow ochre", "burnt sienna", "raw umber"):
        made = next(each for each in COLOURS if each.name == name)
        for held, told, model in zip(
            (PAINTS[name].k, PAINTS[name].s), OKUMURA_2005[name], make_tubes.modelled(made), strict=True
        ):
            assert held[HERE] ** 2 == pytest.approx(np.array(told) * model[HERE], rel=1e-3)
