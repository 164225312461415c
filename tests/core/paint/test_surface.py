import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.paint import saunderson, saunderson_inverse
from tests.published import kubelka_munk as published


@pytest.mark.parametrize(("within", "told"), published.MEASURED_OF_WITHIN.items())
def test_what_is_measured(within: float, told: float) -> None:
    assert saunderson(within, 0.04, 0.6) == pytest.approx(told, abs=6e-7)


@pytest.mark.parametrize(("measured", "told"), published.WITHIN_OF_MEASURED.items())
def test_what_is_within(measured: float, told: float) -> None:
    assert saunderson_inverse(measured, 0.04, 0.6) == pytest.approx(told, abs=6e-7)


@given(r=st.floats(0.0, 1.0), k1=st.floats(0.0, 0.2), k2=st.floats(0.0, 0.7))
@settings(max_examples=60, deadline=None)
def test_there_and_back(r: float, k1: float, k2: float) -> None:
    assert saunderson_inverse(saunderson(r, k1, k2), k1, k2) == pytest.approx(r, abs=1e-9)
    assert k1 - 1e-12 <= saunderson(r, k1, k2) <= 1.0 + 1e-12


@given(r=st.floats(0.0, 0.99))
@settings(max_examples=30, deadline=None)
def test_lighter_within_is_lighter_outside(r: float) -> None:
    assert saunderson(r + 0.01) > saunderson(r)


def test_no_surface_changes_nothing() -> None:
    assert saunderson(0.3, 0.0, 0.0) == pytest.approx(0.3)


def test_darker_than_the_surface_is_told_as_it_is() -> None:
    assert saunderson_inverse(0.02, 0.04, 0.6) < 0


@pytest.mark.parametrize("wrong", [(-0.1, 0.6), (0.04, -0.1), (0.5, 0.5), (float("nan"), 0.6)])
def test_constants_out_of_range(wrong: tuple[float, float]) -> None:
    for asked in (saunderson, saunderson_inverse):
        with pytest.raises(ValueError, match="surface constants"):
            asked(0.5, *wrong)
