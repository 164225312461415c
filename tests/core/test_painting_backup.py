"""A backup has every byte, can be checked by other programs, and is there whole or not at all."""

import errno
import hashlib
import os
import random
import shutil
import subprocess
import zipfile
from collections import namedtuple
from pathlib import Path

import pytest

from core.errors import CancelledError, PaintingError
from core.painting import Painting, back_up, check_back_up
from core.store import back_up as backing
from core.store import files
from core.store.zip_names import is_safe, sums_from, sums_text
from tests.core.painting_support import everything, make_painting, photo_bytes, write_photo


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_painting(tmp_path)


def _unpacked(path: Path, where: Path) -> Path:
    """What another program makes of a zip: the one folder in it."""
    where.mkdir()
    if shutil.which("unzip"):
        subprocess.run(["unzip", "-q", path, "-d", where], check=True)
    else:
        with zipfile.ZipFile(path) as archive:
            archive.extractall(where)
    (inside,) = where.iterdir()
    return inside


def test_an_open_painting_is_backed_up_as_it_is_and_opens_once_unpacked(folder: Path, tmp_path: Path) -> None:
    (folder / "checks" / "canvas-photo-1").mkdir(parents=True)
    (folder / "checks" / "canvas-photo-1" / "check.json").write_text("{}")
    (folder / "my notes ü.txt").write_text("more ochre")
    progress: list[tuple[int, int]] = []
    with Painting.open(folder) as painting:
        painting.set_title("only in the log")
        before = everything(painting)
        made = back_up(painting, tmp_path / "b.zip", progress=lambda done, in_all: progress.append((done, in_all)))
        assert everything(painting) == before
        painting.set_title("changed since")
    assert made.notices == ()
    assert made.bytes == (tmp_path / "b.zip").stat().st_size
    assert made.files == check_back_up(made.path) == 6
    assert progress[-1][0] == progress[-1][1] == progress[0][1]
    inside = _unpacked(made.path, tmp_path / "unpacked")
    assert inside.name == "Enamel jug"
    assert {path.name for path in inside.iterdir()} == {
        "painting.sqlite", "photos", "checks", "my notes ü.txt", "everything.sha256",
    }  # fmt: skip
    with Painting.open(inside) as painting:
        assert everything(painting) == before
        assert painting.verify() == painting.notices == ()
    assert not list(tmp_path.glob("*.part"))


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not here")
def test_sha256sum_itself_finds_all_well_and_finds_a_changed_byte(folder: Path, tmp_path: Path) -> None:
    for name in ("ends with a space ", 'quince\'s "best" $x.txt', "-begins.txt", "linie\u2028zwei.txt"):
        (folder / name).write_bytes(photo_bytes(len(name), 100))
    back_up(folder, tmp_path / "b.zip")
    inside = _unpacked(tmp_path / "b.zip", tmp_path / "unpacked")

    def check() -> "subprocess.CompletedProcess[str]":
        command = ["sha256sum", "--strict", "-c", "everything.sha256"]
        return subprocess.run(command, cwd=inside, capture_output=True, text=True, check=False)

    done = check()
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count(": OK") == 8
    photo = next((inside / "photos").iterdir())
    photo.write_bytes(photo.read_bytes()[:-1] + b"\0")
    done = check()
    assert done.returncode == 1
    assert f"photos/{photo.name}: FAILED" in done.stdout


