"""How warmth is looked at, and what is pointed at: plain values, kept and read forgivingly."""

import json
from dataclasses import replace

import pytest

from app.temperatures.kept import MOST_PINS, NeutralPlace, Pins, Place
from app.temperatures.settings import FACTORS, STRENGTHS, SURROUNDS_MM, Temperatures
from app.view import Hung, Look, Question, Subject, View
from app.view_actions import CHANGES, what_is_on
from core.size import Size

KEPT = Temperatures(
    surround_mm=60.0, strength=2.0, factor=6.0, whole=True, boundary=4.5, outline=True, pins=False, of_canvas=True
)
SIZE = Size(200, 150)


def test_all_of_it_is_kept_with_the_view() -> None:
    view = View(temperatures=KEPT, question=Question.TEMPERATURE, hung=(Hung(look=Look.WARMTH),))
    assert View.from_json(json.loads(json.dumps(view.to_json()))) == view


@pytest.mark.parametrize(
    ("part", "broken", "usual"),
    [
        ("surround_mm", "wide", 30.0),
        ("surround_mm", float("nan"), 30.0),
        ("strength", None, 1.0),
        ("factor", [], 4.0),
        ("boundary", 12, None),
        ("boundary", "x", None),
    ],
)
def test_what_cannot_be_read_is_as_usual_and_the_rest_stays(part: str, broken: object, usual: object) -> None:
    found = Temperatures.from_json(KEPT.to_json() | {part: broken})
    assert getattr(found, part) == usual
    assert replace(found, **{part: getattr(KEPT, part)}) == KEPT


@pytest.mark.parametrize("data", [None, [], "x", {}, {"surround": 3}])
def test_a_view_without_them_has_the_usual_ones(data: object) -> None:
    assert Temperatures.from_json(data) == Temperatures()


def test_usual_settings_can_be_set() -> None:
    usual = Temperatures()
    assert usual.surround_mm in SURROUNDS_MM
    assert usual.strength in STRENGTHS
    assert usual.factor in FACTORS


def test_surround_is_stepped_and_held_at_its_ends() -> None:
    settings = Temperatures()
    for _ in range(9):
        settings = settings.surround_by(-1)
    assert settings.surround_mm == SURROUNDS_MM[0]
    assert settings.surround_by(1).surround_mm == SURROUNDS_MM[1]


def test_pins_are_numbered_by_the_smallest_that_is_free_and_kept() -> None:
    pins = Pins().added((10, 20)).added((30, 40)).added((50, 60))
    assert [place.number for place in pins.places] == [1, 2, 3]
    pins = pins.without(2)
    assert pins.next_number == 2
    again = Pins.from_json(json.loads(json.dumps(pins.to_json())), SIZE)
    assert again == Pins((Place(1, (10.0, 20.0)), Place(3, (50.0, 60.0))))


def test_pins_that_cannot_be_read_are_left_out() -> None:
    data = [[1, 10, 10], "x", [2, 5], [1, 20, 20], [3, float("nan"), 1], [4, 900, -5]]
    assert Pins.from_json(data, SIZE).places == (Place(1, (10.0, 10.0)), Place(4, (200.0, 0.0)))
    assert Pins.from_json({"a": 1}, SIZE) == Pins()
    assert len(Pins.from_json([[n, n, n] for n in range(1, 60)], SIZE).places) == MOST_PINS


def test_a_neutral_holds_only_while_the_photo_lies_as_it_did() -> None:
    corners = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    moved = ((0.5, 0.0), *corners[1:])
    assert NeutralPlace((1, 1), corners).holds(corners)
    assert not NeutralPlace((1, 1), corners).holds(moved)
    assert not NeutralPlace((1, 1), corners).holds(None)
    assert NeutralPlace((1, 1), None).holds(None)


def test_the_warmth_difference_is_a_look_of_the_canvas() -> None:
    view = View(canvas_photo=4).toggle_look(Look.WARMTH_DIFFERENCE)
    assert view.chosen == Hung(Subject.CANVAS, Look.WARMTH_DIFFERENCE)
    assert view.show_subject(Subject.REFERENCE).chosen == Hung(Subject.REFERENCE, Look.COLOUR)
    assert view.without_canvas().chosen.look is Look.GREY


@pytest.mark.parametrize(("name", "look"), [("warmth", Look.WARMTH), ("lean", Look.LEAN), ("families", Look.FAMILIES)])
def test_a_picture_of_warmth_opens_the_panel_that_explains_it(name: str, look: Look) -> None:
    view = CHANGES[name](View(question=Question.VALUE))
    assert (view.chosen.look, view.question) == (look, Question.TEMPERATURE)
    assert what_is_on(view)[name]
    again = CHANGES[name](view)
    assert again.chosen.look is Look.COLOUR
    assert not what_is_on(again)[name]
