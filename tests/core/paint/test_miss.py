import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.colorimetry import TO_WARM, delta_e_2000, lightness, luminance_of_value
from core.paint.miss import AS_NEAR, SEEN, miss_of
from core.paint.target import Lab

WANTED = (55.0, 12.0, 18.0)
COLOURS = st.tuples(st.floats(5, 95), st.floats(-50, 50), st.floats(-50, 50))


def of_value(value: float, a: float, b: float) -> Lab:
    return float(lightness(luminance_of_value(value))), a, b


@pytest.mark.parametrize(("steps", "word"), [(0.5, "too light"), (-0.5, "too dark"), (2.0, "too light")])
def test_value(steps: float, word: str) -> None:
    told = miss_of(of_value(5 + steps, 10, 10), of_value(5, 10, 10))
    assert [fault.word for fault in told.faults] == [word]
    assert told.faults[0].amount == pytest.approx(steps)
    assert told.faults[0].counts == pytest.approx(told.delta_e)
    assert str(told) == f"{word} by {abs(steps):.1f} {'of a step' if abs(steps) < 1 else 'steps'}"


@pytest.mark.parametrize(("by", "word"), [(6.0, "too warm"), (-6.0, "too cool")])
def test_warmth(by: float, word: str) -> None:
    there = (60.0, 2.0 + by * TO_WARM[0], -8.0 + by * TO_WARM[1])
    told = miss_of(there, (60.0, 2.0, -8.0))
    assert told.faults[0].word == word
    assert told.faults[0].amount == pytest.approx(by)
    assert str(told).startswith(f"{word} by 6")


@pytest.mark.parametrize(("share", "word"), [(0.5, "too dull"), (1.6, "too strong")])
def test_strength_of_a_hue_that_is_neither_warm_nor_cool(share: float, word: str) -> None:
    wanted = np.array([55.0, -20 * TO_WARM[1], 20 * TO_WARM[0]])
    told = miss_of(tuple(wanted * (1, share, share)), tuple(wanted))
    assert [fault.word for fault in told.faults] == [word]
    assert told.faults[0].amount == pytest.approx(20 * (share - 1))


@pytest.mark.parametrize(("a", "b", "word"), [(14, -12, "too red"), (-14, 12, "too green")])
def test_a_turn_of_hue_that_no_other_word_tells(a: float, b: float, word: str) -> None:
    """Along the line across the axis of warmth, so that T is the same, and by as much chroma."""
    colour = np.array([-TO_WARM[1], TO_WARM[0]]) * 6
    off = np.array([a, b]) / np.hypot(a, b) * 0.2
    told = miss_of((50, *(-colour + off)), (50, *colour)) if a > 0 else miss_of((50, *(colour + off)), (50, *-colour))
    assert told.faults[0].word == word


def test_one_step_is_so_called() -> None:
    assert str(miss_of(of_value(6, 10, 10), of_value(5, 10, 10))) == "too light by one step"


def test_what_counts_most_comes_first() -> None:
    wanted = of_value(5, 10, 10)
    dark = miss_of((of_value(3.5, 0, 0)[0], 12.0, 12.0), wanted)
    warm = miss_of((of_value(4.8, 0, 0)[0], 24.0, 26.0), wanted)
    assert [dark.faults[0].word, warm.faults[0].word] == ["too dark", "too warm"]
    assert "too dark" in [fault.word for fault in warm.faults]


def test_no_word_goes_against_the_whole_difference() -> None:
    """A greenish yellow for a yellow, a little duller: with its warmth made good it would be too strong instead."""
    told = miss_of((60.0, -8.9, 36.9), (60.0, 0.0, 40.0))
    assert told.faults[0].word == "too cool"
    assert {fault.word for fault in told.faults} <= {"too cool", "too green", "too yellow"}


def test_as_near_as_can_be_seen() -> None:
    told = miss_of((55.3, 12.2, 18.1), WANTED)
    assert told.delta_e < SEEN
    assert told.faults == ()
    assert str(told) == AS_NEAR


@given(mix=COLOURS, wanted=COLOURS)
@settings(max_examples=200, deadline=None)
def test_every_miss_that_is_seen_has_a_word_of_the_right_sign(mix: Lab, wanted: Lab) -> None:
    told = miss_of(mix, wanted)
    assert told.delta_e == pytest.approx(float(delta_e_2000(mix, wanted)))
    assert bool(told.faults) == (told.delta_e >= SEEN)
    assert len({fault.kind for fault in told.faults}) == len(told.faults)
    counts = [fault.counts for fault in told.faults]
    assert all(count > 0 for count in counts)
    for fault in told.faults:
        if fault.kind != "hue":
            assert (fault.amount > 0) == (fault.word in ("too light", "too warm", "too strong"))
        if fault.kind == "strength":
            assert fault.amount == pytest.approx(np.hypot(*mix[1:]) - np.hypot(*wanted[1:]))
        if fault.kind == "value":
            assert (mix[0] > wanted[0]) == (fault.amount > 0)
