"""How mixes are looked for, and the mixing list: plain values, kept and read forgivingly."""

import json
from dataclasses import replace

import pytest

from app.mixing.kept import MOST_MIXES, Mix, MixingList
from app.mixing.settings import MixView
from app.view import PANELS, Question, View
from app.view_actions import CHANGES, what_is_on
from core.size import Size

SIZE = Size(200, 150)
KEPT = MixView("earths", 10.0, 3, 8, False, True, 7, "zinc white", "raw umber", True, True, "Letter")
GREY = Mix(0, (0.2, 0.19, 0.15), (("titanium white", 5), ("ivory black", 2)), at=(40.0, 30.0), span_mm=6.0)


def test_all_of_it_is_kept_with_the_view() -> None:
    view = View(mixing=KEPT, question=Question.MIX)
    assert View.from_json(json.loads(json.dumps(view.to_json()))) == view


@pytest.mark.parametrize(
    ("part", "broken", "usual"),
    [
        ("palette", 3, ""), ("span_mm", float("nan"), 6.0), ("span_mm", "wide", 6.0), ("tubes", None, 4),
        ("parts", "many", 12), ("steps", [], 9), ("lighter", None, ""), ("paper", "B7", "A4"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_as_usual_and_the_rest_stays(part: str, broken: object, usual: object) -> None:
    found = MixView.from_json(KEPT.to_json() | {part: broken})
    assert getattr(found, part) == usual
    assert replace(found, **{part: getattr(KEPT, part)}) == KEPT


def test_numbers_are_held_to_what_there_is() -> None:
    found = MixView.from_json({"tubes": 9, "parts": 11, "steps": 1, "span_mm": 7.4})
    assert (found.tubes, found.parts, found.steps, found.span_mm) == (4, 10, 3, 6.0)


def test_the_panel_has_its_key_and_its_place() -> None:
    assert list(PANELS).index(Question.MIX) == list(PANELS).index(Question.TEMPERATURE) + 1
    view = CHANGES["question_mix"](View())
    assert view.question is Question.MIX
    assert what_is_on(view)["question_mix"]


def test_the_list_numbers_names_and_forgets() -> None:
    mixes = MixingList().added(GREY).added(replace(GREY, at=None, step=3))
    assert [mix.number for mix in mixes.mixes] == [1, 2]
    assert [mix.told for mix in mixes.mixes] == ["mix 1", "value step 3"]
    named = mixes.named(1, "  the   linen ")
    assert named.mix(1).told == "the linen"
    assert named.named(1, "").mix(1).told == "mix 1"
    assert [mix.number for mix in named.without(1).added(GREY).mixes] == [2, 1]


def test_tubes_that_are_needed_most_come_first() -> None:
    ochre = Mix(0, GREY.light, (("yellow ochre", 3), ("titanium white", 1)))
    assert MixingList().added(GREY).added(ochre).tubes == ("titanium white", "yellow ochre", "ivory black")


def test_the_list_is_kept_and_read_back() -> None:
    mixes = MixingList().added(GREY).named(1, "linen").added(replace(GREY, at=None, step=2))
    assert MixingList.from_json(json.loads(json.dumps([m.to_json() for m in mixes.mixes])), SIZE) == mixes


@pytest.mark.parametrize(
    "broken",
    [
        None, 7, {}, {"number": 1}, GREY.to_json() | {"light": [1, 2]},
        GREY.to_json() | {"light": [1, 2, float("inf")]},
        GREY.to_json() | {"parts": []}, GREY.to_json() | {"parts": [["ochre", 0]]},
        GREY.to_json() | {"parts": [["ochre", 9999]]}, GREY.to_json() | {"number": "x"},
    ],
)  # fmt: skip
def test_mixes_that_cannot_be_read_are_left_out(broken: object) -> None:
    good = GREY.to_json() | {"number": 2}
    assert [mix.number for mix in MixingList.from_json([broken, good], SIZE).mixes] == [2]
    assert MixingList.from_json(broken, SIZE) == MixingList()


def test_no_more_than_so_many_and_none_off_the_canvas() -> None:
    many = [GREY.to_json() | {"number": n, "at": [500, -3]} for n in range(1, MOST_MIXES + 9)]
    found = MixingList.from_json(many, SIZE)
    assert len(found.mixes) == MOST_MIXES
    assert found.mixes[0].at == (200.0, 0.0)
