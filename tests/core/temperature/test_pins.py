import time

import numpy as np
import pytest

from core.colorimetry import lab, warmth_of_lab
from core.temperature.neutral import BY_LIGHT, UNBALANCED
from core.temperature.pins import Pin, Relation, chain, read_pin, relation
from tests.core.temperature import scenes


def stripes(*warmths: float, lightness: float = 60.0) -> np.ndarray:
    """Upright stripes 20 mm wide at 4 px/mm."""
    told = np.repeat(np.array(warmths), 80)[None, :].repeat(200, axis=0)
    return scenes.of_warmth(lightness, told)


def pin_at(linear: np.ndarray, x_mm: float, name: str = "") -> Pin:
    pin = read_pin(linear, x_mm, 25, px_per_mm=4.0, name=name)
    assert pin is not None
    return pin


def test_a_pin_reads_the_exact_warmth() -> None:
    linear = stripes(12.0, -4.0)
    pin = pin_at(linear, 10)
    assert pin.warmth == pytest.approx(12.0, abs=0.01)
    assert pin.warmth == pytest.approx(float(warmth_of_lab(lab(linear[100, 40]))), abs=1e-3)
    assert pin.uncertainty == pytest.approx(0.2, abs=0.01)
    assert pin.lab[0] == pytest.approx(60, abs=0.01)
    assert pin.known == 1


def test_pins_outside_or_withheld_are_none() -> None:
    linear = stripes(12.0, -4.0)
    assert read_pin(linear, -1, 25, px_per_mm=4.0) is None
    assert read_pin(linear, 10, 51, px_per_mm=4.0) is None
    withheld = np.zeros(linear.shape[:2], bool)
    withheld[:, 20:] = True
    assert read_pin(linear, 10, 25, px_per_mm=4.0, withheld=withheld) is None
    part = read_pin(linear, 4.5, 25, px_per_mm=4.0, withheld=withheld)
    assert part is not None
    assert 0.5 < part.known < 1
    linear[:, 20:] = np.nan
    assert read_pin(linear, 10, 25, px_per_mm=4.0) is None
    with pytest.raises(ValueError, match="above 0"):
        read_pin(linear, 10, 25, px_per_mm=4.0, radius_mm=0)


@pytest.mark.parametrize(("mark_mm", "least"), [(0.5, 0.86), (1.0, 0.72)])
def test_broken_colour_is_in_the_uncertainty(mark_mm: float, least: float) -> None:
    """Nine discs in ten with marks of half a millimetre; every pixel a sample of its own would be far too sure."""
    within, by_pixels = [], []
    for seed in range(500, 512):
        linear, true = scenes.broken_colour(seed, mark_mm=mark_mm)
        for x, y in ((x, y) for x in range(15, 140, 30) for y in (12, 40, 68)):
            pin = read_pin(linear, x, y, px_per_mm=4.0)
            assert pin is not None
            within.append(abs(pin.warmth - true) <= pin.uncertainty)
            by_pixels.append(abs(pin.warmth - true) <= scenes.pixel_uncertainty(linear, x, y))
    assert np.mean(within) > least
    assert np.mean(by_pixels) < 0.4


def test_two_pins_in_words() -> None:
    linear = stripes(12.0, 6.0, 5.0, -8.0)
    jug, wall, cloth, shadow = (
        pin_at(linear, 10 + 20 * k, name) for k, name in enumerate(("jug", "wall", "cloth", "sky"))
    )
    told = relation(jug, wall, balance=BY_LIGHT)
    assert told.difference == pytest.approx(6.0, abs=0.01)
    assert told.sure
    assert told.say() == "jug: warmer than wall by 6 ± 0.5 (warmer)"
    assert relation(wall, jug, balance=BY_LIGHT).say() == "wall: cooler than jug by 6 ± 0.5 (cooler)"
    assert relation(jug, shadow, balance=BY_LIGHT).word == "much warmer"
    assert relation(wall, cloth, balance=BY_LIGHT).say().startswith("wall: the same as cloth, to within 2")


def test_what_is_within_the_doubt_is_not_told() -> None:
    told = Relation("jug", "the wall", 4.0, 6.0)
    assert not told.sure
    assert told.say() == "jug: cannot be told from the wall (+4 ± 6)"


def test_an_unknown_white_balance_is_in_the_doubt_of_unlike_lightness_alone() -> None:
    dark, light = stripes(10.0, 10.0, lightness=20.0), stripes(4.0, 4.0, lightness=90.0)
    both = np.concatenate([dark, light], axis=1)
    one, same, other = pin_at(both, 10), pin_at(both, 30), pin_at(both, 50)
    assert relation(one, same, balance=UNBALANCED).uncertainty < 0.3
    assert relation(one, other, balance=UNBALANCED).uncertainty > 3
    assert relation(one, other, balance=BY_LIGHT).uncertainty < 1.2


def test_a_chain_goes_from_warm_to_cool() -> None:
    linear = stripes(3.0, 14.0, -6.0, 7.0)
    pins = [pin_at(linear, 10 + 20 * k, name) for k, name in enumerate("abcd")]
    told = chain(pins, balance=BY_LIGHT)
    assert [pin.name for pin in told.pins] == ["b", "d", "a", "c"]
    assert [(r.one, r.other) for r in told.relations] == [("b", "d"), ("d", "a"), ("a", "c")]
    assert [r.difference for r in told.relations] == pytest.approx([7, 4, 9], abs=0.02)
    assert [r.word for r in told.relations] == ["warmer", "a touch warmer", "warmer"]
    assert chain([], balance=BY_LIGHT).relations == ()
    assert len(chain(pins[:1], balance=BY_LIGHT).pins) == 1


def test_a_reading_keeps_up_with_the_pointer() -> None:
    linear = np.full((1500, 2600, 3), 0.3, np.float32)
    start = time.process_time()
    for _ in range(20):
        read_pin(linear, 200, 150, px_per_mm=4.0)
    assert (time.process_time() - start) / 20 < 0.01
