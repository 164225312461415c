"""Photographs are kept byte for byte, whatever they are called and whatever happens to them afterwards."""

import hashlib
import os
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.errors import CancelledError, PaintingError
from core.painting import Painting, PhotoRecord, StagedPhoto
from core.size import Size
from core.store import files, photos
from tests.core.painting_support import make_painting, photo_bytes, write_photo


@pytest.fixture
def painting(tmp_path: Path) -> Iterator[Painting]:
    with Painting.create(tmp_path / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)) as painting:
        yield painting


def shelf(painting: Painting) -> set[str]:
    return {path.name for path in (painting.folder / "photos").iterdir()}


NAMES = [
    "IMG_0001.JPG", "Krug & Quitten (2. Sitzung).jpeg", "静物 — 瓶.heic", "no ending", ".hidden", "con.jpg",
    "a" * 200 + ".tif", "é" * 120 + ".png", "two..dots.jpg", "% #?&.jpg", "..", " .jpg",
    "garden.part", "painting.sqlite.part", ".incoming-abc.part",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_bytes_and_names_are_kept(painting: Painting, tmp_path: Path, name: str) -> None:
    staged = painting.stage_photo(write_photo(tmp_path / "card", "photo", 1, 2_500_000))
    record = painting.import_staged(StagedPhoto(staged.path, name, staged.sha256, staged.bytes))
    painting.close()
    with Painting.open(painting.folder) as again:
        path = again.photo_file(record.id)
        assert path.parent == again.folder / "photos"
        assert path.read_bytes() == photo_bytes(1, 2_500_000)
        assert again.photo(record.id) == record
        assert again.verify() == ()
    assert record.name == name
    assert record.sha256 == hashlib.sha256(photo_bytes(1, 2_500_000)).hexdigest()
    assert record.sha256[:12] in record.file
    assert len(record.file.encode()) < 200
    assert not set(record.file) & set('<>:"/\\|?*')


def test_the_original_is_not_touched(painting: Painting, tmp_path: Path) -> None:
    source = write_photo(tmp_path / "card", "jug 2.jpg", 1)
    os.utime(source, ns=(10**18, 10**18))
    record = painting.import_photo(source)
    assert source.read_bytes() == photo_bytes(1)
    assert painting.photo_file(record.id).stat().st_mtime_ns == 10**18


def test_a_name_the_system_could_not_decode(painting: Painting, tmp_path: Path) -> None:
    source = Path(os.fsdecode(os.fsencode(tmp_path) + b"/jug\xff.jpg"))
    source.write_bytes(photo_bytes(1))
    record = painting.import_photo(source)
    assert painting.photo(record.id).name == "jug?.jpg"
    assert painting.photo_file(record.id).read_bytes() == photo_bytes(1)


def test_the_same_bytes_come_in_once(painting: Painting, tmp_path: Path) -> None:
    first = painting.import_photo(write_photo(tmp_path, "one.jpg", 1))
    second = painting.import_photo(write_photo(tmp_path, "another name.jpg", 1))
    assert not first.already_there
    assert second.already_there
    assert second.id == first.id
    assert second.name == "one.jpg"
    assert len(painting.photos()) == len(shelf(painting)) == 2


def test_the_same_name_with_other_bytes_overwrites_nothing(painting: Painting, tmp_path: Path) -> None:
    records = [painting.import_photo(write_photo(tmp_path / str(n), "IMG_0001.JPG", n)) for n in range(1, 6)]
    for number, record in enumerate(records, 1):
        assert painting.photo_file(record.id).read_bytes() == photo_bytes(number)


def test_a_file_in_the_way_is_left_alone(painting: Painting, tmp_path: Path) -> None:
    taken = painting.folder / "photos" / photos.readable_name("one.jpg", hashlib.sha256(photo_bytes(1)).hexdigest())
    taken.write_bytes(b"something else")
    record = painting.import_photo(write_photo(tmp_path, "one.jpg", 1))
    assert taken.read_bytes() == b"something else"
    assert record.file != taken.name
    assert painting.photo_file(record.id).read_bytes() == photo_bytes(1)


def test_progress_is_told_and_can_stop_it(painting: Painting, tmp_path: Path) -> None:
    source = write_photo(tmp_path, "big.tif", 1, 3 * files.CHUNK + 5)
    told: list[tuple[int, int]] = []
    record = painting.import_photo(source, progress=lambda done, in_all: told.append((done, in_all)))
    assert [done for done, _ in told] == [files.CHUNK, 2 * files.CHUNK, 3 * files.CHUNK, 3 * files.CHUNK + 5]
    assert {in_all for _, in_all in told} == {record.bytes}

    def stop(done: int, in_all: int) -> None:
        if done > files.CHUNK:
            raise CancelledError("Stopped.")

    before = shelf(painting), painting.photos()
    with pytest.raises(CancelledError):
        painting.import_photo(write_photo(tmp_path, "other.tif", 2, 3 * files.CHUNK), progress=stop)
    assert (shelf(painting), painting.photos()) == before


def test_staging_may_run_in_another_thread(painting: Painting, tmp_path: Path) -> None:
    source, staged = write_photo(tmp_path, "one.jpg", 1), list[StagedPhoto]()
    thread = threading.Thread(target=lambda: staged.append(painting.stage_photo(source)))
    thread.start()
    thread.join()
    assert len(painting.photos()) == 1
    record = painting.import_staged(staged[0])
    assert painting.photo_file(record.id).read_bytes() == photo_bytes(1)
    unwanted = painting.stage_photo(write_photo(tmp_path, "two.jpg", 2))
    painting.discard_staged(unwanted)
    assert shelf(painting) == {record.file for record in painting.photos()}


def test_the_file_is_synced_before_it_is_named_and_named_before_it_is_listed(
    painting: Painting, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    happened: list[str] = []
    real_fsync, real_replace = os.fsync, os.replace

    def fsync(descriptor: int) -> None:
        is_photo = os.fstat(descriptor).st_size == 20_000
        happened.append("synced" if is_photo else "folder synced")
        real_fsync(descriptor)

    def replace(source: Path, target: Path) -> None:
        assert painting._connection.execute("SELECT count(*) FROM photo").fetchone()[0] == 1
        happened.append("named")
        real_replace(source, target)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(os, "replace", replace)
    painting.import_photo(write_photo(tmp_path, "one.jpg", 1))
    assert happened[:3] == ["synced", "named", "folder synced"]


def test_a_disk_that_gives_back_other_bytes_is_noticed(
    painting: Painting, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real_sync = files.sync

    def spoil(file: object) -> None:
        real_sync(file)  # type: ignore[arg-type]
        path = Path(file.name)  # type: ignore[attr-defined]
        path.write_bytes(path.read_bytes()[:-1] + b"\0")

    monkeypatch.setattr(files, "sync", spoil)
    before = shelf(painting)
    with pytest.raises(PaintingError, match="gave back other bytes"):
        painting.import_photo(write_photo(tmp_path, "one.jpg", 1))
    assert shelf(painting) == before
    assert len(painting.photos()) == 1


def test_what_cannot_be_brought_in_is_said(painting: Painting, tmp_path: Path) -> None:
    growing = write_photo(tmp_path, "growing.jpg", 3, 2 * files.CHUNK)

    def grow(done: int, in_all: int) -> None:
        with growing.open("ab") as file:
            file.write(b"more")

    attempts = {
        "is a folder": lambda: painting.import_photo(tmp_path),
        "is not there any more": lambda: painting.import_photo(tmp_path / "gone.jpg"),
        "is empty": lambda: painting.import_photo(write_photo(tmp_path, "empty.jpg", 0, 0)),
        "still being written": lambda: painting.import_photo(growing, progress=grow),
    }
    for sentence, attempt in attempts.items():
        with pytest.raises(PaintingError, match=sentence):
            attempt()
    assert shelf(painting) == {painting.photos()[0].file}


def test_a_missing_photo_is_told_and_healed_by_bringing_it_in_again(tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    with Painting.open(folder) as painting:
        record = painting.photos()[1]
        painting.photo_file(record.id).unlink()
        assert painting.photos()[1].state == "missing"
    with Painting.open(folder) as painting:
        assert painting.notices == (
            f"“{record.file}” is missing from the photos folder. Put it back, or bring the same photograph in again.",
        )
        assert painting.canvas_photos()[0].photo.state == "missing"
        with pytest.raises(PaintingError, match="is missing"):
            painting.photo_file(record.id)
        assert len(painting.verify()) == 1
        healed = painting.import_photo(write_photo(tmp_path / "card", "other name.jpg", 1))
        assert (healed.id, healed.already_there, healed.state) == (record.id, True, "good")
        assert painting.photo_file(record.id).read_bytes() == photo_bytes(1)
        assert painting.notices == ()
        assert painting.verify() == ()


def test_many_missing_photos_are_counted(tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    with Painting.open(folder) as painting:
        for number in range(3, 8):
            painting.import_photo(write_photo(tmp_path, f"{number}.jpg", number))
    for path in (folder / "photos").iterdir():
        path.unlink()
    (folder / "photos").rmdir()
    with Painting.open(folder) as painting:
        assert len(painting.notices) == 1
        assert painting.notices[0].startswith("8 photographs are missing")
        painting.import_photo(write_photo(tmp_path, "back.jpg", 5))
        assert painting.notices[0].startswith("7 photographs are missing")


@pytest.mark.parametrize("same_length", [True, False])
def test_an_altered_photo_is_told_kept_and_healed(tmp_path: Path, same_length: bool) -> None:
    folder = make_painting(tmp_path)
    with Painting.open(folder) as painting:
        record = painting.photos()[1]
        path = painting.photo_file(record.id)
    altered = photo_bytes(99, 20_000 if same_length else 30_000)
    path.write_bytes(altered)
    os.utime(path, ns=(10**18, 10**18))
    with Painting.open(folder) as painting:
        assert bool(painting.notices) is not same_length  # the length shows at once, other bytes when they are read
        assert painting.photo_file(record.id) == path
        assert painting.photo(record.id).state == "altered"
        assert ["not the photograph that was brought in" in notice for notice in painting.notices] == [True]
        assert len(painting.verify()) == 1
        painting.import_photo(write_photo(tmp_path / "card", "original.jpg", 1))
        assert painting.photo_file(record.id).read_bytes() == photo_bytes(1)
        assert painting.notices == painting.verify() == ()
        (kept,) = [name for name in shelf(painting) if "altered" in name]
        assert (folder / "photos" / kept).read_bytes() == altered


def test_a_changed_time_alone_is_not_an_alteration(tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    for path in (folder / "photos").iterdir():
        os.utime(path, ns=(10**18, 10**18))
    with Painting.open(folder) as painting:
        for record in painting.photos():
            painting.photo_file(record.id)
            assert painting.photo(record.id).state == "good"
        assert painting.notices == ()
        times = painting._connection.execute("SELECT DISTINCT mtime_ns FROM photo").fetchall()
        assert [tuple(row) for row in times] == [(10**18,)]


def test_what_a_crash_left_half_written_is_cleared_away_and_nothing_else(tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    with Painting.open(folder) as painting:
        staged = painting.stage_photo(write_photo(tmp_path, "left.jpg", 5))
    own = folder / "photos" / "a picture of mine.part"
    own.write_bytes(b"mine")
    (folder / "painting.backup.sqlite.part").write_bytes(b"half")
    (folder / "painting.backup.sqlite.part-wal").write_bytes(b"half")
    assert staged.path.exists()
    with Painting.open(folder) as painting:
        assert not staged.path.exists()
        assert own.exists()
        assert not list(folder.glob("*.part*"))
        with pytest.raises(PaintingError, match="not brought in"):
            painting.import_staged(staged)


def test_a_photo_whose_listing_was_lost_is_listed_in_place(painting: Painting, tmp_path: Path) -> None:
    source = write_photo(tmp_path, "one.jpg", 1)
    record: PhotoRecord = painting.import_photo(source)
    painting._connection.execute("DELETE FROM photo WHERE id = ?", (record.id,))
    again = painting.import_photo(source)
    assert again.file == record.file
    assert not again.already_there
    assert len(shelf(painting)) == 2
