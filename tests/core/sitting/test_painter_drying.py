"""The painter's factor and the forecasts against scipy's quadrature, and on painters whose factor is known."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats

from core.sitting.drying import PAINTER_SPREAD, Expected, foretell
from core.sitting.layer import Layer, Medium, Thickness
from core.sitting.painter_drying import PainterFactor, Watched, forecasts
from core.sitting.touch_tests import Bounds
from tests.studio.drying import Studio, layers_of

USUAL = foretell(Layer(Medium.STRAIGHT, Thickness.USUAL, ("PY43",)))
FAST = foretell(Layer(Medium.SOLVENT, Thickness.THIN, ("PBr7 raw umber",)))
quickly = settings(max_examples=15, deadline=None)


def seen(factors: np.ndarray, layer: Watched, until: float = 9.0) -> np.ndarray:
    """How likely the tests of a layer are for each painter's factor, by scipy's quadrature over the layer's days.

    ``until``: the latest logarithm of days that is counted.
    """
    expected, bounds = layer.expected, layer.bounds
    low = -5.0 if bounds.after is None else math.log(bounds.after)
    high = until if bounds.by is None else math.log(bounds.by)

    def dense(log_days: float) -> np.ndarray:
        off = (log_days - expected.log_days - factors) / expected.spread
        return np.exp(-0.5 * off**2)

    return np.asarray(integrate.quad_vec(dense, low, high, epsabs=1e-9, epsrel=1e-8)[0])


LAYERS = [
    Watched(USUAL, Bounds(2.0, 3.0)),
    Watched(USUAL, Bounds(None, 3.5)),
    Watched(FAST, Bounds(0.9)),
]


def test_the_painters_factor_is_that_of_quadrature() -> None:
    at = np.linspace(-1.6, 1.6, 97)
    density = np.exp(-0.5 * (at / PAINTER_SPREAD) ** 2) * np.prod([seen(at, each) for each in LAYERS], axis=0)
    share = integrate.cumulative_simpson(density, x=at, initial=0.0)
    painter, _ = forecasts(LAYERS)
    for wanted in (0.1, 0.5, 0.9):
        assert math.log(painter.times(wanted)) == pytest.approx(np.interp(wanted, share / share[-1], at), abs=2e-3)


def test_without_tests_the_forecast_is_the_log_normal_of_all_painters() -> None:
    painter, (told,) = forecasts([Watched(USUAL)])
    for share in (0.1, 0.5, 0.9):
        assert told.after(share) == pytest.approx(USUAL.days(share), rel=1e-3)
        assert told.by(USUAL.days(share)) == pytest.approx(share, abs=1e-3)
    assert painter.times() == pytest.approx(1.0)
    assert painter.times(0.9) == pytest.approx(math.exp(1.2816 * PAINTER_SPREAD), rel=2e-3)


def test_a_layer_not_yet_dry_is_that_of_the_truncated_law() -> None:
    # beyond 7 days, the log-normal cut there (scipy's truncated normal)
    _, (told,) = forecasts([Watched(USUAL, Bounds(7.0))])
    spread = math.hypot(USUAL.spread, PAINTER_SPREAD)
    law = stats.truncnorm((math.log(7) - USUAL.log_days) / spread, np.inf, USUAL.log_days, spread)
    for share in (0.1, 0.5, 0.9):
        assert told.after(share) == pytest.approx(math.exp(law.ppf(share)), rel=2e-3)
    assert told.by(6.9) == 0.0


def test_a_layer_of_known_painter_is_that_of_two_fold_quadrature() -> None:
    others, new = LAYERS[:2], Watched(FAST, Bounds(1.0))
    at = np.linspace(-1.6, 1.6, 65)
    density = np.exp(-0.5 * (at / PAINTER_SPREAD) ** 2) * np.prod([seen(at, each) for each in others], axis=0)

    def chance(until: float) -> float:
        return float(integrate.simpson(density * seen(at, new, until), x=at))

    _, told = forecasts([*others, new])
    for days in (1.3, 2.0, 3.0):
        assert told[-1].by(days) == pytest.approx(chance(math.log(days)) / chance(9.0), abs=2e-3)


@given(st.lists(st.floats(0.2, 30), min_size=1, max_size=4), st.floats(1.05, 3))
@quickly
def test_layers_that_dry_later_make_a_slower_painter_and_a_later_forecast(days: list[float], more: float) -> None:
    soon = [Watched(USUAL, Bounds(each * 0.8, each)) for each in days]
    late = [Watched(USUAL, Bounds(each * 0.8 * more, each * more)) for each in days]
    (quick, first), (slow, second) = (forecasts([*each, Watched(FAST)]) for each in (soon, late))
    assert quick.times() < slow.times()
    assert first[-1].after(0.1) < second[-1].after(0.1)
    assert quick.times(0.1) < quick.times(0.5) < quick.times(0.9)


@given(st.floats(1e-3, 1e4), st.floats(1.0001, 100))
@quickly
def test_tests_far_from_all_that_is_likely_still_give_a_forecast(after: float, times: float) -> None:
    painter, (told, _) = forecasts([Watched(USUAL, Bounds(after, after * times)), Watched(USUAL)])
    assert after <= told.after(0.0) * (1 + 1e-9)
    assert told.after(1.0) <= after * times * (1 + 1e-9)
    assert np.isfinite([painter.times(share) for share in (0.1, 0.5, 0.9)]).all()
    assert np.all(np.diff(told.share) >= 0)


def test_the_range_holds_in_about_eight_cases_of_ten() -> None:
    # painters at large, four layers each, the last foretold: 90 × 0.8 = 72 ± 3 × 3.8; 90 × 0.1 = 9 ± 3 × 2.8
    rng, held, early = np.random.default_rng(8), 0, 0
    for _ in range(90):
        layers = layers_of(Studio(float(rng.normal(0, PAINTER_SPREAD))), 4, rng)
        _, told = forecasts([*(each.watched() for each in layers[:3]), Watched(layers[3].expected)])
        low, high, true = told[-1].after(0.1), told[-1].after(0.9), layers[3].days
        held, early = held + (low <= true <= high), early + (true < low)
    assert abs(held - 72) <= 11
    assert abs(early - 9) <= 8


def test_the_factor_of_a_painter_is_found() -> None:
    rng = np.random.default_rng(4)
    for true in (0.5, 1.0, 2.0):
        layers = [each.watched() for each in layers_of(Studio(math.log(true)), 30, rng)]
        painter, _ = forecasts(layers)
        assert abs(math.log(painter.times() / true)) < 0.25
        assert painter.times(0.9) / painter.times(0.1) < 1.4


def told_of(times: float, tested: int, spread: float = 0.02) -> str:
    at = math.log(times) + np.linspace(-4, 4, 81) * spread
    weight = np.exp(-0.5 * np.linspace(-4, 4, 81) ** 2)
    return PainterFactor(at, weight / weight.sum(), tested).say()


@pytest.mark.parametrize(
    ("times", "told"),
    [(2 / 3, "faster than usual by a third, so this forecast is shorter by a third."), (0.5, "than usual by half"),
     (0.9, "by a tenth"), (0.8, "by a fifth"), (0.75, "by a quarter"), (1.3, "slower than usual by a third"),
     (2.0, "by as much again"), (3.5, "by 2.5 times"), (1.02, "about as usual")],
)  # fmt: skip
def test_the_factor_is_told_in_one_line(times: float, told: str) -> None:
    said = told_of(times, 3)
    assert said.startswith("Your three tested layers ")
    assert told in said


def test_what_is_not_sure_is_not_told_as_sure() -> None:
    assert "seem to have dried faster" in told_of(0.7, 2, 0.4)
    assert "one tested layer seems to have dried slower" in told_of(1.4, 1, 0.4)
    assert "12 tested layers dried" in told_of(0.7, 12)
    assert forecasts([Watched(USUAL)])[0].say().startswith("No layer has been touched yet")


def test_a_forecast_is_a_range_and_a_dry_layer_a_finding() -> None:
    _, (told, found) = forecasts([Watched(USUAL), Watched(USUAL, Bounds(2.0, 3.0))])
    assert told.say() == "Touch-dry after 2 to 8 days; 4 days is an even bet."
    assert found.say() == "It was touch-dry after 2 to 3 days, by your touch tests."
    assert found.found
    assert not told.found
    assert told.by(0.0) == told.by(-1.0) == 0.0


def test_expected_days_are_those_of_scipys_log_normal() -> None:
    expected = Expected(math.log(5), 0.4, (), ())
    law = stats.lognorm(math.hypot(0.4, PAINTER_SPREAD), scale=5)
    assert [expected.days(share) for share in (0.1, 0.9)] == pytest.approx(law.ppf([0.1, 0.9]).tolist())
