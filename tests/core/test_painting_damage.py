"""A damaged or lost file is put right from the kept copy, or from the photographs alone; nothing is ever deleted."""

import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from core.errors import PaintingError
from core.painting import Painting
from core.size import Size
from tests.core.painting_support import everything, make_painting, photo_bytes, write_photo


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_painting(tmp_path)


def _everything_in(folder: Path) -> dict[str, Any]:
    with Painting.open(folder) as painting:
        return everything(painting)


def _overwrite(offset: int, with_bytes: bytes) -> Callable[[bytes], bytes]:
    return lambda content: content[:offset] + with_bytes + content[offset + len(with_bytes) :]


def _aside(folder: Path) -> list[Path]:
    return sorted(path for path in folder.iterdir() if ".damaged-" in path.name)


# Offsets: sqlite.org, "Database File Format", the database header.
DAMAGES: dict[str, Callable[[bytes], bytes]] = {
    "the magic string": _overwrite(0, b"not SQLite"),
    "the page size": _overwrite(16, b"\xff\xff"),
    "the schema format": _overwrite(44, b"\xff" * 4),
    "the text encoding": _overwrite(56, b"\x00\x00\x00\x09"),
    "the version, absurdly": _overwrite(60, b"\x7f" * 4),
    "the version, to none": _overwrite(60, b"\x00" * 4),
    "the application's number": _overwrite(68, b"\x00" * 4),
    "the first page's header": _overwrite(100, b"\xee" * 12),
    "the schema's text": lambda content: content.replace(b"CREATE TABLE painting", b"CREATE TABLE pointing"),
    "a letter of the title": lambda content: content.replace(b"Enamel jug and quinces", b"Enamel jug and quincex"),
    "text that is not UTF-8": lambda content: content.replace(b"jug and quinces", b"jug \xff\xfe quinces"),
    "the middle": lambda content: _overwrite(len(content) // 2, b"\xaa" * 4096)(content),
    "all but the first page": lambda content: content[:4096] + bytes(len(content) - 4096),
    "the second half cut off": lambda content: content[: len(content) // 2],
    "the last bytes cut off": lambda content: content[:-100],
    "everything cut off": lambda content: b"",
    "another kind of file": lambda content: b"Dear painter, " * 500,
}  # fmt: skip


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES.keys())
def test_a_damaged_file_is_put_right_from_the_kept_copy(folder: Path, damage: Callable[[bytes], bytes]) -> None:
    before = _everything_in(folder)
    path = folder / "painting.sqlite"
    damaged = damage(path.read_bytes())
    assert damaged != path.read_bytes()
    path.write_bytes(damaged)
    with Painting.open(folder, look_only=True) as looking:
        assert looking.read_only
    with Painting.open(folder) as painting:
        assert everything(painting) == before
        assert len(painting.notices) == 1
        assert "was put right from the copy kept on" in painting.notices[0]
        (aside,) = _aside(folder)
        assert aside.name in painting.notices[0]
        assert aside.read_bytes() == damaged
        assert painting.verify() == ()
        painting.set_title("going on")
    with Painting.open(folder) as painting:
        assert painting.notices == ()
        assert painting.title == "going on"


def test_damage_anywhere_is_found_and_put_right(folder: Path) -> None:
    chance = random.Random(5)
    before = _everything_in(folder)
    path = folder / "painting.sqlite"
    sound = path.read_bytes()
    for _ in range(40):
        offset, length = chance.randrange(72, len(sound)), chance.choice([1, 4, 16, 512])
        path.write_bytes(_overwrite(offset, chance.randbytes(length))(sound)[: len(sound)])
        was_damaged = path.read_bytes() != sound
        with Painting.open(folder) as painting:
            assert everything(painting) == before
            assert bool(painting.notices) is was_damaged
        assert len(_aside(folder)) == was_damaged
        for aside in _aside(folder):
            aside.unlink()
        sound = path.read_bytes()


def test_damage_after_a_crash_does_not_go_unnoticed_either(folder: Path) -> None:
    """Without a seal only what SQLite itself finds can be found."""
    (folder / "painting.sha256").unlink()
    before = _everything_in(folder)
    (folder / "painting.sha256").unlink()
    path = folder / "painting.sqlite"
    path.write_bytes(DAMAGES["the middle"](path.read_bytes()))
    assert _everything_in(folder) == before


def test_a_file_that_was_lost_comes_back_from_the_kept_copy(folder: Path) -> None:
    before = _everything_in(folder)
    (folder / "painting.sqlite").unlink()
    with Painting.open(folder, look_only=True) as looking:
        assert everything(looking) == before
    with Painting.open(folder) as painting:
        assert everything(painting) == before
        assert "file was gone. It was put right from the copy" in painting.notices[0]


def test_a_damaged_copy_is_made_anew(folder: Path) -> None:
    before = _everything_in(folder)
    kept = folder / "painting.backup.sqlite"
    kept.write_bytes(DAMAGES["a letter of the title"](kept.read_bytes()))
    with Painting.open(folder) as painting:
        assert everything(painting) == before
        assert painting.notices == ()
    (folder / "painting.sqlite").unlink()
    assert _everything_in(folder) == before


def test_photographs_brought_in_after_the_copy_go_back_on_the_ledge(folder: Path, tmp_path: Path) -> None:
    older = (folder / "painting.backup.sqlite").read_bytes()
    with Painting.open(folder) as painting:
        record = painting.import_photo(write_photo(tmp_path, "third sitting.jpg", 3))
    (folder / "painting.backup.sqlite").write_bytes(older)
    (folder / "painting.sqlite").write_bytes(b"")
    (folder / "photos" / "notes.txt").write_text("not a photograph of ours")
    with Painting.open(folder) as painting:
        assert len(painting.notices) == 2
        assert painting.notices[1].startswith("One photograph that the painting no longer listed")
        back = painting.canvas_photos()[-1]
        assert (back.photo.file, back.photo.sha256, back.photo.name) == (
            record.file,
            record.sha256,
            "third sitting.jpg",
        )
        assert painting.photo_file(back.photo.id).read_bytes() == photo_bytes(3)
        assert len(painting.photos()) == 4


@pytest.mark.parametrize("readable", [True, False])
def test_without_any_copy_it_is_rebuilt_from_the_photographs(folder: Path, readable: bool) -> None:
    damage = b"\xaa" * 4096
    path, kept = folder / "painting.sqlite", folder / "painting.backup.sqlite"
    with closing(sqlite3.connect(path)) as connection:
        root = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'photo'").fetchone()[0]
        connection.execute("UPDATE painting SET width_mm = 610, height_mm = 455, steps = 7")
        connection.commit()
    offset = 4096 * (root - 1) if readable else 0
    for file in (path, kept):
        file.write_bytes(_overwrite(offset, damage)(file.read_bytes()))
    with Painting.open(folder) as painting:
        assert "no copy of it could be used" in painting.notices[0]
        assert "3 photographs" in painting.notices[1]
        assert {photo.photo.name for photo in painting.canvas_photos()} == {"jug.jpg", "sitting 1.jpg", "sitting 2.jpg"}
        if readable:
            assert (painting.title, painting.size, painting.steps) == ("Enamel jug and quinces", Size(610, 455), 7)
            assert "61 × 45.5 cm" in painting.notices[0]
        else:
            assert (painting.title, painting.size) == ("Enamel jug", Size(400, 300))
            assert "guessed" in painting.notices[0]
        assert painting.reference is None
        painting.set_reference(painting.photos()[0].id)
        assert painting.verify() == ()
        assert len(_aside(folder)) == 2
    with Painting.open(folder) as painting:
        assert painting.reference is not None
        assert painting.notices == ()


def test_a_painting_that_lost_both_files_still_has_its_photographs(folder: Path) -> None:
    for name in ("painting.sqlite", "painting.backup.sqlite", "painting.sha256"):
        (folder / name).unlink()
    with Painting.open(folder) as painting:
        assert len(painting.canvas_photos()) == 3


def test_nothing_kept_aside_is_ever_overwritten(folder: Path) -> None:
    path = folder / "painting.sqlite"
    for number in range(3):
        path.write_bytes(b"damaged %d" % number)
        Painting.open(folder).close()
    assert {aside.read_bytes() for aside in _aside(folder)} == {b"damaged 0", b"damaged 1", b"damaged 2"}


def test_a_log_that_belongs_to_the_damaged_file_goes_aside_with_it(folder: Path) -> None:
    painting = Painting.open(folder)
    painting.set_title("in the log")
    log = (folder / "painting.sqlite-wal").read_bytes()
    painting.close()
    before = _everything_in(folder)
    (folder / "painting.sqlite").write_bytes(b"damaged")
    (folder / "painting.sqlite-wal").write_bytes(log)
    assert _everything_in(folder) == before
    assert [path.read_bytes() for path in _aside(folder) if not path.name.endswith("-shm")] == [b"damaged", log]


def test_a_rescue_that_was_cut_off_is_finished(folder: Path) -> None:
    before = _everything_in(folder)
    (folder / "painting.sqlite").rename(folder / "painting.damaged-2025-01-01-120000.sqlite")
    (folder / "painting.sqlite.part").write_bytes(b"half a copy")
    assert _everything_in(folder) == before


def test_a_copied_or_moved_folder_is_the_same_painting(folder: Path, tmp_path: Path) -> None:
    before = _everything_in(folder)
    shutil.copytree(folder, tmp_path / "copied")
    assert _everything_in(tmp_path / "copied") == before
    folder.rename(tmp_path / "moved")
    assert _everything_in(tmp_path / "moved") == before


def test_damage_met_while_working_is_told_and_put_right_on_opening(folder: Path) -> None:
    painting = Painting.open(folder)
    before = everything(painting)
    path = folder / "painting.sqlite"
    path.write_bytes(DAMAGES["all but the first page"](path.read_bytes()))
    painting._connection.execute("PRAGMA shrink_memory")
    with pytest.raises(PaintingError, match=r"damaged.*open it again"):
        everything(painting)
    painting.close()
    assert painting.notices[-1].startswith("The painting's file was found damaged, so the safety copy was left")
    with Painting.open(folder) as again:
        assert everything(again) == before


@pytest.mark.parametrize("file", ["../painting.sqlite", "/etc/passwd", "..", "a\\..\\b", "C:x", ""])
def test_a_photos_name_never_leads_out_of_the_folder(folder: Path, file: str) -> None:
    before = _everything_in(folder)
    with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
        connection.execute("UPDATE photo SET file = ? WHERE id = 2", (file,))
        connection.commit()
    (folder / "painting.sha256").unlink()  # so that the name itself must be noticed
    with Painting.open(folder) as painting:
        assert everything(painting) == before
        assert "was damaged" in painting.notices[0]
