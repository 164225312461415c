"""Backups in the window: made, checked and restored with what is told of them, stopped, and refused in a sentence."""

import errno
import shutil
import zipfile
from collections import namedtuple
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from threading import Event
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app import work
from app.backups import backups as keeping
from app.backups.backups import Backups
from app.backups.jobs import Done
from app.backups.words import backup_name, folder_suggested, morning_words, notice_lines, whole_words
from app.message import Offer
from app.work import Progress, Worker
from core.drawing.svg_read import drawing_from_svg
from core.painting import Painting, back_up, restore
from core.store import back_up as backing
from core.store import files, patience
from core.store.zip_names import SUMS
from tests.app.window_case import SIZE, SVG, Answers, Easel, drop, make_easel, make_painting


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A painting and its backup, for every test to copy."""
    place = tmp_path_factory.mktemp("made")
    folder = make_painting(place)
    return folder, back_up(folder, place / "Cat 2026-11-30.zip").path


@pytest.fixture
def folder(made: tuple[Path, Path], tmp_path: Path) -> Path:
    return Path(shutil.copytree(made[0], tmp_path / "painting"))


@pytest.fixture
def zipped(made: tuple[Path, Path], tmp_path: Path) -> Path:
    return Path(shutil.copy2(made[1], tmp_path))


class Table:
    """Backups with answers to their questions, and what was said of them."""

    def __init__(self, qtbot: QtBot, worker: Worker, place: Path) -> None:
        over = QWidget()
        qtbot.addWidget(over)
        self.answers = Answers(save=place / "elsewhere.zip", new_folder=place / "new")
        self.said = ""
        self.offers: tuple[Offer, ...] = ()
        self.restored: list[tuple[Path, str]] = []
        self.backups = Backups(worker, self.answers.dialogs(), self._say, lambda: place, over)
        self.backups.restored.connect(lambda path, sentence: self.restored.append((path, sentence)))

    def _say(self, sentence: str, *offers: Offer, passing: bool = False) -> None:
        self.said, self.offers = sentence, offers


@pytest.fixture
def table(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Table:
    return Table(qtbot, worker, tmp_path)


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return make_easel(qtbot, worker, tmp_path)


def inside(path: Path) -> set[str]:
    with zipfile.ZipFile(path) as archive:
        return {name.partition("/")[2] for name in archive.namelist()} - {SUMS}


# Words.


def test_a_backup_is_named_by_title_and_day_on_every_system() -> None:
    assert backup_name("Enamel jug", date(2026, 12, 1)) == "Enamel jug 2026-12-01.zip"
    assert backup_name('Jug: "half/empty"?', date(2026, 2, 3)) == "Jug half empty 2026-02-03.zip"
    assert folder_suggested(Path("/a/Enamel jug 2026-12-01.zip")) == "Enamel jug"
    assert folder_suggested(Path("/a/my own name.zip")) == "my own name"


def test_a_morning_is_said_as_the_painter_writes_days() -> None:
    # 1 December 2026 is a Tuesday: `cal 12 2026`.
    british, american = QLocale("en_GB"), QLocale("en_US")
    day = date(2026, 12, 1)
    assert morning_words(day, date(2026, 12, 3), british) == "Morning of Tuesday 1 December"
    assert morning_words(day, date(2027, 1, 3), british) == "Morning of Tuesday 1 December 2026"
    assert morning_words(day, date(2026, 12, 3), american) == "Morning of Tuesday December 1"


def test_many_notices_leave_room_for_the_rest() -> None:
    assert notice_lines(["a", "b", "c"]) == "a\nb\nc"
    assert notice_lines(["a", "b", "c", "d"]).endswith("c\n1 more file is missing from it, or not as brought in.")
    assert "5 more files are missing" in notice_lines(list("abcdefgh"))
    assert whole_words(Path("a.zip"), 1) == "“a.zip” is whole: its one file is as it was put in."


# Backing up.


def test_an_open_painting_is_backed_up_with_what_is_on_its_way(easel: Easel, folder: Path, tmp_path: Path) -> None:
    easel.window.open_painting(folder)
    easel.answers.save = tmp_path / "cat"  # no ending
    changed = drawing_from_svg(SVG.replace('id="brow"', 'id="the other brow"'), SIZE)
    easel.desk.studio.keep_drawing(changed, "drew a brow")
    easel.press("three")
    next(line for line in easel.desk.ledge.more_menu().actions() if line.text() == "Back up the painting…").trigger()
    made = tmp_path / "cat.zip"
    kept = easel.desk.studio.painting.reference.photo.file
    assert inside(made) == {"painting.sqlite", f"photos/{kept}"}
    assert easel.said == f"Backed up: 2 files, {made.stat().st_size / 1e3:.0f} kB. It is in {made}."
    easel.offer("Check this backup")
    assert easel.said == "“cat.zip” is whole: all 2 files in it are as they were put in."
    restore(made, tmp_path / "again")
    with Painting.open(tmp_path / "again") as again:
        assert "the other brow" in (again.drawing_svg or "")
        assert again.setting("view") == easel.desk.studio.view.to_json()


def test_a_closed_painting_is_backed_up_from_the_list(easel: Easel, folder: Path, tmp_path: Path) -> None:
    start = easel.window.start
    easel.window.machine.opened(folder, "Cat", "20 × 15 cm")
    easel.window.show_start()
    easel.answers.save = tmp_path / "first.zip"
    start._backup_button.click()
    assert "Backed up: 2 files" in easel.said
    assert easel.window.desk is None
    easel.answers.save = tmp_path / "second.zip"
    next(action for action in start._list.actions() if action.text() == "Back up…").trigger()
    assert inside(tmp_path / "second.zip") == inside(tmp_path / "first.zip")
    folder.rename(tmp_path / "moved")
    start._backup_button.click()
    assert "is not there. Connect its disk" in easel.said


def test_the_name_is_suggested_where_the_last_one_went(table: Table, folder: Path, tmp_path: Path) -> None:
    asked: list[Path] = []

    def choose(_parent: object, _title: str, suggested: Path) -> Path:
        asked.append(suggested)
        return tmp_path / suggested.name

    table.backups._dialogs = replace(table.answers.dialogs(), choose_save=choose)
    for _ in range(2):
        table.backups.back_up(folder, "Cat")
    name = f"Cat {date.today().isoformat()}.zip"
    assert asked == [Path.home() / name, tmp_path / name]
    assert (tmp_path / name).is_file()


def test_what_is_missing_is_told_with_the_backup(table: Table, folder: Path) -> None:
    (photo,) = (folder / "photos").iterdir()
    photo.unlink()
    table.backups.back_up(folder, "Cat")
    assert table.said.startswith("Backed up: 1 file, ")
    assert f"“{photo.name}” is not in the backup, since it is missing" in table.said


def test_a_change_of_mind_makes_nothing(table: Table, folder: Path, tmp_path: Path) -> None:
    there = set(tmp_path.iterdir())
    table.answers.save = table.answers.new_folder = None
    table.backups.back_up(folder, "Cat")
    table.backups.choose_and_restore()  # no backup chosen
    table.answers.backup = tmp_path / "b.zip"
    table.backups.choose_and_restore()  # no folder chosen
    assert table.said == ""
    assert set(tmp_path.iterdir()) == there


def test_a_full_disk_is_said_and_nothing_is_left(
    table: Table, folder: Path, zipped: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_any: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    there = set(tmp_path.iterdir())
    with monkeypatch.context() as patched:
        patched.setattr(files, "sync", full)
        table.backups.back_up(folder, "Cat")
        assert table.said.startswith("The disk is full, so the backup was not made.")
        table.backups.restore(zipped)
        assert table.said.startswith("The disk is full, so the backup was not restored.")
    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(backing, "shutil", SimpleNamespace(disk_usage=lambda _: usage(10, 10, 0)))
    table.backups.back_up(folder, "Cat")
    assert "the disk has 0 kB free" in table.said
    assert table.restored == []
    assert set(tmp_path.iterdir()) == there


def test_a_backup_inside_the_painting_is_refused(table: Table, folder: Path) -> None:
    table.answers.save = folder / "b.zip"
    table.backups.back_up(folder, "Cat")
    assert table.said == "Keep the backup outside the painting's folder, best on another disk."


def test_a_backup_that_has_changed_is_found_out(table: Table, zipped: Path) -> None:
    with zipfile.ZipFile(zipped) as archive:
        at = max(entry.header_offset for entry in archive.infolist() if entry.filename.endswith(".jpg"))
    data = bytearray(zipped.read_bytes())
    data[at + 4000] ^= 1
    zipped.write_bytes(data)
    table.backups.check(zipped)
    assert table.said.startswith(f"“{zipped.name}” is damaged")


# Restoring.


def test_a_backup_becomes_a_painting_that_is_opened(
    easel: Easel, made: tuple[Path, Path], zipped: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Path] = []

    def choose(_parent: object, _title: str, suggested: Path) -> Path:
        asked.append(suggested)
        return suggested

    monkeypatch.setattr(Painting, "notices", ("Mind the cat.",))
    easel.window.machine.keep(parent_folder=str(tmp_path))
    (tmp_path / "Cat").mkdir()
    easel.answers.backup = zipped
    dialogs = replace(easel.answers.dialogs(), choose_new_folder=choose)
    easel.window.keeping.backups._dialogs = dialogs
    easel.window.start.restore_button.click()
    painting = easel.desk.studio.painting
    assert asked == [tmp_path / "Cat 2"]
    assert painting.folder == tmp_path / "Cat 2"
    assert not painting.read_only
    assert (painting.title, painting.size) == ("Cat", SIZE)
    kept = painting.photo_file(painting.reference.photo.id)
    assert kept.read_bytes() == (made[0] / "photos" / kept.name).read_bytes()
    first, second = easel.said.split("\n")
    assert first.startswith("Restored: 2 files, ")
    assert second == "Mind the cat."
    assert easel.window.machine.kept.recent[0].folder == str(tmp_path / "Cat 2")


def test_a_backup_dropped_on_the_first_page_is_restored(easel: Easel, zipped: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").mkdir()
    easel.answers.new_folder = tmp_path / "taken"
    drop(easel.window.start, [zipped])
    assert easel.said == "“taken” is there already. Give the restored painting a new folder."
    assert easel.window.pages.currentWidget() is easel.window.start


@pytest.mark.parametrize(
    ("what", "sentence"),
    [
        ("no zip", "is not a backup of a painting. Choose its zip."),
        ("another zip", "is not a backup of a painting"),
        ("cut short", "was cut short or damaged"),
        ("gone", "is not there any more"),
        ("folder not empty", "is there already. Give the restored painting a new folder."),
        ("nowhere", "is not there. Choose one that is."),
    ],
)
def test_what_cannot_be_restored_ends_in_a_sentence(
    table: Table, folder: Path, zipped: Path, tmp_path: Path, what: str, sentence: str
) -> None:
    if what == "no zip":
        zipped.write_text("two quinces")
    elif what == "another zip":
        with zipfile.ZipFile(zipped, "w") as archive:
            archive.writestr("letter.txt", "dear")
    elif what == "cut short":
        zipped.write_bytes(zipped.read_bytes()[:5000])
    elif what == "gone":
        zipped.unlink()
    elif what == "folder not empty":
        table.answers.new_folder = folder
    else:
        table.answers.new_folder = tmp_path / "no" / "where"
    before = {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")}
    table.answers.backup = zipped
    table.backups.choose_and_restore()
    assert sentence in table.said
    assert table.restored == []
    assert {path: path.stat().st_mtime_ns for path in tmp_path.rglob("*")} == before


# Stopped.


def test_stopped_with_its_button_there_is_no_backup(
    qtbot: QtBot, threaded_worker: Worker, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun = Event()

    def endless(_path: Path) -> Iterator[bytes]:
        while True:
            begun.set()
            yield b"byte"

    monkeypatch.setattr(patience, "chunks_of", endless)
    monkeypatch.setattr(work, "SHOW_AFTER_S", 0.0)
    easel = make_easel(qtbot, threaded_worker, tmp_path)
    easel.answers.save = tmp_path / "elsewhere.zip"
    easel.window.keeping.backups.back_up(folder, "Cat")
    strip = easel.window.strip
    qtbot.waitUntil(lambda: begun.is_set() and strip._doing.text() == "Backing up")
    strip._stop.click()
    qtbot.waitUntil(lambda: easel.said != "")
    assert easel.said == "Stopped. No backup was made."
    assert not [path for path in tmp_path.iterdir() if ".zip" in path.name]
    easel.window.say("")


def test_restored_though_it_was_stopped_it_waits_to_be_opened(
    qtbot: QtBot, threaded_worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, go_on = Event(), Event()

    def slow(_backup: Path, folder: Path, _progress: Progress) -> Done:
        begun.set()
        go_on.wait(20)
        return Done(folder, "2 files, 99 kB", ())

    monkeypatch.setattr(keeping, "restore_backup", slow)
    table = Table(qtbot, threaded_worker, tmp_path)
    table.backups.restore(tmp_path / "b.zip")
    qtbot.waitUntil(begun.is_set)
    threaded_worker.cancel_all()  # as when another painting is opened
    go_on.set()
    qtbot.waitUntil(lambda: table.said != "")
    assert table.said == f"Restored: 2 files, 99 kB.\nIt is in {tmp_path / 'new'}."
    assert table.restored == []
    (offer,) = table.offers
    offer.do()
    assert table.restored == [(tmp_path / "new", "Restored: 2 files, 99 kB.")]
