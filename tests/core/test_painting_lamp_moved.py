"""Photos with the lamp moved, kept with the painting: chosen, undone, and counted among what a check is made from."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import Painting
from core.size import Size
from core.store.lamp_moved import LAMP_MOVED
from tests.core.painting_support import CORNERS, write_photo


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    """Photos 1 to 3 laid flat, 4 without corners, 5 a blank."""
    with Painting.create(tmp_path / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)) as painting:
        for number in range(1, 6):
            photo = painting.import_photo(write_photo(tmp_path, f"{number}.jpg", number))
            added = painting.add_canvas_photo(photo.id, is_blank=number == 5)
            if number != 4:
                painting.set_corners(added.id, CORNERS)
        painting.set_check_result(1, '{"schema": 1}')
        yield painting


def chosen(painting: Painting, canvas_photo: int = 1) -> list[int]:
    return [photo.id for photo in painting.lamp_moved(canvas_photo)]


def is_current(painting: Painting) -> bool:
    check = painting.check_result(1)
    assert check is not None
    return check.is_current


def test_photos_laid_flat_that_are_no_blanks_can_be_chosen(painting: Painting) -> None:
    assert [photo.id for photo in painting.lamp_could_be_moved(1)] == [2, 3]
    for wrong in (1, 5):
        with pytest.raises(PaintingError, match="another photo of the painted canvas"):
            painting.set_lamp_moved(1, [wrong])
    with pytest.raises(PaintingError, match="not on the ledge"):
        painting.set_lamp_moved(1, [77])
    assert chosen(painting) == []


def test_a_choice_is_for_its_photo_alone_and_there_again_after_opening(painting: Painting) -> None:
    painting.set_lamp_moved(1, [3, 2])
    painting.set_lamp_moved(3, [1])
    painting.close()
    with Painting.open(painting.folder) as again:
        assert [chosen(again, photo) for photo in (1, 2, 3)] == [[2, 3], [], [1]]


def test_choosing_is_a_step_and_the_check_holds_only_for_its_own_choice(painting: Painting) -> None:
    assert is_current(painting)
    painting.set_lamp_moved(1, [2])
    assert (chosen(painting), is_current(painting)) == ([2], False)
    painting.set_check_result(1, '{"schema": 1}')
    assert is_current(painting)
    assert painting.undo() == "chose photos with the lamp moved"
    assert (chosen(painting), is_current(painting)) == ([], False)
    painting.redo()
    assert (chosen(painting), is_current(painting)) == ([2], True)


def test_choosing_what_is_chosen_is_no_step(painting: Painting) -> None:
    before = painting.can_undo
    painting.set_lamp_moved(1, [])
    assert painting.can_undo == before


def test_what_becomes_of_a_photo_chosen_counts(painting: Painting) -> None:
    painting.set_lamp_moved(1, [2, 3])
    painting.set_check_result(1, '{"schema": 1}')
    painting.set_corners(2, ((11, 10), *CORNERS[1:]))
    assert not is_current(painting)
    painting.undo()
    assert is_current(painting)
    painting.remove_canvas_photo(3)
    assert (chosen(painting), is_current(painting)) == ([2], False)
    painting.restore_canvas_photo(3)
    assert (chosen(painting), is_current(painting)) == ([2, 3], True)


@pytest.mark.parametrize("kept", [[1], {"x": [2]}, {"1": 2}, {"1": ["y"]}, None])
def test_a_choice_that_cannot_be_read_is_none(painting: Painting, kept: object) -> None:
    painting.set_plan(LAMP_MOVED, kept)
    assert chosen(painting) == []
    painting.set_lamp_moved(1, [2])
    assert chosen(painting) == [2]
