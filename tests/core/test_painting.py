"""A painting on disk: what goes in comes out, after closing and opening too."""

import gc
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from core.errors import PaintingError
from core.painting import Change, Painting
from core.size import Size
from core.store import records
from tests.core.painting_support import CORNERS, everything, make_painting, make_painting_at, photo_bytes, write_photo


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    with Painting.create(tmp_path / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)) as painting:
        yield painting


def test_everything_comes_back(tmp_path: Path) -> None:
    folder = tmp_path / "Stillleben №1" / "Krug, Quitten & Leinen #é%20"
    make_painting_at(folder, tmp_path)
    with Painting.open(folder) as painting:
        before = everything(painting)
        assert painting.record.title == "Enamel jug and quinces"
        assert (painting.size, painting.steps) == (Size(400, 300), 5)
        assert painting.reference is not None
        assert painting.reference.crop == CORNERS
        first, second = painting.canvas_photos()
        assert (first.name, first.sitting, first.corners, first.found_by) == ("sitting 1.jpg", 1, CORNERS, "outline")
        assert (second.sitting, second.lens_k1, second.removed) == (2, -0.05, False)
        assert painting.drawing_svg == "<svg><path d='M 0 0'/></svg>"
        assert [version.note for version in painting.drawing_versions()] == ["from the tracing"]
        assert painting.plan("focal points") == [[200, 120]]
        assert painting.settings() == {"squint": 3.5}
        assert painting.notices == ()
    with Painting.open(folder) as painting:
        assert everything(painting) == before
        assert painting.verify() == ()


