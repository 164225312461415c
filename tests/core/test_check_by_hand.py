"""A check in which landmarks were placed by hand, when it is made and when it is read again."""

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from core.check import CheckResult
from core.check_by_hand import with_hands
from core.check_files import as_json, as_maps
from core.drawing.by_hand import Hand, corrected, reach_mm
from tests.core.check_case import SIZE, cat_case, cat_result, checked

OFF = (4.0, -3.0)


def a_hand() -> tuple[str, Hand]:
    """The landmark nearest the middle, put 5 mm from where it belongs."""
    middle = np.array([SIZE.width_mm, SIZE.height_mm]) / 2
    mark = min(cat_result().drift.landmarks, key=lambda each: float(np.hypot(*(middle - (each.x_mm, each.y_mm)))))
    return mark.name, Hand(mark.x_mm + OFF[0], mark.y_mm + OFF[1], 0.3)


@cache
def checked_with_a_hand() -> CheckResult:
    name, hand = a_hand()
    return checked(replace(cat_case().request, by_hand={name: hand}))


def test_the_hand_s_numbers_stand_in_check_json_with_confidence_1() -> None:
    name, _ = a_hand()
    found, plain = as_json(checked_with_a_hand()), as_json(cat_result())
    marks = {mark["name"]: mark for mark in found["drawing"]["landmarks"]}
    assert set(marks[name]) == {"name", "x_mm", "y_mm", "dx_mm", "dy_mm", "confidence"}
    assert (marks[name]["dx_mm"], marks[name]["dy_mm"], marks[name]["confidence"]) == (*OFF, 1.0)
    others = [mark for mark in plain["drawing"]["landmarks"] if mark["name"] != name]
    assert [mark for key, mark in marks.items() if key != name] == others
    assert found["drawing"]["whole"] == plain["drawing"]["whole"]
    assert set(found) == set(plain)
    assert found["schema"] == 1
    assert any(f"“{name}”" in line["say"] and "4.0 mm too far right" in line["say"] for line in found["mend"])


def test_the_maps_follow_the_hand_near_it_and_nowhere_else() -> None:
    _, hand = a_hand()
    x, y = hand.x_mm - OFF[0], hand.y_mm - OFF[1]
    bent, plain = as_maps(checked_with_a_hand()), as_maps(cat_result())
    assert bent["drift_dx_mm"][int(y), int(x)] == pytest.approx(OFF[0], abs=0.2)
    columns, rows = np.meshgrid(np.arange(400) + 0.5, np.arange(300) + 0.5)
    far = np.hypot(columns - x, rows - y) > reach_mm(SIZE)
    np.testing.assert_array_equal(bent["drift_dx_mm"][far], plain["drift_dx_mm"][far])


def test_what_was_measured_is_kept_beside_it() -> None:
    result = checked_with_a_hand()
    assert result.measured is not None
    assert result.measured.landmarks == cat_result().drift.landmarks
    assert cat_result().measured is None
    assert ", 1 placed by hand." in " ".join(result.certainty)


def test_a_kept_check_read_with_a_hand_says_what_a_new_check_says() -> None:
    name, hand = a_hand()
    kept = json.loads(json.dumps(as_json(cat_result())))
    read = with_hands(kept, kept["drawing"], {name: hand})
    made = as_json(replace(cat_result(), drift=corrected(cat_result().drift, {name: hand})))
    assert read["drawing"]["whole"] == made["drawing"]["whole"]
    for one, other in zip(read["drawing"]["landmarks"], made["drawing"]["landmarks"], strict=True):
        assert one == pytest.approx(other, abs=0.006)  # a kept landmark has its place to two decimals
    drawing = [line for line in read["mend"] if line["question"] == "drawing"]
    assert any(f"“{name}”" in line["say"] for line in drawing)
    assert [line["weight"] for line in read["mend"]] == sorted((m["weight"] for m in read["mend"]), reverse=True)
    assert [line for line in read["mend"] if line["question"] == "value"] == [
        line for line in kept["mend"] if line["question"] == "value"
    ]


def test_taking_the_hand_away_gives_back_exactly_what_was_measured() -> None:
    plain = json.loads(json.dumps(as_json(cat_result())))
    made = json.loads(json.dumps(as_json(checked_with_a_hand())))
    back = with_hands(made, plain["drawing"], {})
    assert back["drawing"] == plain["drawing"]
    assert [m["say"] for m in back["mend"] if m["question"] == "drawing"] == [
        m["say"] for m in plain["mend"] if m["question"] == "drawing"
    ]


def test_what_could_not_be_told_stays_untold() -> None:
    plain = as_json(cat_result())
    unknown = {"whole": {"shift_mm": [None, None], "turn_deg": None, "scale": None}, "landmarks": []}
    name, hand = a_hand()
    found = with_hands(plain, unknown | {"landmarks": plain["drawing"]["landmarks"]}, {name: hand})
    assert found["drawing"]["whole"] == unknown["whole"]
