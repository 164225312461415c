"""Measurements in words: signs are what a painter would see on the canvas (x right, y down)."""

import pytest

from core import words
from core.size import Size

SIZE = Size(400, 300)


def test_directions_follow_the_signs() -> None:
    assert words.direction(2.14, 0.0) == "2.1 mm too far right"
    assert words.direction(-3.0, 1.0) == "3.0 mm too far left and 1.0 mm too low"
    assert words.direction(0.1, -1.5) == "1.5 mm too high"
    assert words.direction(0.1, -0.1) == "in place"


@pytest.mark.parametrize(
    ("x", "y", "place"),
    [(10, 10, "upper left"), (200, 10, "top"), (390, 150, "right"), (200, 150, "centre"), (200, 299, "bottom"),
     (399, 299, "lower right"), (400, 300, "lower right"), (0, 150, "left")],
)  # fmt: skip
def test_places_are_ninths_of_the_canvas(x: float, y: float, place: str) -> None:
    assert words.place(x, y, SIZE) == place


def test_the_whole_drawing_is_said_once_and_only_when_it_matters() -> None:
    assert words.whole_drawing((0.1, 0.2), 0.01, 1.0003, SIZE) == ""
    assert words.whole_drawing((0.0, 2.1), 0.0, 1.0, SIZE) == "The whole drawing sits 2.1 mm too low."
    said = words.whole_drawing((-1.0, 0.0), 0.4, 1.02, SIZE)
    assert said == "The whole drawing sits 1.0 mm too far left, is turned 0.4° clockwise and is 2.0 % too large."


def test_value_faults_and_areas() -> None:
    assert words.value_fault(-1.2) == "1.2 steps too dark"
    assert words.value_fault(0.8) == "0.8 steps too light"
    assert words.area(14.2) == "14 cm²"
    assert words.area(3.24) == "3.2 cm²"


def test_what_a_drift_comes_to_is_said_in_the_same_words_everywhere() -> None:
    assert words.offset(-2.14, 3.0) == "2.1 mm left, 3.0 mm lower"
    assert words.offset(0.2, -1.0) == "1.0 mm higher"
    assert words.offset(0.1, 0.1) == words.across(0.1) == "in place"
    assert words.way(-2.0, -1.0) == "left and high"
    assert [words.per_cent(c) for c in (0.756, 0.99, 0.9999, 1.0)] == ["76 %", "99 %", "over 99 %", "over 99 %"]
    assert [words.how_sure(c) for c in (0.9, 0.6, 0.2)] == ["sure", "fairly sure", "not sure"]


def test_what_the_whole_drawing_comes_to_is_its_furthest_corner() -> None:
    """Turned by 0.01 rad about the middle, a corner 250 mm away moves 2.5 mm; a shift away from it adds to that."""
    assert words.reach_of_whole((0.0, 0.0), 0.573, 1.0, SIZE) == pytest.approx(2.5, abs=0.01)
    assert words.reach_of_whole((3.0, 0.0), 0.0, 1.0, SIZE) == pytest.approx(3.0)
    assert words.reach_of_whole((4.0, 3.0), 0.0, 1.02, SIZE) == pytest.approx(10.0)
    assert words.whole_means((3.0, 0.0), 0.0, 1.0, SIZE).startswith("That is 3.0 mm at the corner")
    assert words.whole_means((0.1, 0.0), 0.0, 1.0, SIZE) == ""


@pytest.mark.parametrize(("number", "said"), [(3.4, "+3"), (-3.4, "−3"), (0.4, "0"), (-0.4, "0"), (-12.0, "−12")])
def test_whole_numbers_carry_their_sign(number: float, said: str) -> None:
    assert words.signed(number) == said
