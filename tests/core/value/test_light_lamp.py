"""The light carried on beyond the canvas: a near lamp is a point over a plane, and known to the last digit."""

import numpy as np
import pytest

from core.size import Size
from core.value.light_anchor import light_at
from core.value.light_lamp import lamp_light

SIZE = Size(400, 300)
LAMP = (300.0, 210.0, 180.0)
BESIDE = [(-60.0, 40.0), (-20.0, 250.0), (440.0, 200.0), (470.0, 90.0), (150.0, -50.0), (330.0, 360.0)]
WARM, COOL = np.array([1.25, 1.0, 0.72]), np.array([0.86, 1.0, 1.18])


def strength(x: np.ndarray, y: np.ndarray, lamp: tuple[float, float, float] = LAMP) -> np.ndarray:
    """Inverse square and cosine, with a broad light that falls off to the right."""
    r2 = (x - lamp[0]) ** 2 + (y - lamp[1]) ** 2
    return np.asarray(0.35 * (1 + r2 / lamp[2] ** 2) ** -1.5 + 0.2 - 0.1 * x / 400)


def field(tint: np.ndarray | None = None) -> np.ndarray:
    x, y = np.meshgrid((np.arange(40) + 0.5) * 10, (np.arange(30) + 0.5) * 10)
    return np.log(strength(x, y))[..., None] + np.log(np.ones(3) if tint is None else tint)


def true_log(x: float, y: float) -> float:
    return float(np.log(strength(np.array(x), np.array(y))))


@pytest.mark.parametrize("at", BESIDE)
def test_a_near_lamp_is_carried_on_as_it_shines(at: tuple[float, float]) -> None:
    assert light_at(field(), SIZE, *at).log == pytest.approx(np.full(3, true_log(*at)), abs=0.045)


def test_the_light_at_the_edge_would_be_far_out() -> None:
    """What the physics are for."""
    inside = np.clip(np.array(BESIDE), 0, (400, 300))
    off = [abs(true_log(*at) - true_log(*edge)) for at, edge in zip(BESIDE, inside, strict=True)]
    assert np.mean(off) > 0.12
    found = [abs(light_at(field(), SIZE, *at).log[1] - true_log(*at)) for at in BESIDE]
    assert np.mean(found) < 0.15 * np.mean(off)


def test_the_foot_of_the_lamp_is_found() -> None:
    foot = lamp_light(field(), SIZE).foot
    assert foot[:2] * 400 + (200, 150) == pytest.approx(LAMP[:2], abs=12)
    assert 400 * np.exp(foot[2]) == pytest.approx(LAMP[2], rel=0.15)


def test_a_warm_lamp_stays_warm() -> None:
    found = light_at(field(WARM), SIZE, *BESIDE[0]).log
    assert found - found[1] == pytest.approx(np.log(WARM), abs=0.01)


@pytest.mark.parametrize("level", [0.02, 1.0, 30.0])
def test_even_light_goes_on_even_at_any_exposure(level: float) -> None:
    there = light_at(np.full((30, 40, 3), np.log(level)), SIZE, 480, 150)
    assert there.log == pytest.approx(np.full(3, np.log(level)), abs=0.005)
    darker = light_at(field() + np.log(level), SIZE, *BESIDE[0]).log
    assert darker - np.log(level) == pytest.approx(light_at(field(), SIZE, *BESIDE[0]).log, abs=0.01)


def test_it_never_goes_dark() -> None:
    """A slope so steep that the plane would fall below nothing."""
    x = np.meshgrid(np.linspace(1.0, 0.05, 40), np.ones(30))[0]
    there = light_at(np.log(x)[..., None].repeat(3, axis=2), SIZE, 700, 150)
    assert np.isfinite(there.log).all()
    assert there.sigma > 0.1


def test_beside_a_lamps_foot_it_is_less_sure() -> None:
    def sigma(foot: tuple[float, float, float], x_mm: float) -> float:
        x, y = np.meshgrid((np.arange(40) + 0.5) * 10, (np.arange(30) + 0.5) * 10)
        log = np.log(strength(x, y, foot))[..., None].repeat(3, axis=2)
        return light_at(log, SIZE, x_mm, 150).sigma

    near, far = (430.0, 150.0, 90.0), (200.0, 150.0, 600.0)
    assert sigma(near, 450) > 2 * sigma(near, -50)
    assert sigma(near, 450) > 1.5 * sigma(far, 450)


def test_stated_uncertainty_covers_what_noise_in_the_field_does() -> None:
    """Fields with the soft waves a fit leaves, 0.015 deep; nine places in ten shall lie within what is stated."""
    rng = np.random.default_rng(8)
    u, v = np.meshgrid(np.linspace(-1, 1, 40), np.linspace(-0.75, 0.75, 30))
    within = []
    for _ in range(12):
        waves = np.zeros_like(u)
        for i, j in ((1, -2), (1, 1), (2, -2), (2, 1)):
            waves += rng.normal(0, 0.009) * np.cos(np.pi * (i * u + j * v) / 2 + rng.uniform(0, 6))
        log = field() + waves[..., None]
        for at in BESIDE[:3]:
            there = light_at(log, SIZE, *at)
            within.append(abs(there.log[1] - true_log(*at)) <= 1.645 * np.hypot(there.sigma, 0.02))
    assert 0.8 <= np.mean(within) <= 1.0
