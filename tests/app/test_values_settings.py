"""How values are looked at: plain values, kept with the view and read forgivingly."""

import json
from dataclasses import replace

import pytest

from app.values.settings import KEYINGS, SMALLEST_MM2, Between, PaintReach, Printed, Values, own_for
from app.view import Hung, Look, Subject, View
from core.size import PAPERS
from core.value.keying import Keying

KEPT = Values(
    between=Between.HAND,
    own=(1.5, 3.0, 5.25, 8.0),
    smallest_mm2=200.0,
    alone=3,
    marks=True,
    order=True,
    at=7,
    reach=PaintReach(2.0, 9.0, 0.2, from_canvas=True),
    keying="keep the darks",
    beyond=True,
    earth="burnt umber",
    printed=Printed("A3", fitted=False, with_grid=True),
)


def test_all_of_it_is_kept_with_the_view() -> None:
    view = View(values=KEPT)
    assert View.from_json(json.loads(json.dumps(view.to_json()))) == view


@pytest.mark.parametrize(
    ("part", "broken", "usual"),
    [
        ("own", [5, 3, 2, 1], ()),
        ("own", [1, 2], ()),
        ("own", "x", ()),
        ("between", "as I like", Between.EQUAL),
        ("smallest_mm2", None, 9.0),
        ("alone", 12, None),
        ("reach", [9, 8, 0, False], None),
        ("reach", [float("nan"), 8, 0, False], None),
        ("keying", "louder", KEYINGS[0]),
        ("printed", ["A17", True, True], Printed()),
        ("at", -4, 1),
    ],
)
def test_what_cannot_be_read_is_as_usual_and_the_rest_stays(part: str, broken: object, usual: object) -> None:
    data = KEPT.to_json() | {part: broken}
    found = Values.from_json(data, 5)
    assert getattr(found, part) == usual
    assert found.earth == "burnt umber"
    assert found.beyond


def test_boundaries_for_another_number_of_steps_are_equal_ones_again() -> None:
    found = Values.from_json(KEPT.to_json(), 4)
    assert (found.between, found.own) == (Between.EQUAL, ())


@pytest.mark.parametrize("data", [None, [], "x", {}, {"values": 3}])
def test_a_view_without_them_has_the_usual_ones(data: object) -> None:
    assert Values.from_json(data, 5) == Values()


def test_names_of_the_keyings_are_those_of_the_core() -> None:
    assert tuple(KEYINGS) == tuple(str(each) for each in Keying)


def test_papers_can_be_had() -> None:
    assert {"A4", "A3", "Letter"} <= set(PAPERS)


def test_more_steps_halve_the_widest_and_fewer_join_the_narrowest() -> None:
    own = (1.0, 2.0, 8.0)
    assert own_for(own, 5) == (1.0, 2.0, 5.0, 8.0)
    assert own_for(own, 3) == (2.0, 8.0)  # 0-2 is the narrowest pair
    assert own_for(own, 4) == own


def test_another_number_of_steps_keeps_the_boundaries_of_the_hand_and_the_step_alone() -> None:
    view = View(steps=5, values=KEPT).steps_by(-1)
    assert len(view.values.own) == 3
    assert set(view.values.own) < set(KEPT.own)
    assert view.values.alone == 3
    assert view.steps_by(-1).values.alone == 2


def test_steps_are_walked_from_the_darkest_and_held_at_the_ends() -> None:
    view = View().step_alone(1)
    assert (view.values.alone, view.chosen.look) == (0, Look.STEPS)
    for _ in range(9):
        view = view.step_alone(1)
    assert view.values.alone == 4
    assert View().step_alone(-1).values.alone == 4  # from all steps to the lightest
    assert view.step_alone(0).values.alone is None


def test_smallest_shape_is_stepped_and_held() -> None:
    values = Values(smallest_mm2=SMALLEST_MM2[-1])
    assert values.smallest_by(1).smallest_mm2 == SMALLEST_MM2[-1]
    assert values.smallest_by(-1).smallest_mm2 == SMALLEST_MM2[-2]


def test_the_underpainting_is_of_the_reference_only() -> None:
    view = View(hung=(Hung(Subject.CANVAS),), canvas_photo=1).toggle_look(Look.UNDERPAINTING)
    assert view.chosen == Hung(Subject.REFERENCE, Look.UNDERPAINTING)
    assert view.show_subject(Subject.CANVAS).chosen == Hung(Subject.CANVAS, Look.COLOUR)
    assert replace(view).toggle_look(Look.UNDERPAINTING).chosen.look is Look.COLOUR
