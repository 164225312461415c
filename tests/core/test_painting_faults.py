"""Folders that cannot be written to, full disks, two windows, newer versions: a sentence each, and nothing lost."""

import errno
import json
import os
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from core.errors import PaintingError
from core.painting import AlreadyOpenError, Painting
from core.size import Size
from core.store import database, faults, files, lock, opening, schema, session
from core.store.faults import NewerVersionError
from tests.core.painting_support import child, child_says, everything, make_painting, state, write_photo


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_painting(tmp_path)


def test_what_is_no_painting_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "photos only" / "photos").mkdir(parents=True)
    other = tmp_path / "other" / "painting.sqlite"
    other.parent.mkdir()
    with closing(sqlite3.connect(other)) as connection:
        connection.execute("CREATE TABLE letters (words TEXT)")
        connection.commit()
    before = other.read_bytes()
    cases = {"empty": "not a painting's folder", "photos only": "not a painting's", "other": "not a painting's",
             "gone": "is not there", "other/painting.sqlite": "is a file"}  # fmt: skip
    for name, sentence in cases.items():
        for look_only in (False, True):
            with pytest.raises(PaintingError, match=sentence):
                Painting.open(tmp_path / name, look_only=look_only)
    assert other.read_bytes() == before
    assert list(other.parent.iterdir()) == [other]
    assert list((tmp_path / "empty").iterdir()) == []


def test_two_windows_of_one_program(folder: Path) -> None:
    with Painting.open(folder) as painting:
        with pytest.raises(AlreadyOpenError, match=rf"already open in another window on .* \(process {os.getpid()}\)"):
            Painting.open(folder)
        painting.set_title("Quinces")
    with Painting.open(folder) as painting:
        assert painting.title == "Quinces"


def test_two_processes_and_one_that_only_looks(folder: Path) -> None:
    process = child("hold", str(folder))
    assert process.stdout is not None
    assert process.stdout.readline().strip() == "open"
    with pytest.raises(AlreadyOpenError, match=rf"process {process.pid}\)"):
        Painting.open(folder)
    with Painting.open(folder, look_only=True) as looking:
        assert looking.read_only
        assert looking.title == "Enamel jug and quinces"
        assert looking.notices == ("This painting is open only to look: nothing can be changed here.",)
        before = everything(looking)
        for attempt in (lambda: looking.set_title("x"), looking.undo, lambda: looking.set_setting("squint", 1)):
            with pytest.raises(PaintingError, match="open only to look"):
                attempt()
        assert everything(looking) == before
    # Killed, it leaves its name in the lock file but not the lock.
    process.kill()
    process.communicate(timeout=60)
    with Painting.open(folder) as painting:
        assert not painting.read_only


def test_one_who_looks_sees_what_the_other_saves(folder: Path) -> None:
    with Painting.open(folder) as painting, Painting.open(folder, look_only=True) as looking:
        painting.set_title("Quinces")
        assert looking.title == "Quinces"


def test_a_disk_without_locks_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(descriptor: int) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr(lock, "_lock", refuse)
    with Painting.open(folder) as painting:
        assert "one window only" in painting.notices[0]
        painting.set_title("Quinces")


def test_from_a_newer_version(folder: Path) -> None:
    with closing(sqlite3.connect(folder / "painting.sqlite")) as connection:
        connection.execute(f"PRAGMA user_version = {len(schema.MIGRATIONS) + 1}")
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.suffix != ".lock"}
    for look_only in (False, True):
        with pytest.raises(NewerVersionError, match="newer version of Easelside"):
            Painting.open(folder, look_only=look_only)
    after = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.suffix != ".lock"}
    assert after == before


def _add_a_table(connection: sqlite3.Connection) -> None:
    connection.execute("CREATE TABLE varnish (coats INTEGER)")
    connection.execute("UPDATE painting SET title = title || ', varnished'")


def _break_half_way(connection: sqlite3.Connection) -> None:
    connection.execute("CREATE TABLE frame (depth_mm REAL)")
    connection.execute("UPDATE painting SET title = 'half framed'")
    raise sqlite3.OperationalError("broken off")


