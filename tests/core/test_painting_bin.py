"""What is thrown away lies in the painting's bin; killed at any moment, every photograph is in one place, whole."""

import contextlib
import shutil
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import Painting
from core.size import Size
from core.store import bin as bins
from core.store import database, files, ledge, photos, session
from tests.core.painting_support import photo_bytes, write_photo


class KilledError(BaseException):
    """The process ends here."""


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    made = Painting.create(tmp_path / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0))
    for number in (1, 2):
        record = made.import_photo(write_photo(tmp_path / "card", f"photo {number}.jpg", number))
        made.add_canvas_photo(record.id, sitting=1)
    with made:
        yield made


def there(painting: Painting) -> dict[str, str]:
    """Every photograph's file by the folder it lies in."""
    return {path.name[:7]: path.parent.name for path in painting.folder.glob("*/photo*.jpg")}


def shown(painting: Painting) -> list[str]:
    return [photo.name for photo in painting.canvas_photos()]


def test_a_photo_is_thrown_away_and_brought_back(painting: Painting) -> None:
    first, second = painting.canvas_photos()
    painting.throw_away(first.id)
    assert there(painting) == {"photo 1": "bin", "photo 2": "photos"}
    assert shown(painting) == ["photo 2.jpg"]
    (binned,) = painting.bin_contents()
    assert (binned.name, binned.bytes, binned.canvas_photo) == ("photo 1.jpg", 20_000, first.id)
    assert binned.file.read_bytes() == photo_bytes(1)
    assert binned.binned_at is not None
    assert painting.notices == painting.verify() == ()
    assert painting.undo() == "moved “photo 1.jpg” to the bin"
    assert set(there(painting).values()) == {"photos"}
    assert painting.canvas_photos() == (first, second)
    painting.redo()
    assert there(painting)["photo 1"] == "bin"
    assert painting.put_back(painting.bin_contents()[0]) == first
    assert set(there(painting).values()) == {"photos"}
    assert painting.bin_contents() == ()
    painting.remove_canvas_photo(first.id)  # only marked this time
    assert set(there(painting).values()) == {"photos"}


def test_what_something_else_uses_stays(painting: Painting) -> None:
    first, _ = painting.canvas_photos()
    other = painting.add_canvas_photo(first.photo.id, name="again")
    with pytest.raises(PaintingError, match="is “again” of sitting 1 too"):
        painting.throw_away(first.id)
    painting.remove_canvas_photo(other.id)
    painting.set_reference(first.photo.id)
    with pytest.raises(PaintingError, match="is the reference too"):
        painting.throw_away(first.id)
    painting.undo()
    painting.throw_away(first.id)
    painting.set_reference(first.photo.id)  # wanted again after all
    assert set(there(painting).values()) == {"photos"}


def test_a_painting_open_only_to_look_refuses(painting: Painting) -> None:
    first, second = painting.canvas_photos()
    painting.throw_away(first.id)
    painting.close()
    with Painting.open(painting.folder, look_only=True) as looked:
        assert [each.name for each in looked.bin_contents()] == ["photo 1.jpg"]
        for refused in (lambda: looked.throw_away(second.id), lambda: looked.put_back(looked.bin_contents()[0])):
            with pytest.raises(PaintingError, match="open only to look"):
                refused()
    assert there(painting) == {"photo 1": "bin", "photo 2": "photos"}


def test_a_bin_emptied_in_the_file_manager_is_no_fault(painting: Painting, tmp_path: Path) -> None:
    first, _ = painting.canvas_photos()
    painting.throw_away(first.id)
    painting.close()
    shutil.rmtree(painting.folder / "bin")
    with Painting.open(painting.folder) as again:
        assert again.notices == again.verify() == again.bin_contents() == ()
        again.undo()  # it is wanted back: now it is missing
        assert again.canvas_photos()[0].photo.state == "missing"
        assert "is missing" in again.notices[0]
        again.import_photo(tmp_path / "card" / "photo 1.jpg")
        assert again.notices == again.verify() == ()


@pytest.mark.parametrize("spoilt", [False, True])
def test_the_very_bytes_come_out_of_the_bin_again(painting: Painting, tmp_path: Path, spoilt: bool) -> None:
    first, _ = painting.canvas_photos()
    painting.throw_away(first.id)
    if spoilt:
        painting.bin_contents()[0].file.write_bytes(b"spoilt")
    record = painting.import_photo(write_photo(tmp_path, "other name.jpg", 1))
    assert (record.id, record.already_there) == (first.photo.id, True)
    assert painting.photo_file(record.id).read_bytes() == photo_bytes(1)
    assert painting.photo_file(record.id).parent.name == "photos"
    assert painting.verify() == painting.bin_contents() == ()
    assert len(list(painting.folder.glob("bin/*altered*"))) == spoilt  # nothing is lost, not even that
    painting.add_canvas_photo(record.id)
    assert painting.undo() == "added a canvas photo"


def test_a_file_that_cannot_be_moved_leaves_all_as_it_was(painting: Painting, monkeypatch: pytest.MonkeyPatch) -> None:
    first, _ = painting.canvas_photos()

    def held(path: Path, target: Path) -> None:
        raise PermissionError(13, "held by another program")

    with monkeypatch.context() as patched:
        patched.setattr(photos, "carry", held)
        with pytest.raises(PaintingError, match="not moved to the bin"):
            painting.throw_away(first.id)
        assert shown(painting) == ["photo 1.jpg", "photo 2.jpg"]
        assert painting.thrown_away() == frozenset()
    painting.throw_away(first.id)
    with monkeypatch.context() as patched:
        patched.setattr(photos, "carry", held)
        painting.undo()
        assert "safe where it is" in painting.notices[-1]
        assert painting.photo_file(first.photo.id).read_bytes() == photo_bytes(1)  # found in the bin
    painting.close()
    with Painting.open(painting.folder) as again:
        assert set(there(again).values()) == {"photos"}
        assert again.notices == ()


