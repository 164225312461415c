"""Landmarks placed by hand are kept with the painting: undone, redone, there again, and in files made before there were
any."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.hand_places import hands_on_canvas
from core.painting import Painting
from core.size import Size
from core.store import schema
from tests.core.painting_support import CORNERS, everything, write_photo

OLD = Path(__file__).parent / "old" / "version_1.sql"
PHOTO = {"photo_width": 4032, "photo_height": 3024}


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    with Painting.create(tmp_path / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)) as painting:
        for number in (1, 2):
            photo = painting.import_photo(write_photo(tmp_path, f"{number}.jpg", number))
            painting.set_corners(painting.add_canvas_photo(photo.id, sitting=number).id, CORNERS)
        yield painting


def places(painting: Painting, canvas_photo: int = 1) -> dict[str, tuple[float, float]]:
    return {each.name: (each.x_px, each.y_px) for each in painting.landmarks_by_hand(canvas_photo)}


def test_a_place_is_kept_for_its_photo_alone_and_there_again_after_opening(painting: Painting) -> None:
    painting.place_landmark_by_hand(1, "spout", 100.25, 200.5, **PHOTO)
    painting.place_landmark_by_hand(1, "rim é☃", 7, 8, **PHOTO)
    assert places(painting, 2) == {}
    painting.close()
    with Painting.open(painting.folder) as again:
        assert places(again) == {"spout": (100.25, 200.5), "rim é☃": (7.0, 8.0)}


def test_placing_moving_and_taking_away_are_steps(painting: Painting) -> None:
    painting.place_landmark_by_hand(1, "spout", 1, 2, **PHOTO)
    painting.place_landmark_by_hand(1, "spout", 3, 4, **PHOTO)
    painting.remove_landmark_by_hand(1, "spout")
    assert places(painting) == {}
    assert painting.undo() == "took the hand's place of “spout” away"
    assert places(painting) == {"spout": (3.0, 4.0)}
    assert painting.undo() == "placed “spout” by hand"
    assert places(painting) == {"spout": (1.0, 2.0)}
    painting.undo()
    assert places(painting) == {}
    for wanted in ({"spout": (1.0, 2.0)}, {"spout": (3.0, 4.0)}, {}):
        painting.redo()
        assert places(painting) == wanted


def test_listeners_hear_of_it(painting: Painting) -> None:
    heard: list[frozenset[str]] = []
    painting.changed.connect(lambda change: heard.append(change.parts))
    painting.place_landmark_by_hand(1, "spout", 1, 2, **PHOTO)
    painting.undo()
    assert heard == [frozenset({"landmark_by_hand"})] * 2


def test_a_check_does_not_grow_stale_by_it(painting: Painting) -> None:
    painting.set_check_result(1, "{}")
    painting.place_landmark_by_hand(1, "spout", 1, 2, **PHOTO)
    record = painting.check_result(1)
    assert record is not None
    assert record.is_current


@pytest.mark.parametrize("x", [float("nan"), float("inf")])
def test_what_is_no_place_is_refused(painting: Painting, x: float) -> None:
    with pytest.raises(PaintingError, match="not a number"):
        painting.place_landmark_by_hand(1, "spout", x, 2, **PHOTO)
    with pytest.raises(PaintingError, match="no pixels"):
        painting.place_landmark_by_hand(1, "spout", 1, 2, photo_width=0, photo_height=9)
    with pytest.raises(PaintingError, match="not on the ledge"):
        painting.place_landmark_by_hand(99, "spout", 1, 2, **PHOTO)
    with pytest.raises(PaintingError, match="was not placed by hand"):
        painting.remove_landmark_by_hand(1, "spout")


def test_the_place_in_mm_follows_the_corners_and_the_lens(painting: Painting) -> None:
    """A landmark on the canvas's own corner is at the edge of the face, however the corners and the lens lie."""
    painting.place_landmark_by_hand(1, "corner", *CORNERS[2], **PHOTO)
    size = painting.size
    for lens_k1 in (0.0, -0.05):
        hand = hands_on_canvas(painting.landmarks_by_hand(1), CORNERS, size, lens_k1)["corner"]
        assert (hand.x_mm, hand.y_mm) == pytest.approx((400.0, 300.0), abs=1e-6)
    other = tuple((x, y + (100 if y > 1000 else 0)) for x, y in CORNERS)
    moved = hands_on_canvas(painting.landmarks_by_hand(1), other, size, 0.0)["corner"]
    assert moved.y_mm == pytest.approx(300 * 2990 / 3090, abs=1.0)
    assert hands_on_canvas(painting.landmarks_by_hand(1), None, size, 0.0) == {}


def test_a_painting_of_version_1_opens_with_all_it_had(tmp_path: Path) -> None:
    """The tables were dumped from a painting that the program made before landmarks could be placed by hand."""
    folder = tmp_path / "Enamel jug"
    folder.mkdir()
    with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
        connection.executescript(OLD.read_text(encoding="utf-8"))
        assert connection.execute("PRAGMA user_version").fetchone()[0] == 1
        files = [row[0] for row in connection.execute("SELECT file FROM photo ORDER BY id")]
    for seed, name in enumerate(files):
        write_photo(folder / "photos", name, seed)
    with Painting.open(folder) as painting:
        assert painting.notices == ()
        found = everything(painting)
        assert painting.title == "Enamel jug and quinces"
        assert [photo.state for photo in found["photos"]] == ["good"] * 3
        assert [photo.lens_k1 for photo in painting.canvas_photos()] == [-0.05, -0.05]
        assert [check.result for check in found["checks"]] == ['{"schema": 1}'] * 2
        assert painting.plan("focal points") == [[200, 120]]
        assert painting.can_redo == "renamed the painting"
        painting.redo()
        painting.place_landmark_by_hand(2, "spout", 10, 20, **PHOTO)
        for _ in range(3):
            painting.undo()
        assert painting.title == "Enamel jug"
    with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(schema.MIGRATIONS)
    with closing(sqlite3.connect(folder / "painting.version-1.sqlite")) as kept:
        assert kept.execute("PRAGMA user_version").fetchone()[0] == 1
        assert kept.execute("SELECT count(*) FROM canvas_photo").fetchone()[0] == 2


def test_an_older_painting_can_be_looked_at_where_nothing_may_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "Enamel jug"
    folder.mkdir()
    with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
        connection.executescript(OLD.read_text(encoding="utf-8"))
    before = (folder / "painting.sqlite").read_bytes()
    (folder / "photos").mkdir()
    with Painting.open(folder, look_only=True) as painting:
        assert painting.landmarks_by_hand(1) == ()
    assert (folder / "painting.sqlite").read_bytes() == before
