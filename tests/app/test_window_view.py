"""What hangs and how it is looked at: the plain values behind the wall."""

import json
from dataclasses import replace

import pytest

from app.view import MOST_HANGINGS, SQUINTS_MM, AcetateStyle, Hung, Look, Question, Subject, View
from core.drawing.squaring import Squaring


def looks(view: View) -> list[tuple[str, str]]:
    return [(each.subject.value, each.look.value) for each in view.hung]


def test_a_new_painting_hangs_the_reference_in_colour_and_in_grey() -> None:
    assert looks(View()) == [("reference", "colour"), ("reference", "grey")]


def test_a_look_pressed_twice_is_colour_again() -> None:
    view = View().toggle_look(Look.STEPS)
    assert view.chosen.look is Look.STEPS
    assert view.toggle_look(Look.STEPS).chosen.look is Look.COLOUR
    assert view.toggle_look(Look.GREY).chosen.look is Look.GREY


def test_difference_hangs_in_the_canvas_s_place() -> None:
    view = View(canvas_photo=4).toggle_look(Look.DIFFERENCE)
    assert view.chosen == Hung(Subject.CANVAS, Look.DIFFERENCE)
    assert view.show_subject(Subject.REFERENCE).chosen == Hung(Subject.REFERENCE, Look.COLOUR)


@pytest.mark.parametrize("count", [0, 1, 2, 3, 7])
def test_one_to_three_hang(count: int) -> None:
    assert len(View().with_count(count).hung) == min(max(count, 1), MOST_HANGINGS)


def test_a_new_place_gets_what_does_not_hang_yet() -> None:
    assert looks(View(canvas_photo=1).with_count(3))[2] == ("canvas", "colour")
    assert looks(View().with_count(3))[2] == ("reference", "steps")


def test_fewer_places_keep_the_chosen_picture() -> None:
    view = View(hung=(Hung(), Hung(look=Look.GREY), Hung(Subject.CANVAS)), canvas_photo=1).select(2)
    assert view.with_count(1).chosen.subject is Subject.CANVAS
    assert view.with_count(2).selected == 1


def test_a_canvas_photo_takes_the_last_place_and_then_stays_there() -> None:
    view = View().hang_canvas_photo(7)
    assert looks(view) == [("reference", "colour"), ("canvas", "colour")]
    again = view.toggle_look(Look.GREY).hang_canvas_photo(8)
    assert again.canvas_photo == 8
    assert looks(again) == [("reference", "colour"), ("canvas", "grey")]
    assert len(View().with_count(1).hang_canvas_photo(7).hung) == 2


def test_without_a_canvas_only_the_reference_hangs() -> None:
    view = View(canvas_photo=1, hung=(Hung(Subject.CANVAS, Look.DIFFERENCE),)).without_canvas()
    assert looks(view) == [("reference", "grey")]
    assert view.canvas_photo is None


def test_steps_go_from_two_to_ten_and_are_shown_when_changed() -> None:
    view = View().steps_by(1)
    assert (view.steps, view.chosen.look) == (6, Look.STEPS)
    for _ in range(20):
        view = view.steps_by(1)
    assert view.steps == 10
    for _ in range(20):
        view = view.steps_by(-1)
    assert view.steps == 2


def test_squint_goes_by_steps_and_stops_at_the_ends() -> None:
    view = View()
    for _ in range(20):
        view = view.squint_by(1)
    assert view.squint_mm == SQUINTS_MM[-1]
    assert view.squint
    for _ in range(20):
        view = view.squint_by(-1)
    assert view.squint_mm == SQUINTS_MM[0]


def test_a_panel_opened_twice_is_closed() -> None:
    view = View().open_question(Question.DRAWING)
    assert view.question is Question.DRAWING
    assert view.open_question(Question.DRAWING).question is None


def test_view_comes_back_from_json_as_it_was() -> None:
    view = View(
        hung=(Hung(acetate=True), Hung(Subject.CANVAS, Look.DIFFERENCE), Hung(Subject.CANVAS, Look.STEPS)),
        selected=2,
        canvas_photo=12,
        as_shot=True,
        steps=7,
        squint=True,
        squint_mm=8.0,
        acetate=AcetateStyle(0.5, "white", 0.8, landmarks=False),
        arrows=False,
        areas=False,
        question=None,
        ledge=False,
        grid=True,
        squaring=Squaring(6, 5, cell_mm=25.4, halves=True, cell_diagonals=True),
        plumb=True,
    )
    assert View.from_json(json.loads(json.dumps(view.to_json()))) == view


@pytest.mark.parametrize(
    "damage",
    [
        None,
        [],
        "view",
        {},
        {"hung": []},
        {"hung": [["wall", "grey", True]]},
        {"acetate": [1, "puce", 1, True]},
        {"squint_mm": None},
        {"question": "perspective"},
        {"squaring": {"columns": "many"}},
        {"squaring": [4, 4]},
    ],
)
def test_what_cannot_be_read_is_as_for_a_new_painting(damage: object) -> None:
    kept = View().to_json() | damage if isinstance(damage, dict) and damage else damage
    assert View.from_json(kept) == View()


def test_a_view_that_was_kept_before_there_was_a_grid_is_read() -> None:
    kept = replace(View(), steps=7).to_json()
    for later in ("grid", "squaring", "plumb"):
        del kept[later]
    assert View.from_json(kept) == View(steps=7)


def test_a_grid_kept_with_other_parts_is_read_as_far_as_it_goes() -> None:
    kept = View().to_json() | {"squaring": {"columns": 7, "shape": "round"}}
    assert View.from_json(kept).squaring == Squaring(columns=7)


def test_numbers_out_of_range_are_brought_back() -> None:
    data = replace(View(), squint_mm=900.0).to_json() | {"selected": 9}
    view = View.from_json(data)
    assert view.squint_mm == SQUINTS_MM[-1]
    assert view.selected == 1