def test_the_folder_holds_what_it_should_and_nothing_more(tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    names = {"photos", "painting.sqlite", "painting.backup.sqlite", "painting.sha256", "painting.lock"}
    assert {path.name for path in folder.iterdir()} == names
    assert len(list((folder / "photos").iterdir())) == 3


def test_every_change_is_on_disk_when_the_call_returns(painting: Painting) -> None:
    painting.set_title("Jug and quinces")
    painting.set_setting("squint", 2)
    with closing(sqlite3.connect(painting.folder / "painting.sqlite")) as other:
        assert other.execute("SELECT title FROM painting").fetchone()[0] == "Jug and quinces"
        assert other.execute("SELECT value FROM setting").fetchone()[0] == "2"
        assert other.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    # 2 is FULL: sqlite.org, "PRAGMA synchronous"; with NORMAL a power cut may take the last commits of a WAL.
    assert painting._connection.execute("PRAGMA synchronous").fetchone()[0] == 2
    assert painting._connection.execute("PRAGMA foreign_keys").fetchone()[0] == 1
    assert painting._connection.execute("PRAGMA application_id").fetchone()[0] == int.from_bytes(b"EASL", "big")


def test_numbers_come_back_exactly(painting: Painting) -> None:
    corners = np.array([[0.1, 1 / 3], [4e3 + 1e-9, np.pi], [np.nextafter(1, 2), 2], [-5.5, 1e-17]])
    added = painting.add_canvas_photo(painting.photos()[0].id)
    painting.set_corners(added.id, corners, found_by="tabs", lens_k1=-0.1)
    there = painting.canvas_photo(added.id)
    assert np.array_equal(np.asarray(there.corners), corners)
    assert (there.found_by, there.lens_k1) == ("tabs", -0.1)
    painting.undo()
    painting.redo()
    assert np.array_equal(np.asarray(painting.canvas_photo(added.id).corners), corners)
    painting.set_corners(added.id, corners + 1)
    assert painting.canvas_photo(added.id).lens_k1 == -0.1
    painting.set_corners(added.id, None)
    assert painting.canvas_photo(added.id).corners is None
    assert painting.canvas_photo(added.id).found_by is None


@pytest.mark.parametrize("corners", [[], [[1, 2]] * 3, [[1, 2]] * 5, [[1, 2, 3]] * 4, [[1, np.nan]] * 4, 7, "abcd"])
def test_what_is_not_four_corners_is_refused(painting: Painting, corners: object) -> None:
    added = painting.add_canvas_photo(painting.photos()[0].id)
    with pytest.raises(PaintingError, match="four points"):
        painting.set_corners(added.id, corners)
    with pytest.raises(PaintingError, match="four points"):
        painting.set_reference_crop(corners)
    assert painting.can_undo == "added a canvas photo"


def test_bad_answers_are_sentences_and_change_nothing(painting: Painting) -> None:
    added = painting.add_canvas_photo(painting.photos()[0].id)
    before = everything(painting)
    attempts = {
        "value steps": lambda: painting.set_steps(11),
        "Sittings are counted": lambda: painting.set_sitting(added.id, 0),
        "not one of the painting's": lambda: painting.add_canvas_photo(99),
        "not on the ledge": lambda: painting.set_corners(99, CORNERS),
        "not a blank": lambda: painting.use_blank(added.id, added.id),
        "not a number": lambda: painting.set_corners(added.id, CORNERS, lens_k1=float("nan")),
        "names a photo twice": lambda: painting.reorder([added.id, added.id]),
        "not plain data": lambda: painting.set_setting("squint", {1, 2}),
        "is not plain": lambda: painting.set_plan("palette", float("inf")),
        "not JSON": lambda: painting.set_check_result(added.id, "{"),
        "version of the drawing": lambda: painting.use_drawing(99),
    }
    for sentence, attempt in attempts.items():
        with pytest.raises(PaintingError, match=sentence):
            attempt()
    assert everything(painting) == before


def test_the_ledge_keeps_its_order(painting: Painting) -> None:
    photo_id = painting.photos()[0].id
    first, second, third = (painting.add_canvas_photo(photo_id, name=name).id for name in "abc")
    painting.reorder([third, first])
    assert [photo.id for photo in painting.canvas_photos()] == [third, first, second]
    painting.set_sitting(third, 2)
    assert [photo.id for photo in painting.canvas_photos()] == [first, second, third]
    assert painting.latest_sitting == 2
    assert painting.add_canvas_photo(photo_id).sitting == 2
    painting.remove_canvas_photo(first)
    assert first not in [photo.id for photo in painting.canvas_photos()]
    assert first in [photo.id for photo in painting.canvas_photos(with_removed=True)]
    assert painting.photo_file(photo_id).exists()
    painting.restore_canvas_photo(first)
    assert painting.canvas_photos()[0].id == first


def test_a_blank_serves_its_own_sitting_or_where_it_is_chosen(painting: Painting) -> None:
    photo_id = painting.photos()[0].id
    early = painting.add_canvas_photo(photo_id, sitting=1, is_blank=True).id
    mine = painting.add_canvas_photo(photo_id, sitting=1).id
    later = painting.add_canvas_photo(photo_id, sitting=2).id
    assert painting.blank_for(mine) == painting.canvas_photo(early)
    assert painting.blank_for(later) is None
    painting.use_blank(later, early)
    assert painting.blank_for(later) == painting.canvas_photo(early)
    painting.remove_canvas_photo(early)
    assert painting.blank_for(mine) is None
    assert painting.blank_for(later) is None


def test_a_check_is_current_until_something_it_was_made_from_changes(painting: Painting) -> None:
    photo_id = painting.photos()[0].id
    checked = painting.add_canvas_photo(photo_id).id
    assert painting.check_result(checked) is None
    changes = [
        lambda: painting.set_corners(checked, CORNERS),
        lambda: painting.set_drawing("<svg/>"),
        lambda: painting.set_size(Size(300, 400)),
        lambda: painting.set_reference_crop(CORNERS),
        lambda: painting.add_canvas_photo(photo_id, is_blank=True),
    ]
    for make_change in changes:
        painting.set_check_result(checked, '{"schema": 1}')
        painting.set_title(f"title {painting.title}")
        painting.set_steps(7)
        result = painting.check_result(checked)
        assert result is not None
        assert result.is_current
        make_change()
        result = painting.check_result(checked)
        assert result is not None
        assert not result.is_current
        painting.undo()
        result = painting.check_result(checked)
        assert result is not None
        assert result.is_current


def test_drawing_versions_all_stay_and_take_little_room(painting: Painting) -> None:
    strokes = [f"<path d='M {n} {n * 7 % 300} L 400 {n}'/>" for n in range(400)]
    texts = ["<svg>" + "".join(strokes[: n + 1]) + "</svg>" for n in range(400)]
    for text in texts[:150]:
        painting.set_drawing(text)
    painting.set_drawing(texts[149])
    versions = painting.drawing_versions()
    assert len(versions) == 150
    assert [painting.drawing_version(version.id) for version in versions] == texts[:150]
    stored = painting._connection.execute("SELECT sum(length(middle)) FROM drawing").fetchone()[0]
    assert stored < sum(map(len, texts[:150])) / 10
    painting.use_drawing(versions[3].id)
    assert painting.drawing_svg == texts[3]
    assert painting.undo() == "went back to an earlier drawing"
    assert painting.drawing_svg == texts[149]


@pytest.mark.parametrize(
    "pair", [("", "a"), ("a", ""), ("aaaa", "aa"), ("aa", "aaaa"), ("abcabc", "abc"), ("é☃x", "é☃☃x")]
)
def test_drawing_differences_put_themselves_together(painting: Painting, pair: tuple[str, str]) -> None:
    long = "<g/>" * 30
    for text in (*pair, long + pair[0] + long, long + pair[1] + long, pair[0] + long, long + pair[1]):
        painting.set_drawing(text)
        assert painting.drawing_svg == text
        assert painting.drawing_version(painting.drawing_versions()[-1].id) == text


def test_listeners_are_told_what_changed_and_never_kept_alive(painting: Painting) -> None:
    heard: list[Change] = []

    class View:
        def hear(self, change: Change) -> None:
            heard.append(change)

    view, plain = View(), list[Change]()
    painting.changed.connect(view.hear)
    painting.changed.connect(plain.append)
    painting.set_title("Quinces")
    painting.set_title("Quinces")
    painting.set_drawing("<svg/>")
    painting.set_setting("squint", 1)
    painting.undo()
    parts = ["painting", "drawing", "setting", "drawing"]
    assert [change.parts for change in heard] == [frozenset({part}) for part in parts]
    assert [change.how for change in heard] == ["made", "made", "made", "undone"]
    assert heard[0].label == "renamed the painting"
    with painting.step("set up"):
        painting.set_title("Linen")
        painting.set_setting("squint", 2)
    assert heard[-1] == Change(frozenset({"painting", "setting"}), "set up")
    del view
    gc.collect()
    painting.set_title("Jug")
    assert heard[-1].label == "set up"
    assert len(plain) == 6
    painting.changed.disconnect(plain.append)
    painting.set_title("Linen")
    assert len(plain) == 6


def test_only_the_thread_that_opened_it_may_use_it(painting: Painting) -> None:
    raised: list[BaseException] = []

    def use() -> None:
        try:
            painting.set_title("elsewhere")
        except sqlite3.ProgrammingError as error:
            raised.append(error)

    thread = threading.Thread(target=use)
    thread.start()
    thread.join()
    assert len(raised) == 1
    assert painting.title == "Jug"


def test_a_clock_that_goes_backwards_changes_no_order(painting: Painting, monkeypatch: pytest.MonkeyPatch) -> None:
    class Backwards(datetime):
        passed = 0

        @classmethod
        def now(cls, tz: object = None) -> "Backwards":
            cls.passed += 1
            return cls(2020, 1, 1, tzinfo=UTC) - timedelta(days=cls.passed)

    monkeypatch.setattr(records, "datetime", Backwards)
    photo_id = painting.photos()[0].id
    ids = [painting.add_canvas_photo(photo_id, name=name).id for name in "abc"]
    titles = ["one", "two", "three"]
    for title in titles:
        painting.set_title(title)
    assert [photo.id for photo in painting.canvas_photos()] == ids
    assert painting.canvas_photo(ids[2]).added_at < painting.canvas_photo(ids[0]).added_at
    seen = []
    while painting.title != "Jug":
        seen.append(painting.title)
        painting.undo()
    assert seen == titles[::-1]


def test_a_painting_is_made_whole_or_not_at_all(tmp_path: Path) -> None:
    reference = write_photo(tmp_path, "jug.jpg", 0)
    with pytest.raises(PaintingError, match="is not there any more"):
        Painting.create(tmp_path / "new", "Jug", Size(400, 300), tmp_path / "gone.jpg")
    assert not (tmp_path / "new").exists()
    (tmp_path / "empty").mkdir()
    with pytest.raises(PaintingError, match="is empty"):
        Painting.create(tmp_path / "empty", "Jug", Size(400, 300), write_photo(tmp_path, "nothing.jpg", 0, 0))
    assert list((tmp_path / "empty").iterdir()) == []
    with pytest.raises(PaintingError, match="value steps"):
        Painting.create(tmp_path / "new", "Jug", Size(400, 300), reference, steps=1)
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "letter.txt").write_text("dear")
    with pytest.raises(PaintingError, match="other files"):
        Painting.create(tmp_path / "full", "Jug", Size(400, 300), reference)
    with pytest.raises(PaintingError, match="is a file"):
        Painting.create(reference, "Jug", Size(400, 300), reference)
    with Painting.create(tmp_path / "empty", "Jug", Size(400, 300), reference) as made:
        assert made.photo_file(1).read_bytes() == photo_bytes(0)
        assert made.can_undo is None
    with pytest.raises(PaintingError, match="a painting already"):
        Painting.create(tmp_path / "empty", "Jug", Size(400, 300), reference)


def test_closing_twice_is_harmless(tmp_path: Path) -> None:
    painting = Painting.open(make_painting(tmp_path))
    painting.close()
    painting.close()


def test_it_is_quick(tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    with Painting.open(folder) as painting:
        photo_id = painting.photos()[0].id
        with painting.step("a long time at the easel"):
            for number in range(100):
                painting.add_canvas_photo(photo_id, sitting=1 + number // 10)
        for number in range(100):
            painting.set_drawing("<svg>" + f"<path d='M {number} 0'/>" * 2000 + "</svg>")
    openings, changes = [], []
    for number in range(5):
        begun = time.perf_counter()
        painting = Painting.open(folder)
        openings.append(time.perf_counter() - begun)
        with painting:
            for again in range(4):
                begun = time.perf_counter()
                painting.set_title(f"title {number} {again}")
                changes.append(time.perf_counter() - begun)
    assert min(openings) < 0.1
    assert min(changes) < 0.02
