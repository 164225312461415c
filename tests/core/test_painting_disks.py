"""Disks that are full, read-only, moved away or silent: a sentence each, and nothing that was saved is lost."""

import hashlib
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import Painting, back_up, restore
from core.size import Size
from core.store import patience, session
from tests.core.painting_support import everything, make_painting, photo_bytes, state, write_photo

if sys.platform != "linux":
    pytest.skip("these disks are made the Linux way", allow_module_level=True)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_painting(tmp_path)


def _mounted(place: Path, *options: str) -> bool:
    done = subprocess.run(["mount", *options, str(place)], capture_output=True, check=False)
    return done.returncode == 0


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of two megabytes."""
    place = tmp_path / "small"
    place.mkdir()
    if shutil.which("mount") is None or not _mounted(place, "-t", "tmpfs", "-o", "size=2m", "tmpfs"):
        pytest.skip("no disk can be mounted here; test_painting_faults limits the length of files instead")
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


def _fill(place: Path) -> Path:
    path = place / "filler"
    with path.open("wb", buffering=0) as file:
        for length in (65536, 4096, 512, 1):
            try:
                while file.write(bytes(length)):
                    pass
            except OSError:
                continue
    return path


def _save_until_refused(painting: Painting) -> int:
    """The last number that was saved, -1 for none: the log has a little room of its own."""
    for number in range(1000):
        try:
            painting.set_plan("palette", [number, "linen " * 500])
        except PaintingError as error:
            if "The disk is full, so the change was not saved" not in str(error):
                raise
            return number - 1
    pytest.fail("a full disk took a thousand changes")


def test_a_full_disk_loses_nothing_and_goes_on_once_there_is_room(small_disk: Path, tmp_path: Path) -> None:
    large = write_photo(tmp_path, "large.jpg", 9, 3_000_000)
    with Painting.create(small_disk / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)) as painting:
        with pytest.raises(PaintingError, match=r"The disk is full, so “large.jpg” was not brought in"):
            painting.import_photo(large)
        filler = _fill(small_disk)
        last = _save_until_refused(painting)
        assert painting.title == "Jug"
        assert painting.plan("palette", [-1])[0] == last
        with pytest.raises(PaintingError, match=r"so “small.jpg” was not brought in"):
            painting.import_photo(write_photo(tmp_path, "small.jpg", 8))
        before = state(painting)
        filler.unlink()
        painting.set_title("going on")
        painting.undo()
        assert state(painting) == before
    with Painting.open(small_disk / "p") as painting:
        assert state(painting) == before
        assert painting.verify() == painting.notices == ()


def test_a_full_disk_opens_what_is_on_it(small_disk: Path, tmp_path: Path) -> None:
    Painting.create(small_disk / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)).close()
    filler = _fill(small_disk)
    with Painting.open(small_disk / "p") as painting:
        assert painting.title == "Jug"
        assert painting.photo_file(1).read_bytes() == photo_bytes(0)
        assert any("disk is full" in sentence for sentence in painting.notices)
        with pytest.raises(PaintingError, match=r"disk is full|open only to look"):
            painting.set_plan("palette", "linen " * 100_000)
    filler.unlink()
    with Painting.open(small_disk / "p") as painting:
        painting.set_title("going on")
        assert painting.notices == painting.verify() == ()


def test_a_backup_or_a_painting_restored_needs_room(small_disk: Path, tmp_path: Path, folder: Path) -> None:
    with Painting.open(folder) as painting:
        painting.import_photo(write_photo(tmp_path, "large.jpg", 9, 3_000_000))
        back_up(painting, tmp_path / "b.zip")
        with pytest.raises(PaintingError, match=r"needs 3\.\d MB and the disk has 2\.1 MB free"):
            back_up(painting, small_disk / "b.zip")
    with pytest.raises(PaintingError, match=r"needs 3\.\d MB and the disk has 2\.1 MB free"):
        restore(tmp_path / "b.zip", small_disk / "p")

    def fill(done: int, in_all: int) -> None:  # another program takes the room meanwhile
        if not (small_disk / "filler").exists():
            _fill(small_disk)

    folder = make_painting(tmp_path / "other")
    with pytest.raises(PaintingError, match="The disk is full, so the backup was not made"):
        back_up(folder, small_disk / "b.zip", progress=fill)
    (small_disk / "filler").unlink()
    back_up(folder, tmp_path / "s.zip")
    with pytest.raises(PaintingError, match="The disk is full, so the backup was not restored"):
        restore(tmp_path / "s.zip", small_disk / "p", progress=fill)
    assert [path.name for path in small_disk.iterdir()] == ["filler"]


def test_a_disk_that_may_only_be_read_opens_to_look(small_disk: Path, tmp_path: Path) -> None:
    Painting.create(small_disk / "p", "Jug", Size(400, 300), write_photo(tmp_path, "jug.jpg", 0)).close()
    with Painting.open(small_disk / "p") as painting:
        before = everything(painting)
    names = sorted(path.name for path in (small_disk / "p").iterdir())
    assert _mounted(small_disk, "-o", "remount,ro")
    with Painting.open(small_disk / "p") as painting:
        assert painting.read_only
        assert "cannot be written to" in painting.notices[0]
        assert everything(painting) == before
        assert back_up(painting, tmp_path / "b.zip").notices == ()
        with pytest.raises(PaintingError, match="open only to look"):
            painting.set_title("x")
    with pytest.raises(PaintingError, match="cannot be written to"):
        restore(tmp_path / "b.zip", small_disk / "q")
    with pytest.raises(PaintingError, match="cannot be written to"):
        back_up(small_disk / "p", small_disk / "b.zip")
    assert sorted(path.name for path in (small_disk / "p").iterdir()) == names


def test_a_folder_that_is_moved_while_it_is_open(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(session, "COPY_EVERY_SECONDS", -1.0)
    heard: list[frozenset[str]] = []
    other = make_painting(tmp_path / "another")
    with Painting.open(folder) as painting:
        painting.changed.connect(lambda change: heard.append(change.parts))
        folder.rename(tmp_path / "moved")
        shutil.move(other, folder)  # and another painting lies where it was
        there = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
        painting.set_title("saved all the same")
        assert heard == [{"painting", "notice"}]
        assert painting.notices[0].startswith("The painting's folder is not where it was opened")
        painting.set_steps(9)
        assert heard[-1] == {"painting"}
        with pytest.raises(PaintingError, match="Close the painting and open it where it lies now"):
            painting.import_photo(write_photo(tmp_path, "new.jpg", 9))
        with pytest.raises(PaintingError, match="Close the painting and open it where it lies now"):
            painting.throw_away(painting.canvas_photos()[0].id)
        before = state(painting)
        assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == there
        standing_there = Painting.open(folder)
        standing_there.set_title("in the log of the other")
    # SQLite closes a log by its name, which is another painting's by now.
    log = folder / "painting.sqlite-wal"
    assert log.stat().st_size > 0
    standing_there.close()
    with Painting.open(folder) as painting:
        assert painting.title == "in the log of the other"
        assert painting.verify() == painting.notices == ()
    with Painting.open(tmp_path / "moved") as painting:
        assert (painting.title, painting.steps) == ("saved all the same", 9)
        assert state(painting) == before
        assert painting.verify() == painting.notices == ()


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patience, "PATIENCE_SECONDS", 0.05)


@pytest.fixture
def silent_file(tmp_path: Path) -> Iterator[Path]:
    """A file that lets nobody read it and never says why: a pipe that nobody writes to."""
    path = tmp_path / "silent.jpg"
    os.mkfifo(path)
    yield path
    until = time.monotonic() + 5
    while _disk_threads() and time.monotonic() < until:
        descriptor = os.open(path, os.O_RDWR)  # lets the reader go, which ends its thread
        threading.Event().wait(0.01)
        os.close(descriptor)
    assert not _disk_threads()


def _disk_threads() -> list[threading.Thread]:
    return [thread for thread in threading.enumerate() if thread.name == "easelside-disk"]


@pytest.mark.usefixtures("impatient")
def test_a_source_that_hangs_is_given_up(folder: Path, silent_file: Path) -> None:
    with Painting.open(folder) as painting:
        before = everything(painting)
        with pytest.raises(PaintingError, match=r"The disk with “silent.jpg” does not answer"):
            painting.import_photo(silent_file)
        assert everything(painting) == before
        assert len(list((folder / "photos").iterdir())) == 3


@pytest.mark.usefixtures("impatient")
def test_a_photo_that_hangs_is_told_and_the_rest_is_checked(folder: Path, silent_file: Path, tmp_path: Path) -> None:
    with Painting.open(folder) as painting:
        record = painting.photos()[1]
        path = painting.photo_file(record.id)
        path.unlink()
        path.symlink_to(silent_file)
        (sentence,) = painting.verify()
        assert sentence.startswith(f"The disk does not answer, so “{record.file}” could not be read")
        painting.set_title("the rest works")
        made = back_up(painting, tmp_path / "b.zip")
        assert made.files == 3
        assert "is not in the backup" in made.notices[0]


def test_a_disk_of_photos_that_does_not_answer(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asleep, asked = threading.Event(), list[Path]()
    real = Path.stat

    def stat(path: Path, **options: bool) -> os.stat_result:
        if path.parent.name == "photos" and path.suffix == ".jpg":
            asked.append(path)
            asleep.wait(20)
        return real(path, **options)

    monkeypatch.setattr(patience, "PATIENCE_SECONDS", 0.05)
    with monkeypatch.context() as patched:
        patched.setattr(Path, "stat", stat)
        begun = time.monotonic()
        with Painting.open(folder) as painting:
            assert painting.title == "Enamel jug and quinces"
            assert painting.notices == (
                "The disk with the photographs does not answer; all else can be seen and worked on. "
                "See that it is connected and awake, and open the painting again.",
            )
            assert [record.state for record in painting.photos()] == ["missing"] * 3
            with pytest.raises(PaintingError, match="The disk with the photographs does not answer"):
                painting.photo_file(1)
            painting.set_plan("focal points", [[1, 2]])
            assert len(asked) == 1  # not once more for every photograph
        assert time.monotonic() - begun < 10
        asleep.set()
    with Painting.open(folder) as painting:
        assert painting.notices == painting.verify() == ()
        assert painting.plan("focal points") == [[1, 2]]


def test_a_disk_that_wakes_is_asked_again(monkeypatch: pytest.MonkeyPatch) -> None:
    now, disk, asked = [100.0], patience.Patience(), list[str]()
    monkeypatch.setattr(patience.time, "monotonic", lambda: now[0])
    monkeypatch.setattr(patience, "PATIENCE_SECONDS", 0.02)
    asleep = threading.Event()

    def ask() -> str:
        asked.append(threading.current_thread().name)
        asleep.wait(10)
        return "here"

    for _ in range(2):
        with pytest.raises(TimeoutError):
            disk.ask(ask)
    assert (disk.is_silent, len(asked)) == (True, 1)
    asleep.set()
    now[0] += patience.SPARED_SECONDS + 1
    assert [disk.ask(ask), disk.ask(ask)] == ["here", "here"]
    assert not disk.is_silent
    assert asked[1:] == ["easelside-disk", "MainThread"]
    now[0] += patience.TRUSTED_SECONDS + 1
    with pytest.raises(FileNotFoundError):
        disk.ask(lambda: Path("/nowhere at all").stat())
    assert not disk.is_silent


def test_what_is_read_a_little_ahead_is_what_is_there(tmp_path: Path) -> None:
    path = write_photo(tmp_path, "p.jpg", 1, 5_300_000)
    assert b"".join(patience.chunks_of(path)) == path.read_bytes()
    assert patience.sha256_of(path) == hashlib.sha256(path.read_bytes()).hexdigest()
    with pytest.raises(FileNotFoundError):
        next(patience.chunks_of(tmp_path / "gone"))
    reading = patience.chunks_of(path)
    next(reading)
    reading.close()
    until = time.monotonic() + 5
    while _disk_threads() and time.monotonic() < until:
        threading.Event().wait(0.01)
    assert not _disk_threads()