def test_after_a_rescue_the_bin_still_tells_what_is_in_it(painting: Painting) -> None:
    painting.throw_away(painting.canvas_photos()[0].id)
    painting.close()
    for path in painting.folder.glob("painting*.sqlite"):
        path.write_bytes(b"damaged" * 1000)
    with Painting.open(painting.folder) as again:
        assert there(again) == {"photo 1": "bin", "photo 2": "photos"}
        (binned,) = again.bin_contents()
        assert binned.canvas_photo is None
        back = again.put_back(binned)
        assert again.photo_file(back.photo.id).read_bytes() == photo_bytes(1)
        assert set(there(again).values()) == {"photos"}
        assert again.verify() == ()


def test_an_older_copy_gets_its_file_back(painting: Painting) -> None:
    """The kept copy knows nothing of what was thrown away after it was made."""
    painting.close()
    kept = (painting.folder / database.KEPT_COPY).read_bytes()
    with Painting.open(painting.folder) as again:
        again.throw_away(again.canvas_photos()[0].id)
    (painting.folder / database.KEPT_COPY).write_bytes(kept)
    (painting.folder / database.DATABASE).write_bytes(b"damaged" * 1000)
    with Painting.open(painting.folder) as again:
        assert set(there(again).values()) == {"photos"}
        assert shown(again) == ["photo 1.jpg", "photo 2.jpg"]
        assert again.verify() == ()


@contextlib.contextmanager
def _never_committed(connection: object) -> Iterator[None]:
    connection.execute("BEGIN IMMEDIATE")  # type: ignore[attr-defined]
    yield
    raise KilledError


def _killed(*_: object, **__: object) -> None:
    raise KilledError


WHERE: dict[str, tuple[object, str, Callable[..., object]]] = {
    "before the file is moved": (photos, "carry", _killed),
    "before its new place is on the disk": (files, "sync_folder", _killed),
    "before the records are saved": (session, "transaction", _never_committed),
    "before the file follows the records": (bins.PhotoBin, "_settle", _killed),
    "after all": (session.Session, "_saved", _killed),
}
CHANGES: dict[str, Callable[[Painting], object]] = {
    "throw away": lambda painting: painting.throw_away(painting.canvas_photos()[0].id),
    "undo": lambda painting: painting.undo(),
    "redo": lambda painting: painting.redo(),
    "put back": lambda painting: painting.put_back(painting.bin_contents()[0]),
}


@pytest.mark.parametrize("where", WHERE)
@pytest.mark.parametrize("change", CHANGES)
def test_killed_at_any_step_nothing_is_lost(
    painting: Painting, monkeypatch: pytest.MonkeyPatch, where: str, change: str
) -> None:
    first = painting.canvas_photos()[0]
    if change != "throw away":
        painting.throw_away(first.id)
    if change == "redo":
        painting.undo()
    with monkeypatch.context() as patched:
        patched.setattr(*WHERE[where])
        with pytest.raises(KilledError):
            CHANGES[change](painting)
        painting._connection.close()
    assert painting._opened.lock is not None
    painting._opened.lock.release()
    painting._closed = True
    with Painting.open(painting.folder) as again:
        is_away = first.id not in [photo.id for photo in again.canvas_photos()]
        assert there(again) == {"photo 1": "bin" if is_away else "photos", "photo 2": "photos"}
        assert len(again.bin_contents()) == is_away
        assert again.photo_file(first.photo.id).read_bytes() == photo_bytes(1)
        assert again.notices == again.verify() == ()
        again.undo()
        again.redo()
        assert again.photo_file(first.photo.id).read_bytes() == photo_bytes(1)


def test_photos_lie_by_their_times_unless_they_were_put_otherwise(painting: Painting, tmp_path: Path) -> None:
    noon = datetime(2026, 11, 12, 12, 0)
    ids = [photo.photo.id for photo in painting.canvas_photos()]
    for name, hours in (("third", 3), ("first", 1), ("second", 2)):
        painting.add_canvas_photo(ids[0], sitting=2, name=name, taken_at=noon + timedelta(hours=hours))
    two = [photo for photo in painting.canvas_photos() if photo.sitting == 2]
    assert [photo.name for photo in two] == ["first", "second", "third"]
    assert ledge.moment(two[0]) == noon + timedelta(hours=1)
    painting.undo()
    assert shown(painting)[2:] == ["first", "third"]
    painting.reorder([two[2].id, two[0].id])
    painting.add_canvas_photo(ids[0], sitting=2, name="late", taken_at=noon)
    assert shown(painting)[2:] == ["third", "first", "late"]
    moved = painting.add_canvas_photo(ids[0], sitting=3, name="moved", taken_at=noon + timedelta(hours=9))
    early = painting.add_canvas_photo(ids[0], sitting=4, name="early", taken_at=noon)
    painting.set_sitting(early.id, 3)
    assert [photo.id for photo in painting.canvas_photos() if photo.sitting == 3] == [early.id, moved.id]
