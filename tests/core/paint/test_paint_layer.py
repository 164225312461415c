"""The simulated layers of paint are what radiative transfer says."""

import numpy as np
import pytest

from tests.studio.paint_layer import Stuff, _directions, _layer, drawdown

ONE = np.ones(1)


def test_what_is_not_absorbed_comes_out() -> None:
    mu, weight = _directions()
    reflect, through = _layer(10.0, 10.0, 0.6, 5.0)
    assert (reflect + through).T @ (mu * weight) / (mu * weight) == pytest.approx(np.ones(len(mu)), abs=1e-6)


def test_albedo_of_a_thick_layer_is_chandrasekhars() -> None:
    """Isotropic scattering, single albedo 0.9, light straight down: 1 - H(1) sqrt(0.1), H(1) = 1.8451 (Chandrasekhar,
    Radiative Transfer, 1950, table XI; from memory)."""
    mu, weight = _directions()
    reflect, _ = _layer(1.0, 0.9, 0.0, 60.0)
    plane = (reflect.T @ (mu * weight)) / (mu * weight)
    assert np.interp(1.0, mu, plane) == pytest.approx(1 - 1.8451 * np.sqrt(0.1), abs=2e-3)


def test_light_that_is_only_absorbed_dies_away_as_beer_says() -> None:
    mu, _ = _directions()
    _, through = _layer(1.0, 1e-6, 0.0, 1.0)
    assert np.diag(through) == pytest.approx(np.exp(-1 / mu), abs=1e-5)


def test_a_white_without_loss_is_nearly_the_perfect_diffuser() -> None:
    stuff = {"white": Stuff(1e-9 * ONE, 100 * ONE, 0.5)}
    assert drawdown({"white": 1.0}, stuff, 50.0, 0.9 * ONE, 0.0) == pytest.approx(1.0, abs=0.03)


def test_a_thin_film_shows_its_card_and_gloss_lightens() -> None:
    stuff = {"paint": Stuff(5 * ONE, 2 * ONE, 0.7)}
    white, black = (drawdown({"paint": 1.0}, stuff, 0.1, card * ONE, 0.0) for card in (0.85, 0.05))
    assert white > 2 * black
    glossy = drawdown({"paint": 1.0}, stuff, 0.1, 0.05 * ONE, 1.0)
    assert glossy - black == pytest.approx((0.48 / 2.48) ** 2, abs=1e-9)
