"""A backup becomes the painting it was made of; anything else becomes a sentence, and nothing is written."""

import hashlib
import io
import random
import shutil
import sqlite3
import stat
import subprocess
import zipfile
from collections import namedtuple
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from core.errors import CancelledError, PaintingError
from core.painting import Painting, back_up, check_back_up, restore
from core.store import files, restoring
from core.store.lock import FolderLock
from core.store.zip_names import SUMS, sums_text
from tests.core.painting_support import everything, make_painting, photo_bytes


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A backup, never changed."""
    root = tmp_path_factory.mktemp("made")
    back_up(make_painting(root), root / "b.zip")
    return root / "b.zip"


def _files_in(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _zip(path: Path, entries: dict[str, bytes], change: Callable[[zipfile.ZipInfo], object] | None = None) -> Path:
    """A zip of any kind, as another program might write it."""
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in entries.items():
            info = zipfile.ZipInfo("x")
            info.filename = info.orig_filename = name
            if change is not None:
                change(info)
            archive.writestr(info, content)
    return path


def _with_sums(entries: dict[str, bytes]) -> dict[str, bytes]:
    """The entries with a list of checksums that fits them."""
    kept = {name.partition("/")[2]: content for name, content in entries.items() if not name.endswith(SUMS)}
    text = sums_text({name: hashlib.sha256(content).hexdigest() for name, content in kept.items()})
    return {f"p/{name}": content for name, content in kept.items()} | {f"p/{SUMS}": text.encode()}


def _require_refused(source: Path, place: Path, sentence: str) -> None:
    around = set(place.parent.iterdir())
    with pytest.raises(PaintingError, match=sentence):
        restore(source, place)
    assert set(place.parent.iterdir()) == around


def test_a_painting_comes_back_whole_with_an_identity_of_its_own(tmp_path: Path) -> None:
    folder = make_painting(tmp_path)
    with Painting.open(folder) as painting:
        painting.throw_away(painting.canvas_photos()[0].id)
        before, uuid = everything(painting), painting.record.uuid
        back_up(painting, tmp_path / "b.zip")
        told: list[tuple[int, int]] = []
        done = restore(tmp_path / "b.zip", tmp_path / "back", progress=lambda *at: told.append(at))
        assert painting.title == "Enamel jug and quinces"
    assert (done.folder, done.files, done.notices) == (tmp_path / "back", 4, ())
    assert told[-1] == (done.bytes, done.bytes)
    restore(tmp_path / "b.zip", tmp_path / "again")
    uuids = {uuid}
    for place in (tmp_path / "back", tmp_path / "again"):
        with Painting.open(place) as painting:
            uuids.add(painting.record.uuid)
            after = everything(painting)
            assert after["record"].pop("uuid") != uuid
            assert after == before | {
                "record": {key: value for key, value in before["record"].items() if key != "uuid"}
            }
            assert painting.verify() == painting.notices == ()
            for record in painting.photos()[:1]:
                times = painting._connection.execute("SELECT mtime_ns FROM photo WHERE id = ?", (record.id,))
                assert painting.photo_file(record.id).stat().st_mtime_ns == times.fetchone()[0]
            painting.undo()
            assert len(painting.canvas_photos()) == 2
            painting.set_title("going on")
    assert len(uuids) == 3
    assert {path.name for path in tmp_path.iterdir()} == {"Enamel jug", "card", "b.zip", "back", "again"} - {"card"}


def test_a_backup_packed_anew_by_hand_is_one_too(made: Path, tmp_path: Path) -> None:
    entries = {f"Another name/{name.partition('/')[2]}": content for name, content in _files_in(made).items()}
    extra = {"Another name/": b"", "Another name/photos/": b"", "Another name/.DS_Store": b"x", "__MACOSX/._x": b"y"}
    source = _zip(tmp_path / "b.zip", extra | entries)
    done = restore(source, tmp_path / "back")
    assert done.notices == ("2 files in the zip are not on its list, so they were left in it.",)
    with Painting.open(tmp_path / "back") as painting:
        assert painting.verify() == painting.notices == ()
    assert not list(tmp_path.rglob(".DS_Store"))


EVIL = [
    "../evil", "p/../../evil", "/tmp/evil", "p/photos/../../../evil", "C:/evil", "p\\..\\..\\evil", "//host/share/evil",
    "p/photos/.. /evil", "p/photo:stream", "p/\u0000evil",
]  # fmt: skip


@pytest.mark.parametrize("name", EVIL)
def test_nothing_is_written_outside(made: Path, tmp_path: Path, name: str) -> None:
    place = tmp_path / "inner" / "deep" / "back"
    place.parent.mkdir(parents=True)
    evil = _with_sums(_files_in(made))
    evil[f"p/{SUMS}"] += f"{hashlib.sha256(b'evil').hexdigest()}  {name.partition('/')[2]}\n".encode()
    for entries in (evil | {name: b"evil"}, {name: b"evil"} | _with_sums(_files_in(made))):
        _require_refused(_zip(tmp_path / "e.zip", entries), place, r"written elsewhere|is damaged")
    assert not [path for path in tmp_path.rglob("*evil*")]
    assert not Path("/tmp/evil").exists()


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR, stat.S_IFSOCK])
def test_links_and_devices_are_refused(made: Path, tmp_path: Path, kind: int) -> None:
    def change(info: zipfile.ZipInfo) -> None:
        info.create_system = 3
        if info.filename == "p/photos/link":
            info.external_attr = (kind | 0o777) << 16

    entries = _with_sums({"p/photos/link": b"/etc"} | _files_in(made))
    _require_refused(_zip(tmp_path / "e.zip", entries, change), tmp_path / "back", "written elsewhere")


def test_what_is_no_backup_is_said(made: Path, tmp_path: Path) -> None:
    (tmp_path / "letter.zip").write_text("Dear painter, " * 100)
    (tmp_path / "empty.zip").write_bytes(b"")
    whole = made.read_bytes()
    (tmp_path / "cut.zip").write_bytes(whole[: len(whole) // 2])
    entries = _files_in(made)
    photo = next(name for name in entries if "photos/" in name)
    without = {name: content for name, content in entries.items() if name != photo}
    other = {**entries, photo: photo_bytes(77)}
    cases = {
        "letter.zip": "is not a backup",
        "empty.zip": "is not a backup",
        "cut.zip": "was cut short or damaged",
        "gone.zip": "is not there any more",
        ".": "is a folder",
        "other.zip": r"is not what was put in.*unpack it in the file manager",
        "without.zip": "is missing from",
        "photos.zip": "is not a backup of a painting: there is no",
        "nothing.zip": "is not a backup",
        "list.zip": "is damaged",
        "noted.zip": "is not a backup of a painting",
    }
    _zip(tmp_path / "other.zip", other)
    _zip(tmp_path / "without.zip", without)
    _zip(tmp_path / "photos.zip", {"a.jpg": b"x", "b/c.jpg": b"y"})
    _zip(tmp_path / "nothing.zip", {})
    _zip(tmp_path / "list.zip", {f"p/{SUMS}": b"\xff\xfe", "p/painting.sqlite": b"x"})
    _zip(tmp_path / "noted.zip", _with_sums({"p/notes.txt": b"x"}))
    for name, sentence in cases.items():
        _require_refused(tmp_path / name, tmp_path / "back", sentence)
        with pytest.raises(PaintingError, match=sentence):
            check_back_up(tmp_path / name)
    damaged = _with_sums({**entries, "Enamel jug/painting.sqlite": b"not SQLite" * 999})
    _require_refused(_zip(tmp_path / "d.zip", damaged), tmp_path / "back", "The painting in “d.zip” is damaged")


def test_a_damaged_zip_is_a_sentence_wherever_it_is_damaged(made: Path, tmp_path: Path) -> None:
    whole, chance, source = made.read_bytes(), random.Random(7), tmp_path / "d.zip"
    refused = 0
    directory = whole.index(b"PK\x01\x02")
    for number in range(120):
        at = chance.randrange(directory, len(whole)) if number % 2 else chance.randrange(len(whole))
        spoilt = bytearray(whole)
        spoilt[at : at + chance.choice([1, 2, 8])] = chance.randbytes(chance.choice([1, 2, 8]))
        source.write_bytes(spoilt[: chance.randrange(len(spoilt))] if number % 10 == 0 else spoilt)
        try:
            check_back_up(source)
        except PaintingError:
            refused += 1
            if number % 6 == 0:
                _require_refused(source, tmp_path / "back", ".")
    assert refused > 60


def test_a_zip_that_grows_beyond_measure_is_not_unpacked(
    made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    entries = _with_sums(_files_in(made))
    zeros = bytes(2 << 20)
    entries["p/photos/zeros"] = zeros
    entries[f"p/{SUMS}"] += f"{hashlib.sha256(zeros).hexdigest()}  photos/zeros\n".encode()

    def pack(info: zipfile.ZipInfo) -> None:
        info.compress_type = zipfile.ZIP_DEFLATED

    source = _zip(tmp_path / "bomb.zip", entries, pack)
    with monkeypatch.context() as patched:
        patched.setattr(restoring, "_ALWAYS_ALLOWED", 1000)
        patched.setattr(restoring, "_MOST_GROWTH", 10)
        _require_refused(source, tmp_path / "back", r"would grow to 2\.\d MB")
    with monkeypatch.context() as patched:
        usage = namedtuple("usage", "free")
        patched.setattr(shutil, "disk_usage", lambda place: usage(1_000_000))
        _require_refused(source, tmp_path / "back", r"needs 2\.\d MB and the disk has 1\.0 MB free")
    # One that says it is short: its size as the two directories of the zip tell it, changed to a thousand.
    length = len(zeros).to_bytes(4, "little")
    lying = source.read_bytes()
    assert lying.count(length) == 2
    source.write_bytes(lying.replace(length, (1000).to_bytes(4, "little")))
    _require_refused(source, tmp_path / "back", "is damaged")
    monkeypatch.setattr(restoring, "MOST_FILES", 3)
    _require_refused(made, tmp_path / "back", "more files than a painting has")


def test_a_bomb_is_known_by_what_it_declares(tmp_path: Path) -> None:
    """Seventy megabytes in seventy kilobytes: nothing is unpacked to find out."""
    with zipfile.ZipFile(tmp_path / "bomb.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        with archive.open("p/painting.sqlite", "w") as packed:
            for _ in range(70):
                packed.write(bytes(1 << 20))
        archive.writestr(f"p/{SUMS}", f"{'0' * 64}  painting.sqlite\n")
    _require_refused(tmp_path / "bomb.zip", tmp_path / "back", r"would grow to 73\.4 MB")


def test_only_into_a_new_folder(made: Path, tmp_path: Path) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "file").write_text("x")
    for name, sentence in (("there", "is there already"), ("file", "is there already"), ("gone/back", "is not there")):
        with pytest.raises(PaintingError, match=sentence):
            restore(made, tmp_path / name)
    assert list((tmp_path / "there").iterdir()) == []


def test_broken_off_it_leaves_nothing(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(done: int, in_all: int) -> None:
        if done > in_all / 2:
            raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        restore(made, tmp_path / "back", progress=stop)

    def refuse(file: io.BufferedWriter) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "sync", refuse)
    with pytest.raises(PaintingError, match="disk is full, so the backup was not"):
        restore(made, tmp_path / "back")
    assert list(tmp_path.iterdir()) == []


def test_what_a_crash_left_is_cleared_and_two_windows_are_kept_apart(made: Path, tmp_path: Path) -> None:
    seen: list[Path] = []

    def look(done: int, in_all: int) -> None:
        seen[:] = tmp_path.iterdir()

    restore(made, tmp_path / "back", progress=look)
    (making,) = seen
    shutil.rmtree(tmp_path / "back")
    (making / "photos" / "half").mkdir(parents=True)
    (making / "photos" / "half" / "x.jpg").write_text("half")
    with_lock = FolderLock(making)
    with_lock.take()
    with pytest.raises(PaintingError, match="in another window"):
        restore(made, tmp_path / "back")
    with_lock.release()
    restore(made, tmp_path / "back")
    assert list(tmp_path.iterdir()) == [tmp_path / "back"]
    with Painting.open(tmp_path / "back") as painting:
        assert painting.verify() == ()


def test_a_log_or_a_seal_in_the_zip_is_never_brought_back(made: Path, tmp_path: Path) -> None:
    entries = _with_sums(
        {**_files_in(made), "p/painting.sqlite-wal": b"x" * 4000, "p/painting.sha256": b"0", "p/painting.lock": b"{}"}
    )
    restore(_zip(tmp_path / "b.zip", entries), tmp_path / "back")
    with Painting.open(tmp_path / "back") as painting:
        assert painting.verify() == painting.notices == ()


@pytest.mark.skipif(shutil.which("unzip") is None, reason="unzip is not here")
def test_another_program_finds_the_zip_sound(made: Path) -> None:
    done: Any = subprocess.run(["unzip", "-tq", made], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    with closing(sqlite3.connect(":memory:")) as connection:
        sound = _files_in(made)["Enamel jug/painting.sqlite"]
        connection.deserialize(sound)
        assert connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
