"""Ratings of photos are kept with the painting, never undone, and stale when what they were made from has changed."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import Painting
from core.size import Size
from core.store import schema
from tests.core.painting_support import CORNERS, write_photo

OLD = Path(__file__).parent / "old" / "version_1.sql"


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    with Painting.create(tmp_path / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)) as painting:
        for number in (1, 2):
            painting.add_canvas_photo(painting.import_photo(write_photo(tmp_path, f"{number}.jpg", number)).id)
        yield painting


def keep(painting: Painting, canvas_photo: int = 1, text: str = '{"schema": 1}') -> None:
    painting.set_photo_rating(canvas_photo, text, inputs=painting.rating_inputs(canvas_photo), version=1)


def is_current(painting: Painting, canvas_photo: int = 1, version: int = 1) -> bool:
    kept = painting.photo_rating(canvas_photo, version=version)
    assert kept is not None
    return kept.is_current


def test_a_rating_is_there_again_after_opening(painting: Painting) -> None:
    assert painting.photo_rating(1, version=1) is None
    keep(painting, text='{"faults": "é☃"}')
    painting.close()
    with Painting.open(painting.folder) as again:
        kept = again.photo_rating(1, version=1)
        assert kept is not None
        assert (kept.rating, kept.is_current) == ('{"faults": "é☃"}', True)
        assert again.photo_rating(2, version=1) is None


def test_a_rating_is_no_step_and_is_replaced_by_the_next(painting: Painting) -> None:
    before = painting.can_undo
    keep(painting)
    keep(painting, text="[2]")
    assert painting.can_undo == before
    kept = painting.photo_rating(1, version=1)
    assert kept is not None
    assert kept.rating == "[2]"


def test_corners_make_it_stale_and_undoing_them_makes_it_hold_again(painting: Painting) -> None:
    keep(painting)
    painting.set_corners(1, CORNERS)
    assert not is_current(painting)
    painting.undo()
    assert is_current(painting)


def test_size_and_reference_count_with_corners_only(painting: Painting) -> None:
    painting.set_corners(2, CORNERS)
    for canvas_photo in (1, 2):
        keep(painting, canvas_photo)
    painting.set_size(Size(500, 400))
    assert is_current(painting, 1)
    assert not is_current(painting, 2)
    keep(painting, 2)
    painting.set_reference_crop(CORNERS)
    assert is_current(painting, 1)
    assert not is_current(painting, 2)


def test_another_version_a_lens_and_a_blank_make_it_stale(painting: Painting) -> None:
    painting.set_corners(1, CORNERS)
    keep(painting)
    assert not is_current(painting, version=2)
    painting.set_corners(1, CORNERS, lens_k1=-0.04)
    assert not is_current(painting)
    keep(painting, 2)
    painting.set_is_blank(2, True)
    assert not is_current(painting, 2)


def test_a_rating_begun_before_a_change_does_not_hold_after_it(painting: Painting) -> None:
    begun = painting.rating_inputs(1)
    painting.set_corners(1, CORNERS)
    painting.set_photo_rating(1, "{}", inputs=begun, version=1)
    assert not is_current(painting)


def test_naming_and_moving_a_photo_do_not_make_it_stale(painting: Painting) -> None:
    keep(painting)
    painting.rename_canvas_photo(1, "after the first glaze")
    painting.set_sitting(1, 3)
    painting.set_note(1, "raking light")
    assert is_current(painting)


def test_listeners_hear_of_it(painting: Painting) -> None:
    heard: list[frozenset[str]] = []
    painting.changed.connect(lambda change: heard.append(change.parts))
    keep(painting)
    assert heard == [frozenset({"photo_rating"})]


def test_what_is_not_json_is_refused(painting: Painting) -> None:
    with pytest.raises(PaintingError, match="not JSON"):
        keep(painting, text="glare")
    assert painting.photo_rating(1, version=1) is None


def test_a_photo_that_is_not_there_is_refused(painting: Painting) -> None:
    with pytest.raises(PaintingError, match="not on the ledge"):
        painting.photo_rating(9, version=1)


def test_nothing_is_kept_where_the_painting_is_open_only_to_look(painting: Painting) -> None:
    keep(painting)
    with Painting.open(painting.folder, look_only=True) as looking:
        assert is_current(looking)
        with pytest.raises(PaintingError, match="only to look"):
            keep(looking)


def test_a_painting_of_version_1_can_keep_ratings(tmp_path: Path) -> None:
    folder = tmp_path / "Enamel jug"
    folder.mkdir()
    with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
        connection.executescript(OLD.read_text(encoding="utf-8"))
        files = [row[0] for row in connection.execute("SELECT file FROM photo ORDER BY id")]
    for seed, name in enumerate(files):
        write_photo(folder / "photos", name, seed)
    with Painting.open(folder) as painting:
        canvas_photo = painting.canvas_photos()[0].id
        assert painting.photo_rating(canvas_photo, version=1) is None
        keep(painting, canvas_photo)
        assert is_current(painting, canvas_photo)
    with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(schema.MIGRATIONS) >= 3
