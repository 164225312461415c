"""Earlier days in the window: listed, looked at without being changed, and left by a clear way back."""

import shutil
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from app.work import Worker
from core.painting import Painting
from core.store import days
from tests.app.window_case import Easel, canvas_shot, drop, make_easel, make_painting

FIRST = date(2030, 1, 1)  # a Tuesday


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A painting that had another title on each of three days, for every test to copy."""
    folder = make_painting(tmp_path_factory.mktemp("made"))
    with pytest.MonkeyPatch.context() as patched:
        for number in range(3):
            patched.setattr(days, "today", lambda number=number: FIRST + timedelta(days=number))
            with Painting.open(folder) as painting:
                painting.set_title(f"Cat, day {number + 1}")
    return folder


@pytest.fixture
def folder(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(days, "today", lambda: FIRST + timedelta(days=2))
    return Path(shutil.copytree(made, tmp_path / "painting"))


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, folder: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(folder)
    return made


def menu_line(easel: Easel, words: str) -> Any:
    return next(line for line in easel.desk.ledge.more_menu().actions() if words in line.text())


def shown(easel: Easel) -> tuple[str, bool]:
    """The title of what is open, and whether it is said to be of an earlier day."""
    return easel.desk.studio.painting.title, easel.window.keeping.bar.isVisible()


def test_a_day_is_looked_at_and_left_again(easel: Easel, qtbot: QtBot, folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "canvas.jpg"
    canvas_shot(tmp_path, file.name)
    drop(easel.desk.ledge, [file])
    recent = easel.window.machine.kept.recent
    menu_line(easel, "Earlier days").trigger()
    ledge = easel.desk.ledge
    assert (ledge.shows_earlier, ledge._beside.isVisible()) == (True, False)
    assert [day.text().replace("\n", " ") for day in ledge.earlier.days] == [
        f"Morning of {day} January 2030" for day in ("Thursday 3", "Wednesday 2", "Tuesday 1")
    ]
    ledge.earlier.back.click()
    assert (ledge.shows_earlier, ledge._beside.isVisible()) == (False, True)

    ledge.earlier.days[1].click()
    painting, bar = easel.desk.studio.painting, easel.window.keeping.bar
    assert shown(easel) == ("Cat, day 1", True)  # as it was before the second day's work
    assert painting.read_only
    assert painting.canvas_photos() == ()
    assert bar.says.text() == "Morning of Wednesday 2 January 2030: only to look, nothing is changed."
    assert "(only to look)" in easel.window.windowTitle()
    assert easel.window.machine.kept.recent == recent
    assert [day.isChecked() for day in easel.desk.ledge.earlier.days] == [False, True, False]
    _assert_nothing_is_cut_off(easel, qtbot)
    assert not menu_line(easel, "Back up").isEnabled()  # what would be backed up is not what is seen
    easel.press("question_drawing", "grey", "one")

    bar.back.click()
    assert shown(easel) == ("Cat, day 3", False)
    painting = easel.desk.studio.painting
    assert (painting.read_only, painting.folder) == (False, folder)
    assert len(painting.canvas_photos()) == 1
    assert len(easel.desk.studio.view.hung) == 2  # what was looked at differently meanwhile was not kept
    assert menu_line(easel, "Back up").isEnabled()


def _assert_nothing_is_cut_off(easel: Easel, qtbot: QtBot) -> None:
    easel.window.resize(911, 512)  # 1366 × 768 at a scale of 1.5
    desk, earlier, bar = easel.desk, easel.desk.ledge.earlier, easel.window.keeping.bar
    qtbot.waitUntil(lambda: desk.bar.height() >= desk.bar.heightForWidth(desk.bar.width()))
    view = earlier._scroll.viewport()
    assert all(day.mapTo(view, day.rect().bottomLeft()).y() < view.height() for day in earlier.days)
    assert all(day.height() >= day.sizeHint().height() for day in earlier.days)
    looked_at = earlier.days[1]
    assert view.rect().contains(looked_at.mapTo(view, looked_at.rect().center()))
    assert bar.rect().contains(bar.back.geometry())
    assert bar.says.height() >= bar.says.heightForWidth(bar.says.width())
    assert desk.ledge.mapTo(easel.window, desk.ledge.rect().bottomLeft()).y() < easel.window.height()


def test_from_day_to_day_to_the_start_and_back_to_one_that_was_taken(easel: Easel, folder: Path) -> None:
    easel.desk.ledge.show_earlier()
    easel.desk.ledge.earlier.days[0].click()
    assert shown(easel) == ("Cat, day 2", True)
    easel.desk.ledge.earlier.days[2].click()
    assert shown(easel) == ("Cat", True)
    desk = easel.desk
    desk.ledge.earlier.days[2].click()  # the one that is looked at
    assert easel.desk is desk
    assert desk.ledge.earlier.days[2].isChecked()
    drop(desk, [folder])  # opened anew, it is the painting of now
    assert shown(easel) == ("Cat, day 3", False)
    desk = easel.desk
    drop(desk, [folder])
    assert easel.desk is desk
    desk.ledge.show_earlier()
    desk.ledge.earlier.days[0].click()
    with Painting.open(folder):
        easel.window.keeping.bar.back.click()
    assert "already open in another window" in easel.said
    assert easel.window.pages.currentWidget() is easel.window.start
    assert not easel.window.keeping.bar.isVisible()
    assert easel.window.machine.kept.recent[0].title == "Cat, day 3"


def test_copies_that_are_damaged_gone_or_not_to_be_read_are_said(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    def unreadable(_folder: Path) -> tuple[days.DayCopy, ...]:
        raise OSError(5, "Input/output error")

    desk, earlier = easel.desk, easel.desk.ledge.earlier
    menu_line(easel, "Earlier days").trigger()
    there = desk.studio.painting.copies()
    there[0].file.write_bytes(b"not a painting" * 100)
    earlier.days[0].click()
    assert "damaged" in easel.said
    there[1].file.unlink()
    easel.window.say("")
    earlier.days[1].click()
    assert "the copy could not be opened" in easel.said
    assert easel.desk is desk
    assert shown(easel) == ("Cat, day 3", False)
    with monkeypatch.context() as patched:
        patched.setattr(days, "copies", unreadable)
        menu_line(easel, "Earlier days").trigger()
    assert "the copies could not be read" in easel.said
    for copy in (there[0], there[2]):
        copy.file.unlink()
    menu_line(easel, "Earlier days").trigger()
    assert earlier.days == ()
    assert earlier.says.text().startswith("None yet.")