def test_photographs_are_stored_as_they_are_and_databases_packed(folder: Path, tmp_path: Path) -> None:
    back_up(folder, tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as archive:
        assert archive.testzip() is None
        kinds = {Path(entry.filename).suffix: entry.compress_type for entry in archive.infolist()}
    assert kinds[".jpg"] == zipfile.ZIP_STORED
    assert kinds[".sqlite"] == zipfile.ZIP_DEFLATED


def test_the_list_is_read_as_it_is_written() -> None:
    sums = {name: hashlib.sha256(name.encode()).hexdigest() for name in ("a", "b c", " x", "é/ü\u2028.jpg", "*star")}
    assert sums_from(sums_text(sums)) == sums
    for broken in ("abc", "0" * 64 + "  ../x", "0" * 64 + " x", sums_text(sums) * 2, "0" * 64 + "  /etc/passwd"):
        with pytest.raises(PaintingError, match="is damaged"):
            sums_from(broken)


@pytest.mark.parametrize(
    "name",
    ["", "/a", "../a", "a/../b", "a/..", ".", "..", "a//b", "a/", "a\\b", "..\\a", "C:a", "c:/a", "a:stream", "a\0b", 
     "a\nb", ".. /a", "... /a", " /a", "\udcff", "x" * 5000],
)  # fmt: skip
def test_names_that_lead_elsewhere_are_not_safe(name: str) -> None:
    assert not is_safe(name)


def test_a_broken_off_backup_leaves_the_one_before(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "b.zip"
    back_up(folder, target)
    before = target.read_bytes()
    (folder / "photos" / "large.tif").write_bytes(photo_bytes(9, 3 * files.CHUNK))

    def stop(done: int, in_all: int) -> None:
        if done > files.CHUNK:
            raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        back_up(folder, target, progress=stop)
    for number, sentence in ((errno.ENOSPC, "disk is full, so the backup"), (errno.EFBIG, "many sticks stop at 4 GB")):

        def refuse(done: int, in_all: int, number: int = number) -> None:
            raise OSError(number, os.strerror(number))

        with pytest.raises(PaintingError, match=sentence):
            back_up(folder, target, progress=refuse)
    usage = namedtuple("usage", "free")
    monkeypatch.setattr(shutil, "disk_usage", lambda place: usage(2_000_000))
    with pytest.raises(PaintingError, match=r"needs 3\.\d MB and the disk has 2\.0 MB free"):
        back_up(folder, target)
    assert target.read_bytes() == before
    assert {path.name for path in tmp_path.iterdir()} == {"b.zip", "Enamel jug"}


def test_what_is_missing_altered_or_unreadable_is_told_and_the_rest_is_kept(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Painting.open(folder) as painting:
        gone, altered, unreadable = (painting.photo_file(record.id) for record in painting.photos())
    gone.unlink()
    altered.write_bytes(photo_bytes(99))
    (folder / "photos" / "odd\\name.txt").write_text("kept at home")
    real = backing.patience.chunks_of

    def failing(path: Path):  # type: ignore[no-untyped-def]
        if path == unreadable:
            yield photo_bytes(1, 5000)
            raise OSError(errno.EIO, "Input/output error")
        yield from real(path)

    monkeypatch.setattr(backing.patience, "chunks_of", failing)
    made = back_up(folder, tmp_path / "b.zip")
    said = " ".join(made.notices)
    assert f"“{gone.name}” is not in the backup" in said
    assert f"“{altered.name}” is in the backup as it is now" in said
    assert f"“photos/{unreadable.name}” could not be read (Input/output error)" in said
    assert "not every disk can hold" in said
    assert check_back_up(made.path) == made.files == 2
    inside = _unpacked(made.path, tmp_path / "unpacked")
    assert {path.name for path in (inside / "photos").iterdir()} == {altered.name}


def test_what_was_thrown_away_goes_along_and_an_emptied_bin_is_no_fault(folder: Path, tmp_path: Path) -> None:
    with Painting.open(folder) as painting:
        painting.throw_away(painting.canvas_photos()[0].id)
        made = back_up(painting, tmp_path / "b.zip")
        (binned,) = (folder / "bin").iterdir()
        with zipfile.ZipFile(made.path) as archive:
            assert f"Enamel jug/bin/{binned.name}" in archive.namelist()
        assert made.notices == ()
        binned.unlink()
        assert back_up(painting, tmp_path / "b.zip").notices == ()


def test_more_than_a_short_zip_can_tell(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Past 4 GB a zip needs its long form (zip64), which other programs must read too; 4 GB made short here."""
    monkeypatch.setattr(zipfile, "ZIP64_LIMIT", 10_000)
    monkeypatch.setattr(backing, "_LARGE", 5_000)
    growing = write_photo(folder, "film being written.avi", 4, 9_000)
    real = backing.patience.chunks_of

    def grown(path: Path):  # type: ignore[no-untyped-def]
        yield from real(path)
        if path == growing:
            yield bytes(4_000)

    monkeypatch.setattr(backing.patience, "chunks_of", grown)
    made = back_up(folder, tmp_path / "b.zip")
    monkeypatch.undo()
    assert made.files == check_back_up(made.path) == 5
    with Painting.open(_unpacked(made.path, tmp_path / "unpacked")) as painting:
        assert painting.verify() == ()


def test_where_no_backup_can_be_made_is_said(folder: Path, tmp_path: Path) -> None:
    attempts = {
        "outside the painting's folder": lambda: back_up(folder, folder / "photos" / "b.zip"),
        "is a folder": lambda: back_up(folder, tmp_path),
        "is not there": lambda: back_up(folder, tmp_path / "gone" / "b.zip"),
        "not a painting's folder": lambda: back_up(tmp_path, tmp_path.parent / "b.zip"),
    }
    for sentence, attempt in attempts.items():
        with pytest.raises(PaintingError, match=sentence):
            attempt()
    (folder / "painting.sqlite").write_bytes(b"damaged")
    with pytest.raises(PaintingError, match=r"is damaged.*Open the painting first"):
        back_up(folder, tmp_path / "b.zip")
    assert not (tmp_path / "b.zip").exists()


def test_links_do_not_lead_the_backup_astray(folder: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    write_photo(elsewhere, "private.jpg", 5)
    shutil.move(folder / "photos", tmp_path / "photos drive")
    try:
        (folder / "photos").symlink_to(tmp_path / "photos drive", target_is_directory=True)
        (folder / "all my pictures").symlink_to(elsewhere, target_is_directory=True)
        (folder / "photos" / "round").symlink_to(folder, target_is_directory=True)
    except OSError:
        pytest.skip("no links here")
    made = back_up(folder, tmp_path / "b.zip")
    assert (made.files, made.notices) == (4, ())


def test_it_may_be_made_while_another_thread_or_window_works(folder: Path, tmp_path: Path) -> None:
    chance = random.Random(3)
    with Painting.open(folder) as painting:

        def work(done: int, in_all: int) -> None:
            painting.set_plan("palette", chance.randbytes(20_000).hex())

        made = back_up(folder, tmp_path / "b.zip", progress=work)
    assert check_back_up(made.path) == made.files
    with Painting.open(_unpacked(made.path, tmp_path / "unpacked")) as painting:
        assert painting.verify() == ()
        assert painting.plan("palette") is None
