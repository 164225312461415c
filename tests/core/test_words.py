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
