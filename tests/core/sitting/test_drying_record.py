"""What a painting keeps of its drying comes back, whole or broken."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.sitting.drying_record import SCHEMA, DryingRecord, drying_from_json
from core.sitting.layer import Ground, Room
from core.sitting.touch_tests import Touch, TouchTest

AT = datetime(2026, 5, 3, 18, 0, tzinfo=UTC)
WET, DRY = TouchTest(AT, Touch.WET), TouchTest(AT + timedelta(days=3), Touch.DRY)
FULL = DryingRecord(Room(17.5, 62.0), Ground.CHALK).with_test("2", DRY).with_test("2", WET).with_test("3", WET)


def through_json(value: Any) -> Any:
    return json.loads(json.dumps(value))


@pytest.mark.parametrize("record", [DryingRecord(), FULL])
def test_a_record_comes_back(record: DryingRecord) -> None:
    assert drying_from_json(through_json(record.to_json())) == (record, ())


def test_tests_are_kept_by_sitting_and_in_order() -> None:
    assert FULL.of("2") == (WET, DRY)
    assert FULL.of("1") == ()
    assert FULL.without_test("2", WET).of("2") == (DRY,)
    assert "3" not in FULL.without_test("3", WET).to_json()["tests"]
    assert FULL.of("3") == (WET,)


def test_nothing_kept_is_a_new_record() -> None:
    assert drying_from_json(None) == (DryingRecord(), ())
    assert drying_from_json({}) == (DryingRecord(), ())


def test_a_newer_record_is_told_and_read_as_far_as_it_is_known() -> None:
    newer = {**FULL.to_json(), "schema": SCHEMA + 1, "wind": 3}
    record, told = drying_from_json(newer)
    assert record == FULL
    assert len(told) == 1
    assert "a newer version" in told[0]


@pytest.mark.parametrize(
    ("part", "broken", "sentence"),
    [
        ("room", {"temperature_c": 999, "humidity": 50}, "room could not be read"),
        ("room", {"temperature_c": "warm"}, "room could not be read"),
        ("room", [20], "room could not be read"),
        ("ground", "sand", "ground could not be read"),
        ("ground", {}, "ground could not be read"),
        ("tests", 5, "touch tests could not be read"),
        ("tests", {"2": [{"at": "?"}, {"at": "?"}]}, "2 touch tests could not be read"),
    ],
)
def test_a_broken_part_becomes_its_default_with_a_sentence(part: str, broken: Any, sentence: str) -> None:
    record, told = drying_from_json({**FULL.to_json(), part: broken})
    default = DryingRecord()
    assert len(told) == 1
    assert sentence in told[0]
    for each in ("room", "ground", "tests"):
        assert getattr(record, each) == getattr(default if each == part else FULL, each)


ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["schema", "room", "ground", "tests", "at", "found", "1"]), inner, max_size=4)
    ),
    max_leaves=10,
)


@given(ANY)
@settings(max_examples=30, deadline=None)
def test_whatever_lies_there_nothing_breaks(value: Any) -> None:
    record, told = drying_from_json(value)
    assert drying_from_json(record.to_json())[0] == record
    assert all(each.endswith(".") for each in told)