def test_an_older_file_is_brought_up_to_date_and_kept_as_it_was(folder: Path) -> None:
    path = folder / "painting.sqlite"
    newer = (*schema.MIGRATIONS, _add_a_table)
    with closing(database.open_sound(path, migrations=newer)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(schema.MIGRATIONS) + 1
        assert connection.execute("SELECT title FROM painting").fetchone()[0].endswith(", varnished")
        assert connection.execute("SELECT count(*) FROM varnish").fetchone()[0] == 0
    with closing(database.open_sound(folder / f"painting.version-{len(schema.MIGRATIONS)}.sqlite")) as connection:
        assert connection.execute("SELECT title FROM painting").fetchone()[0] == "Enamel jug and quinces"


def test_a_migration_that_breaks_off_leaves_the_version_before(folder: Path) -> None:
    path = folder / "painting.sqlite"
    with pytest.raises(sqlite3.OperationalError, match="broken off"):
        database.open_sound(path, migrations=(*schema.MIGRATIONS, _add_a_table, _break_half_way))
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(schema.MIGRATIONS) + 1
        assert connection.execute("SELECT title FROM painting").fetchone()[0] == "Enamel jug and quinces, varnished"
        assert connection.execute("SELECT count(*) FROM sqlite_master WHERE name = 'frame'").fetchone()[0] == 0
    with pytest.raises(sqlite3.OperationalError):
        database.open_sound(path, migrations=(*schema.MIGRATIONS, _add_a_table, _break_half_way))
    with closing(database.open_sound(path, migrations=(*schema.MIGRATIONS, _add_a_table))) as connection:
        assert connection.execute("PRAGMA quick_check").fetchone()[0] == "ok"


if sys.platform != "win32":

    @pytest.fixture
    def shut_folder() -> Iterator[Path]:
        """A painting nobody may write in, where other users may look (which the usual temporary folders forbid)."""
        root = Path(tempfile.mkdtemp())
        root.chmod(0o755)
        folder = make_painting(root)
        yield folder
        for place in (folder, folder / "photos"):
            place.chmod(0o755)
        shutil.rmtree(root)

    def _shut(folder: Path) -> None:
        for path in (*folder.iterdir(), *(folder / "photos").iterdir()):
            path.chmod(0o555 if path.is_dir() else 0o444)
        folder.chmod(0o555)

    @pytest.mark.parametrize("with_log", [False, True])
    def test_a_folder_that_cannot_be_written_to_opens_to_look(shut_folder: Path, with_log: bool) -> None:
        title = "Enamel jug and quinces"
        if with_log:  # what a kill leaves: the last changes are only in the log beside the file
            painting = Painting.open(shut_folder)
            painting.set_title(title := "only in the log")
            kept = {
                path: path.read_bytes() for path in shut_folder.glob("painting.sqlite*") if path.suffix[-3:] != "shm"
            }
            painting.close()
            for path, content in kept.items():
                path.write_bytes(content)
            (shut_folder / "painting.sha256").unlink()
        _shut(shut_folder)
        before = {path.name for path in shut_folder.iterdir()}
        told = json.loads(child_says("as_nobody", str(shut_folder), str(shut_folder / "photos" / "any.jpg")))
        assert told["read_only"] is True
        assert told["title"] == title
        assert told["ledge"] == 2
        assert "cannot be written to" in told["notices"][0]
        assert len(told["refused"]) == 3
        assert all("open only to look" in sentence for sentence in told["refused"])
        assert {path.name for path in shut_folder.iterdir()} == before

    def test_a_file_that_cannot_be_written_to_in_a_folder_that_can(shut_folder: Path) -> None:
        (shut_folder / "painting.sqlite").chmod(0o444)
        for place in (shut_folder, shut_folder / "photos"):
            place.chmod(0o777)
        (shut_folder / "painting.lock").chmod(0o666)
        told = json.loads(child_says("as_nobody", str(shut_folder), str(shut_folder / "any.jpg")))
        assert told["read_only"] is True
        assert told["title"] == "Enamel jug and quinces"

    def test_no_room_for_a_photograph_nor_for_a_change(folder: Path, tmp_path: Path) -> None:
        photo = write_photo(tmp_path, "large.jpg", 9, 400_000)
        import_sentence, change_sentence, last_saved, read_back = child_says(
            "small_files", str(folder), str(photo), "300000"
        ).splitlines()
        assert import_sentence.startswith("The disk is full, so “large.jpg” was not brought in.")
        assert "so the change was not saved" in change_sentence
        assert last_saved == read_back
        with Painting.open(folder) as painting:
            assert painting.plan("filler")[0] == int(last_saved)
            assert len(painting.photos()) == len(list((folder / "photos").iterdir())) == 3
            assert painting.verify() == ()


def _fill_up(painting: Painting) -> None:
    pages = painting._connection.execute("PRAGMA page_count").fetchone()[0]
    painting._connection.execute(f"PRAGMA max_page_count = {pages}")


def _make_room(painting: Painting) -> None:
    painting._connection.execute("PRAGMA max_page_count = 100000")


@pytest.mark.parametrize(
    "attempt",
    [
        lambda painting: painting.set_plan("palette", "ochre " * 100_000),
        lambda painting: painting.set_drawing("<svg>" + "<path/>" * 100_000 + "</svg>"),
        lambda painting: painting.set_setting("hangings", "linen " * 100_000),
        lambda painting: painting.set_check_result(painting.canvas_photos()[0].id, '"' + "x" * 500_000 + '"'),
    ],
)
def test_a_full_disk_is_told_and_changes_nothing(folder: Path, attempt: Callable[[Painting], object]) -> None:
    with Painting.open(folder) as painting:
        painting.undo()
        before = everything(painting)
        _fill_up(painting)
        with pytest.raises(PaintingError, match="The disk is full, so the change was not saved"):
            attempt(painting)
        assert everything(painting) == before
        _make_room(painting)
        attempt(painting)
        assert everything(painting) != before
        assert painting.verify() == ()


def test_a_full_disk_in_the_middle_of_a_step_undoes_all_of_it(folder: Path) -> None:
    with Painting.open(folder) as painting:
        before = everything(painting)

        def careless() -> None:
            with painting.step("set up"):
                painting.set_title("dropped")
                with pytest.raises(PaintingError, match="disk is full"):
                    painting.set_plan("palette", "ochre " * 100_000)
                painting.set_steps(9)

        _fill_up(painting)
        try:
            careless()
        except PaintingError:
            assert everything(painting) == before
        else:  # SQLite took back the one change only: the rest is whole
            assert (painting.title, painting.steps, painting.plan("palette")) == ("dropped", 9, None)
            painting.undo()
            assert state(painting) == {key: before[key] for key in state(painting)}


def test_a_transaction_that_sqlite_ended_is_never_half_saved(folder: Path) -> None:
    with Painting.open(folder) as painting:
        before = everything(painting)

        def cut_off() -> None:
            with painting.step("set up"):
                painting.set_title("dropped")
                painting._connection.execute("ROLLBACK")  # as SQLite itself does when the disk fails
                painting.set_steps(9)

        with pytest.raises(PaintingError, match="An earlier part of this change was not saved"):
            cut_off()
        assert everything(painting) == before
        painting.set_steps(9)
        assert painting.steps == 9


def test_a_safety_copy_that_cannot_be_made_is_a_notice(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*arguments: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(session, "COPY_EVERY_SECONDS", -1.0)
    with Painting.open(folder) as painting:
        heard = []
        painting.changed.connect(lambda change: heard.append(change.parts))
        painting.set_title("copied at once")
        assert _title_of(folder / "painting.backup.sqlite") == "copied at once"
        monkeypatch.setattr(opening, "copy_to", refuse)
        painting.set_title("saved all the same")
        assert "safety copy of the painting's file was not renewed" in painting.notices[0]
        assert heard == [{"painting"}, {"painting", "notice"}]
    assert _title_of(folder / "painting.backup.sqlite") == "copied at once"
    assert _title_of(folder / "painting.sqlite") == "saved all the same"


def _title_of(path: Path) -> str:
    with closing(sqlite3.connect(path)) as connection:
        title: str = connection.execute("SELECT title FROM painting").fetchone()[0]
        return title


@pytest.mark.parametrize(
    ("number", "sentence"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EROFS, "cannot be written to"),
        (errno.EIO, "did not answer as it should"),
    ],
)
def test_the_disk_speaks_in_sentences(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, sentence: str
) -> None:
    def refuse(*arguments: object) -> None:
        raise OSError(number, os.strerror(number))

    with Painting.open(folder) as painting:
        monkeypatch.setattr(files, "sync", refuse)
        with pytest.raises(PaintingError, match=sentence):
            painting.import_photo(write_photo(tmp_path, "new.jpg", 9))
        monkeypatch.undo()
        assert len(list((folder / "photos").iterdir())) == 3


def test_another_program_holding_the_file_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "_BUSY_SECONDS", 0.05)
    with Painting.open(folder) as painting, closing(sqlite3.connect(folder / "painting.sqlite")) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(PaintingError, match="Another program is holding"):
            painting.set_title("Quinces")
        other.rollback()
        painting.set_title("Quinces")
        assert painting.title == "Quinces"


def test_sentences_for_every_kind_of_refusal() -> None:
    said = {}
    for name in ("FULL", "READONLY", "BUSY", "CORRUPT", "CONSTRAINT", "IOERR"):
        error = sqlite3.OperationalError("engine words")
        error.sqlite_errorcode = getattr(sqlite3, f"SQLITE_{name}") | 0x300  # extended codes have more above
        said[name] = faults.database_sentence(error, "the change was not saved")
    assert len(set(said.values())) == len(said)
    assert all("the change was not saved" in sentence for sentence in said.values())
    assert "engine words" not in said["FULL"] + said["READONLY"] + said["BUSY"] + said["CORRUPT"]


def test_a_folder_in_use_is_not_made_into_a_painting(folder: Path, tmp_path: Path) -> None:
    with Painting.open(folder), pytest.raises(PaintingError, match="a painting already"):
        Painting.create(folder, "Jug", Size(400, 300), write_photo(tmp_path, "x.jpg", 1))
