import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import PaintError
from core.paint import WAVELENGTHS, Paint, mixture, predict, reflectance
from tests.core.paint.test_fit import known
from tests.published.paints import CURTIS_1997, OKUMURA_2005

quickly = settings(max_examples=50, deadline=None)
NM = (450.0, 550.0, 650.0)


@pytest.mark.parametrize("name", ["yellow ochre", "burnt sienna", "raw umber"])
def test_published_acrylics_mix_as_published_constants_say(name: str) -> None:
    """Okumura 2005, K and S at 450, 550 and 650 nm; ochre and white in equal parts worked outside the project."""
    paints = {
        each: Paint.of(OKUMURA_2005[each][0], OKUMURA_2005[each][1], NM, k1=0.0, k2=0.0)
        for each in (name, "titanium white")
    }
    told = predict(paints, {name: 1, "titanium white": 1})
    if name == "yellow ochre":
        assert told == pytest.approx([0.41350, 0.71628, 0.81946], abs=2e-5)
    assert (told > predict(paints, {name: 1})).all()
    assert (told < predict(paints, {"titanium white": 1})).all()


@pytest.mark.parametrize(("name", "told"), CURTIS_1997.items())
def test_published_watercolours_over_a_ground(name: str, told: tuple) -> None:
    """Curtis and others 1997: K and S of watercolours, thickness 1, over white or black, worked outside the project."""
    k, s, ground, expected = told
    wash = Paint.of(k, s, NM, k1=0.0, k2=0.0)
    over = mixture({name: wash}, {name: 1}).over(np.full(3, ground), 1.0)
    assert over == pytest.approx(expected, abs=6e-5)


@given(c=st.floats(0.0, 0.98))
@quickly
def test_more_black_is_darker(c: float) -> None:
    paints = known()
    less, more = ({"black": share, "white": 1 - share} for share in (c, c + 0.02))
    assert (predict(paints, more) < predict(paints, less)).all()


@given(scale=st.floats(1e-3, 1e3), c=st.floats(0.01, 0.99))
@quickly
def test_parts_are_of_any_unit(scale: float, c: float) -> None:
    paints = known()
    told = predict(paints, {"blue": c * scale, "yellow": (1 - c) * scale})
    assert told == pytest.approx(predict(paints, {"blue": c, "yellow": 1 - c}), abs=1e-12)


@given(c=st.floats(0.0, 1.0))
@quickly
def test_a_mixture_of_a_paint_with_itself_is_that_paint(c: float) -> None:
    paints = known()
    twice = {"one": paints["blue"], "two": paints["blue"]}
    assert predict(twice, {"one": c, "two": 1 - c}) == pytest.approx(predict(paints, {"blue": 1}), abs=1e-12)


def test_a_thick_film_hides_its_ground_and_a_thin_one_is_the_ground() -> None:
    blue = mixture(known(), {"blue": 1, "white": 1})
    for ground in (0.05, 0.8):
        assert blue.over(np.full(36, ground), 1e4) == pytest.approx(blue.thick(), abs=1e-6)


def test_a_thin_film_of_a_mixture_over_a_measured_ground() -> None:
    clear = mixture(known(), {"blue": 1})
    over_white, over_black = (clear.over(np.full(36, ground), 0.05) for ground in (0.85, 0.05))
    assert (over_white > over_black).all()
    assert (over_white < 0.85).all()


def test_surface_is_that_of_what_scatters() -> None:
    """A black darker than any surface should allow is itself alone, and has no say about the surface of a tint."""
    flat = np.ones(36)
    paints = {
        "white": Paint.of(0.002 * flat, flat, WAVELENGTHS, k1=0.04),
        "black": Paint.of(3.0 * flat, 0.01 * flat, WAVELENGTHS, k1=0.01),
    }
    assert mixture(paints, {"black": 1}).k1 == pytest.approx(0.01 * flat)
    assert mixture(paints, {"black": 1, "white": 9}).k1 == pytest.approx(0.04 * flat, abs=1e-4)
    clear = {"dye": Paint.of(flat, 0 * flat, WAVELENGTHS, k1=0.03)}
    assert predict(clear, {"dye": 1}) == pytest.approx(0.03 * flat)


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ({"mauve": 1}, "no paint “mauve” here"),
        ({"blue": 0, "white": 0}, "more than 0 parts"),
        ({}, "more than 0 parts"),
        ({"blue": -1, "white": 2}, "from 0 up"),
        ({"blue": float("nan")}, "from 0 up"),
    ],
)
def test_mixtures_that_cannot_be(parts: dict[str, float], says: str) -> None:
    with pytest.raises(PaintError, match=says):
        predict(known(), parts)


def test_paints_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="one length"):
        Paint.of([1.0, 1.0], [1.0], [400, 500])
    for wrong in (-1.0, float("nan"), float("inf")):
        with pytest.raises(ValueError, match="not below 0"):
            Paint.of([wrong], [1.0], [400])


def test_thick_is_the_formula_with_no_surface() -> None:
    bare = Paint.of([0.3, 2.0], [1.0, 0.5], [400, 700], k1=0.0, k2=0.0)
    assert predict({"p": bare}, {"p": 2}) == pytest.approx(reflectance([0.3, 2.0], [1.0, 0.5]))
