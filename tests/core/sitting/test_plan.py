"""The plan of a painting in sittings: four to start with, changed one at a time, kept as plain data."""

import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import PaintingError
from core.sitting.coat import Coat, Lies, SittingTube
from core.sitting.layer import Layer, Medium, Thickness
from core.sitting.plan import PlannedSitting, SittingPlan, read_plan, usual_plan
from tests.core.sitting.sitting_cases import plans

USUAL = usual_plan()
UMBER = SittingTube("burnt umber", ("PBr7",))


def keys(plan: SittingPlan) -> list[int]:
    return [each.key for each in plan.sittings]


def test_the_usual_four_are_two_thin_and_quick_one_long_and_one_of_corrections() -> None:
    first, second, third, fourth = USUAL.sittings
    assert first.coat.thickness is second.coat.thickness is Thickness.THIN
    assert third.minutes > max(first.minutes + second.minutes, fourth.minutes)
    assert "corrections" in fourth.aim
    assert USUAL.minutes == sum(each.minutes for each in USUAL.sittings)


def test_a_sitting_is_added_where_it_is_wanted() -> None:
    assert keys(USUAL.added(aim="glazes")) == [1, 2, 3, 4, 5]
    more = USUAL.added(aim="glazes", number=2, minutes=30)
    assert keys(more) == [1, 5, 2, 3, 4]
    assert (more.of(5).aim, more.number(5), more.number(2)) == ("glazes", 2, 3)


def test_a_sitting_is_split_in_two_of_half_its_length() -> None:
    plan = USUAL.changed(replace(USUAL.of(3), minutes=75, coat=Coat(tubes=(UMBER,)))).split(3)
    assert keys(plan) == [1, 2, 3, 5, 4]
    assert (plan.of(3).minutes, plan.of(5).minutes) == (38, 37)
    assert replace(plan.of(5), key=3, minutes=38) == plan.of(3)
    short = USUAL.changed(replace(USUAL.of(1), minutes=1)).split(1)
    assert (short.of(1).minutes, short.of(5).minutes) == (1, 1)


@pytest.mark.parametrize(
    ("number", "after"),
    [(1, [3, 1, 2, 4]), (2, [1, 3, 2, 4]), (4, [1, 2, 4, 3]), (9, [1, 2, 4, 3]), (-2, [3, 1, 2, 4])],
)
def test_a_sitting_is_moved(number: int, after: list[int]) -> None:
    assert keys(USUAL.moved(3, number)) == after


def test_a_key_is_never_used_again() -> None:
    plan = USUAL.added().removed(5).added()
    assert keys(plan) == [1, 2, 3, 4, 6]
    with pytest.raises(PaintingError, match="no longer in the plan"):
        plan.of(5)
    with pytest.raises(PaintingError, match="no longer in the plan"):
        USUAL.changed(PlannedSitting(7))


@pytest.mark.parametrize("minutes", [0, -5, 1441])
def test_a_length_that_no_sitting_has_is_refused(minutes: int) -> None:
    with pytest.raises(PaintingError, match=f"{minutes} minutes is not within that"):
        replace(USUAL.of(1), minutes=minutes)


def test_the_layer_tells_earths_of_one_name_apart() -> None:
    tubes = (UMBER, SittingTube("burnt sienna", ("PBr7",)), SittingTube("Indian red", ("PR101",)), SittingTube("mine"))
    assert Coat(Medium.SOLVENT, Thickness.THIN, tubes).layer == Layer(
        Medium.SOLVENT, Thickness.THIN, ("PBr7 burnt umber", "PBr7 burnt sienna", "PR101", "mine")
    )


@given(plans())
@settings(max_examples=40, deadline=None)
def test_what_is_written_is_read_back(plan: SittingPlan) -> None:
    assert read_plan(json.loads(json.dumps(plan.to_json(), allow_nan=False))) == (plan, ())


def test_nothing_kept_is_the_usual_plan() -> None:
    assert read_plan(None) == (USUAL, ())


def test_what_this_program_does_not_know_is_passed_over() -> None:
    kept = USUAL.to_json()
    kept["weather"] = "fine"
    kept["sittings"][0]["music"] = ["none"]
    assert read_plan(kept) == (USUAL, ())


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("aim", 7, "The aim of sitting 2"),
        ("medium", "egg", "The medium of sitting 2"),
        ("thickness", None, "The thickness of sitting 2"),
        ("minutes", "long", "The length of sitting 2"),
        ("minutes", 10**9, "The length of sitting 2"),
        ("minutes", True, "The length of sitting 2"),
        ("tubes", "umber", "The tubes of sitting 2"),
        ("tubes", ["umber"], "An entry of the tubes of sitting 2"),
        ("tubes", [{"name": "umber", "pigments": [7]}], "The pigments of “umber” in sitting 2"),
        ("lies", "upside down", "Where the paint of sitting 2 lies"),
    ],
)
def test_what_cannot_be_read_is_as_usual_and_told(name: str, value: object, sentence: str) -> None:
    kept = USUAL.to_json()
    kept["sittings"][1][name] = value
    plan, told = read_plan(kept)
    assert told == (f"{sentence} could not be read. Set it again.",)
    assert [replace(each, aim="", coat=Coat(), minutes=1) for each in plan.sittings] == [
        PlannedSitting(key, minutes=1) for key in (1, 2, 3, 4)
    ]
    assert plan.sittings[::2] == USUAL.sittings[::2]


def test_keys_that_cannot_be_matched_are_new_ones_and_told() -> None:
    kept = USUAL.to_json()
    kept["sittings"][2]["key"], kept["sittings"][3]["key"], kept["next_key"] = 1, 0, "?"
    plan, told = read_plan(kept)
    assert keys(plan) == [1, 2, 3, 4]
    assert plan.next_key == 5
    assert "Sitting 3 could not be matched with the log. Note again what was done." in told
    assert len(told) == 3


@pytest.mark.parametrize("kept", [7, [], "plan", {}, {"schema": "1"}, {"schema": 0}, {"schema": True}])
def test_what_is_no_plan_is_refused(kept: Any) -> None:
    with pytest.raises(PaintingError, match="plan of the sittings cannot be read"):
        read_plan(kept)


def test_a_plan_of_a_newer_program_is_refused_and_left() -> None:
    with pytest.raises(PaintingError, match=r"saved by a newer Easelside.*nothing in it was changed"):
        read_plan({**USUAL.to_json(), "schema": 2})


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


@given(st.sampled_from(["key", "aim", "medium", "thickness", "tubes", "minutes", "lies"]), anything)
@settings(max_examples=60, deadline=None)
def test_no_entry_breaks_the_plan(name: str, value: Any) -> None:
    kept = USUAL.added(coat=Coat(lies=Lies.WIPED)).to_json()
    kept["sittings"][1][name] = value
    plan, _ = read_plan(kept)
    assert len(plan.sittings) == 5
    assert len(set(keys(plan))) == 5
