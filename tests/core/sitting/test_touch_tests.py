"""What touch tests leave of the time a layer can have taken."""

from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.sitting.touch_tests import Bounds, Touch, TouchTest, read_tests, touches_as_json, touches_from_json

FINISHED = datetime(2026, 5, 3, 18, 0, tzinfo=UTC)
FOUND = {"w": Touch.WET, "t": Touch.TACKY, "d": Touch.DRY}
TESTS = st.lists(
    st.builds(
        lambda hours, found: TouchTest(FINISHED + timedelta(hours=hours), found),
        st.integers(-5, 400), st.sampled_from(Touch),
    ),
    max_size=8,
)  # fmt: skip
quickly = settings(max_examples=40, deadline=None)


def noted(days: str) -> list[TouchTest]:
    """Such as ``w1 t3 d4``."""
    return [TouchTest(FINISHED + timedelta(days=float(each[1:])), FOUND[each[0]]) for each in days.split()]


@pytest.mark.parametrize(
    ("days", "bounds"),
    [
        ("", Bounds()),
        ("w1", Bounds(1, None)),
        ("t2", Bounds(2, None)),
        ("d3", Bounds(None, 3)),
        ("w1 w2 t3 t4 d5 d9", Bounds(4, 5)),
        ("d5 w1", Bounds(1, 5)),
    ],
)
def test_the_layer_dried_between_the_last_soft_test_and_the_first_dry_one(days: str, bounds: Bounds) -> None:
    assert read_tests(FINISHED, noted(days)) == bounds


@pytest.mark.parametrize(
    ("days", "after", "by", "sentences"),
    [
        ("d2 w4", 4, None, 1),
        ("d2 t4 d6", 4, 6, 1),
        ("t2 w4", 4, None, 1),
        ("t1 d2 w4 d5", 4, 5, 2),
        ("d2 w2", 2, None, 1),
    ],
)
def test_tests_that_go_back_are_told_and_the_later_softer_one_counts(
    days: str, after: float, by: float | None, sentences: int
) -> None:
    bounds = read_tests(FINISHED, noted(days))
    assert (bounds.after, bounds.by) == (after, by)
    assert len(bounds.told) == sentences
    assert all("both cannot be, and the later one counts" in each for each in bounds.told)


def test_the_sentence_names_both_tests() -> None:
    told = read_tests(FINISHED, noted("d2 w4")).told[0]
    assert "Found dry on 5 May 2026 at 18:00, but wet on 7 May 2026 at 18:00" in told


def test_a_touch_before_the_end_of_the_layer_is_told_and_not_counted() -> None:
    bounds = read_tests(FINISHED, noted("d-1 w1"))
    assert bounds.by is None
    assert bounds.after == 1
    assert "before the layer was finished" in bounds.told[0]


def test_time_zones_are_heeded() -> None:
    there = (FINISHED + timedelta(days=2)).astimezone(timezone(timedelta(hours=-7)))
    assert read_tests(FINISHED, [TouchTest(there, Touch.DRY)]).by == pytest.approx(2.0)


@given(TESTS)
@quickly
def test_whatever_was_noted_an_interval_is_left(tests: list[TouchTest]) -> None:
    bounds = read_tests(FINISHED, tests)
    assert bounds.after is None or bounds.by is None or 0 < bounds.after < bounds.by
    assert bounds.empty == all(test.at <= FINISHED for test in tests)
    assert read_tests(FINISHED, list(reversed(tests))) == bounds


@given(TESTS)
@quickly
def test_tests_come_back_from_json(tests: list[TouchTest]) -> None:
    assert touches_from_json(touches_as_json(tests)) == (tuple(tests), ())


@pytest.mark.parametrize(
    "broken",
    ["wet", 3, {}, {"at": "2026-05-03T18:00:00+00:00", "found": "sticky"}, {"at": 5, "found": "wet"},
     {"at": "2026-05-03T18:00:00", "found": "wet"}, {"at": "May", "found": "dry"}, {"at": None, "found": []}],
)  # fmt: skip
def test_a_broken_test_is_left_out_with_a_sentence(broken: Any) -> None:
    kept = noted("w1")
    read, told = touches_from_json([*touches_as_json(kept), broken])
    assert read == tuple(kept)
    assert told == ("1 touch test could not be read and must be noted again.",)


def test_no_tests_at_all_are_no_fault() -> None:
    assert touches_from_json(None) == touches_from_json([]) == ((), ())
    assert touches_from_json("broken")[0] == ()
