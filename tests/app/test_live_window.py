"""The live canvas in the window: opened by its action, its keys those of the wall, what it keeps on the ledge."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.live import page as live_page
from app.work import Worker
from tests.app.live_case import CAMERA, KnowingFollower, World, followed, frame
from tests.app.window_case import Easel, make_easel, make_painting


@pytest.fixture
def world() -> World:
    return World()


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, world: World, monkeypatch: pytest.MonkeyPatch) -> Easel:
    monkeypatch.setattr(live_page, "real_outside", world.outside)
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    made.press("live")
    page = made.desk.placing.live
    page.open(CAMERA)
    page.feed.follower = KnowingFollower(followed())
    world.source.push(frame())
    qtbot.waitUntil(lambda: page.show_on.shot is not None)
    return made


def test_the_keys_of_the_window_are_those_of_the_page(qtbot: QtBot, easel: Easel) -> None:
    page, wall = easel.desk.placing.live, easel.desk.studio.view
    easel.press("grey", "acetate")
    qtbot.keyClick(page.show_on.wall, Qt.Key.Key_F)  # its action rests, since no canvas photo hangs
    assert (page.view.look.value, page.view.acetate, page.view.flat) == ("grey", False, False)
    assert easel.desk.studio.view == wall  # the wall beneath is left as it was
    easel.press("check")
    assert not easel.desk.checking._studio.checker.is_busy
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert not easel.desk.placing.is_away


def test_what_is_kept_hangs_laid_flat(qtbot: QtBot, easel: Easel) -> None:
    page = easel.desk.placing.live
    page.keep_this()
    assert easel.said.startswith("Kept")
    photo = easel.desk.studio.canvas_photo
    assert photo is not None
    assert photo.found_by == "tabs"
    assert page.isVisible()  # one goes on looking


def test_closing_the_painting_lets_the_camera_go(easel: Easel, world: World) -> None:
    easel.press("close", "close")
    assert easel.window.desk is None
    assert world.source.closed.is_set()
