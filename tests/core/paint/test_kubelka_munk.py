import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.paint import film, ks, over_two_grounds, reflectance, transmittance
from tests.published import kubelka_munk as published

quickly = settings(max_examples=60, deadline=None)
amounts = st.floats(0.0, 1e3)
shares = st.floats(0.0, 1.0)


@pytest.mark.parametrize(("r", "told"), published.KS_OF_REFLECTANCE.items())
def test_absorption_of_a_thick_layer(r: float, told: float) -> None:
    assert ks(r) == pytest.approx(told, rel=2e-6, abs=6e-8)


@pytest.mark.parametrize(("q", "told"), published.REFLECTANCE_OF_KS.items())
def test_reflectance_of_a_thick_layer(q: float, told: float) -> None:
    assert reflectance(q, 1.0) == pytest.approx(told, abs=6e-7)


@pytest.mark.parametrize(("share", "told"), published.WHITE_WITH_PIGMENT.items())
def test_a_pigment_in_a_white(share: float, told: float) -> None:
    k, s = share * 2 + (1 - share) * 0.01, share * 0.1 + (1 - share)
    assert reflectance(k, s) == pytest.approx(told, abs=6e-7)


@pytest.mark.parametrize(("layer", "told"), published.FILMS.items())
def test_films_over_grounds(layer: tuple[float, float, float], told: dict[float, float]) -> None:
    assert film(*layer, list(told)) == pytest.approx(np.array(list(told.values())), abs=6e-7)


@pytest.mark.parametrize(("layer", "told"), published.TRANSMITTANCE.items())
def test_what_a_film_lets_through(layer: tuple[float, float, float], told: float) -> None:
    assert transmittance(*layer) == pytest.approx(told, abs=6e-7)


@pytest.mark.parametrize(("q", "deep"), published.HIDES_AT.items())
def test_where_a_film_hides(q: float, deep: float) -> None:
    over_black, over_white = film(q, 1.0, deep, [0.05, 0.80])
    assert over_black / over_white == pytest.approx(0.98, abs=2e-5)


@given(r=st.floats(1e-6, 1.0))
@quickly
def test_there_and_back(r: float) -> None:
    assert reflectance(ks(r), 1.0) == pytest.approx(r, rel=1e-9)


@given(k=amounts, s=st.floats(1e-6, 1e3), more=st.floats(1e-3, 10.0))
@quickly
def test_more_absorption_darkens_and_more_scattering_lightens(k: float, s: float, more: float) -> None:
    assert reflectance(k + more * s, s) < reflectance(k, s)
    assert reflectance(k, s + more) >= reflectance(k, s)


@given(k=amounts, s=amounts, ground=shares, deep=st.floats(0.0, 1e4))
@quickly
def test_a_film_lies_between_its_ground_and_a_thick_layer(k: float, s: float, ground: float, deep: float) -> None:
    over = float(film(k, s, deep, ground))
    thick = ground if k == s == 0 else float(reflectance(k, s))
    assert min(ground, thick) - 1e-9 <= over <= max(ground, thick) + 1e-9


@given(k=st.floats(1e-3, 50.0), s=st.floats(1e-3, 50.0), one=st.floats(1e-3, 2.0), two=st.floats(1e-3, 2.0))
@quickly
def test_two_films_on_each_other_are_one(k: float, s: float, one: float, two: float) -> None:
    """Kubelka 1948: the lower film with its ground is the ground of the upper one."""
    assert film(k, s, one, film(k, s, two, 0.3)) == pytest.approx(float(film(k, s, one + two, 0.3)), abs=1e-9)
    behind = transmittance(k, s, one) * transmittance(k, s, two) / (1 - film(k, s, one, 0) * film(k, s, two, 0))
    assert transmittance(k, s, one + two) == pytest.approx(float(behind), abs=1e-9)


def test_the_limits() -> None:
    assert film(3.0, 2.0, 0.0, 0.4) == pytest.approx(0.4)
    assert film(3.0, 2.0, 1e9, 0.4) == pytest.approx(float(reflectance(3.0, 2.0)))
    assert film(2.0, 0.0, 0.5, 0.8) == pytest.approx(0.8 * np.exp(-2.0))  # Beer and Lambert, there and back
    assert film(0.0, 0.0, 5.0, 0.4) == pytest.approx(0.4)
    assert film(0.0, 2.0, 1e6, 0.0) == pytest.approx(1.0, abs=1e-5)
    assert reflectance(0.0, 1.0) == 1.0
    assert reflectance(1.0, 0.0) == 0.0
    assert reflectance(1e12, 1.0) == pytest.approx(5e-13, rel=1e-3)  # no digits lost in the dark


@given(k=st.floats(0.0, 3.0), s=st.floats(0.05, 3.0))
@quickly
def test_from_two_grounds_and_back(k: float, s: float) -> None:
    white, black = 0.82, 0.05
    told = over_two_grounds(film(k, s, 1.0, white), film(k, s, 1.0, black), white=white, black=black)
    assert told.scattering == pytest.approx(s, rel=2e-4)
    assert told.absorption == pytest.approx(k, rel=2e-3, abs=2e-4)


def test_a_film_that_hides_or_is_noisy_is_held_within_bounds() -> None:
    told = over_two_grounds([0.4, 0.39], [0.4, 0.41], white=0.8, black=0.05)
    assert ((told.scattering > 10.0) & (told.scattering <= 50.0)).all()
    assert told.a == pytest.approx((1 + np.array([0.4, 0.39]) ** 2) / (2 * np.array([0.4, 0.39])), rel=1e-6)


@pytest.mark.parametrize("wrong", [(-1.0, 1.0), (1.0, -1.0), (float("nan"), 1.0)])
def test_nothing_below_nothing(wrong: tuple[float, float]) -> None:
    for asked in (reflectance, lambda k, s: film(k, s, 1.0, 0.5), lambda k, s: transmittance(k, s, 1.0)):
        with pytest.raises(ValueError, match="not below 0"):
            asked(*wrong)


def test_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="both 0"):
        reflectance(0.0, 0.0)
    for wrong in (0.0, 1.1, -0.1, float("nan")):
        with pytest.raises(ValueError, match="above 0"):
            ks(wrong)
    for deep, ground in ((-1.0, 0.5), (1.0, 1.5), (1.0, float("nan"))):
        with pytest.raises(ValueError, match="ground"):
            film(1.0, 1.0, deep, ground)
    with pytest.raises(ValueError, match="thickness"):
        transmittance(1.0, 1.0, -1.0)
    with pytest.raises(ValueError, match="lighter"):
        over_two_grounds(0.5, 0.4, white=0.1, black=0.2)
