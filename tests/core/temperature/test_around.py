"""What lies round a place, as a pin and as a map, and what the white balance leaves open of it."""

import numpy as np
import pytest

from core.colorimetry import lab
from core.temperature.around import NAME, around_of, relative_and_doubt
from core.temperature.neutral import UNBALANCED, Balance, Source
from core.temperature.pins import read_pin, relation
from core.temperature.surround import relative_warmth
from core.temperature.warmth import warmth
from tests.core.temperature import scenes

SURE = Balance(source=Source.LIGHT, kelvin=0.0)


@pytest.mark.parametrize("size_mm", [10.0, 30.0])
def test_pins_of_the_surround_are_what_the_map_takes_off(size_mm: float) -> None:
    for name in ("coffee", "astronaut"):
        picture = scenes.photographs()[name]
        around = around_of(picture, size_mm, px_per_mm=2.0)
        told = warmth(picture)
        taken = told - relative_warmth(told, size_mm, px_per_mm=2.0)
        for x, y in ((50.0, 60.0), (200.0, 120.0), (333.3, 77.7), (1.0, 1.0)):
            pin = around.pin(x, y)
            assert pin is not None
            assert pin.name == NAME
            assert pin.warmth == pytest.approx(float(taken[int(2 * y), int(2 * x)]), abs=0.6)
            assert pin.lab == pytest.approx(tuple(lab(np.array(pin.light))))


def test_light_of_the_surround_is_its_mean() -> None:
    rng = np.random.default_rng(5)
    patches = rng.uniform(0.1, 0.6, (6, 8, 3)).repeat(40, axis=0).repeat(40, axis=1).astype(np.float32)
    pin = around_of(patches, 1000.0, px_per_mm=1.0).pin(160, 120)
    assert pin is not None
    assert pin.light == pytest.approx(tuple(patches.reshape(-1, 3).mean(axis=0)), rel=0.02)


def test_a_place_against_its_surround_is_the_known_difference() -> None:
    told = np.full((240, 320), 4.0, np.float32)
    told[110:130, 150:170] = 12.0
    picture = scenes.of_warmth(np.full(told.shape, 55.0), told)
    place, other = read_pin(picture, 160, 120, px_per_mm=1.0), around_of(picture, 40, px_per_mm=1.0).pin(160, 120)
    assert place is not None
    assert other is not None
    found = relation(place, other, balance=SURE)
    share = 20 * 20 / (2 * np.pi * 40**2)  # of the Gaussian, to the first order
    assert found.difference == pytest.approx(8 * (1 - share), abs=0.3)


def test_withheld_places_pull_nothing_and_outside_nothing_is_told() -> None:
    picture = scenes.of_warmth(np.full((100, 150), 50.0), np.full((100, 150), 3.0))
    withheld = np.zeros((100, 150), bool)
    withheld[:, :75] = True
    picture[withheld] = 9.0
    around = around_of(picture, 10, px_per_mm=1.0, withheld=withheld)
    beside = around.pin(90, 50)
    assert beside is not None
    assert beside.warmth == pytest.approx(3.0, abs=0.01)
    assert around.pin(5, 50) is None
    assert around.pin(-0.1, 50) is None
    assert around.pin(150.1, 50) is None
    with pytest.raises(ValueError, match="above 0"):
        around_of(picture, 0, px_per_mm=1.0)


def test_doubt_covers_a_white_balance_that_is_so_much_off() -> None:
    """In daylight it is that of the balance's own two errors, so it covers nearly all; lamps are off along another
    line."""
    for name in ("coffee", "chelsea"):
        picture = scenes.photographs()[name]
        relative, doubt = relative_and_doubt(picture, UNBALANCED, px_per_mm=2.0)
        assert (doubt >= 0).all()
        for light, gains in scenes.white_balance_errors(800).items():
            shifted = relative_warmth(warmth(picture * gains), px_per_mm=2.0)
            covered = float((np.abs(shifted - relative) <= doubt + 0.1).mean())
            assert covered > (0.99 if "daylight" in light else 0.8), (name, light, covered)


def test_a_balance_that_is_certain_leaves_no_doubt() -> None:
    picture = scenes.photographs()["coffee"]
    relative, doubt = relative_and_doubt(picture, SURE, px_per_mm=2.0)
    assert not doubt.any()
    assert np.array_equal(relative, relative_warmth(warmth(picture), px_per_mm=2.0))
