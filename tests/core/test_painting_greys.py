"""What the painter pointed at in the canvas photos: a step of the history, and part of what a check is made from."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.painting import KNOWN_GREYS, Painting
from tests.core.painting_support import make_painting

GREY = {"x_px": 10.0, "y_px": 20.0, "value": 8.0, "kind": "card"}
CHART = {"x_px": 50.0, "y_px": 20.0, "value": None, "kind": "chart"}


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    with Painting.open(make_painting(tmp_path)) as made:
        yield made


def ids(painting: Painting) -> tuple[int, int]:
    one, other = (photo.id for photo in painting.canvas_photos())
    return one, other


def is_current(painting: Painting, canvas_photo: int) -> bool:
    record = painting.check_result(canvas_photo)
    assert record is not None
    return record.is_current


def test_a_check_is_of_what_was_pointed_at_in_its_own_photo(painting: Painting) -> None:
    one, other = ids(painting)
    painting.set_check_result(one, "{}")
    painting.set_check_result(other, "{}")
    painting.set_plan(KNOWN_GREYS, {str(one): [GREY]}, label="pointed at a grey card")
    assert (is_current(painting, one), is_current(painting, other)) == (False, True)
    assert painting.undo() == "pointed at a grey card"
    assert is_current(painting, one)
    painting.redo()
    painting.set_check_result(one, "{}")
    assert is_current(painting, one)
    painting.set_plan(KNOWN_GREYS, {str(one): [GREY, CHART]})
    assert not is_current(painting, one)
    painting.set_plan(KNOWN_GREYS, {})
    assert not is_current(painting, one)


def test_a_check_made_with_what_an_earlier_version_kept_holds_until_that_changes(painting: Painting) -> None:
    one, _ = ids(painting)
    painting.set_check_result(one, "{}")
    painting.set_setting(KNOWN_GREYS, {str(one): [GREY]})
    assert is_current(painting, one)
    painting.set_plan(KNOWN_GREYS, {str(one): [GREY]})  # taken over as it was
    assert is_current(painting, one)
    painting.set_plan(KNOWN_GREYS, {})
    assert not is_current(painting, one)


def test_a_plan_that_is_none_hinders_nothing(painting: Painting) -> None:
    one, _ = ids(painting)
    painting.set_check_result(one, "{}")
    painting.set_setting(KNOWN_GREYS, [1, 2])
    painting.set_plan(KNOWN_GREYS, "lamp")
    assert is_current(painting, one)
