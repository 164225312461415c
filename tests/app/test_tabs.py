"""Corner tabs in the window: learnt from a photo whose corners are placed, then photos lie flat unasked."""

from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
import pytest
from PIL import Image
from pytestqt.qtbot import QtBot

from app.ledge.tabs import SETTING
from app.work import Worker
from core.painting import Painting
from tests.app.window_case import Easel, drop, make_easel, reference_photo
from tests.studio.tabbed import Scene, Stuck, View, corners_px, pixels

SCENE = Scene()
FIRST = View(width=1920, height=1440, seed=1)
SECOND = View(width=1920, height=1440, yaw_deg=6.0, pitch_deg=-3.0, roll_deg=1.0, fill=0.6, seed=2)


@cache
def shot(scene: Scene, view: View) -> np.ndarray:
    return pixels(scene, view)


def file_of(folder: Path, name: str, scene: Scene, view: View) -> Path:
    file = folder / name
    Image.fromarray(shot(scene, view)).convert("RGB").save(file, quality=92)
    return file


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    Painting.create(tmp_path / "painting", "Cups", SCENE.size, reference_photo(tmp_path)).close()
    made.window.open_painting(tmp_path / "painting")
    return made


def learn(qtbot: QtBot, easel: Easel, folder: Path) -> None:
    """The first photo, its corners placed by hand."""
    drop(easel.desk.ledge, [file_of(folder, "first.jpg", SCENE, FIRST)])
    studio = easel.desk.studio
    studio.painting.set_corners(studio.canvas_photo.id, [tuple(map(float, p)) for p in corners_px(SCENE, FIRST)])
    easel.desk.placing.placed.emit()
    qtbot.waitUntil(lambda: studio.painting.setting(SETTING) is not None)


def test_after_one_photo_the_next_lies_flat_by_itself(qtbot: QtBot, easel: Easel, tmp_path: Path) -> None:
    drop(easel.desk.ledge, [file_of(tmp_path, "before.jpg", SCENE, SECOND)])
    assert easel.desk.studio.canvas_photo.corners is None
    assert "place the canvas’s corners" in easel.said
    learn(qtbot, easel, tmp_path)
    assert "Corner tabs are seen" in easel.said
    turned = View(width=1920, height=1440, yaw_deg=-5.0, pitch_deg=2.0, fill=0.62, seed=3)
    drop(easel.desk.ledge, [file_of(tmp_path, "third.jpg", SCENE, turned)])
    photo = easel.desk.studio.canvas_photo
    assert photo.found_by == "tabs"
    scale = 1920 * 0.62 / SCENE.size.width_mm
    assert np.abs(np.array(photo.corners) - corners_px(SCENE, turned)).max() / scale < 0.5
    assert "flat by the corner tabs" in easel.said
    easel.press("undo")
    assert easel.desk.studio.canvas_photo.corners is None


def test_a_photo_without_tabs_is_asked_for_its_corners(qtbot: QtBot, easel: Easel, tmp_path: Path) -> None:
    learn(qtbot, easel, tmp_path)
    bare = Scene(tabs=tuple(Stuck(corner, shown=False) for corner in range(4)))
    drop(easel.desk.ledge, [file_of(tmp_path, "bare.jpg", bare, SECOND)])
    assert easel.desk.studio.canvas_photo.corners is None
    assert "place the canvas’s corners" in easel.said


def test_without_tabs_nothing_is_learnt(qtbot: QtBot, easel: Easel, tmp_path: Path) -> None:
    bare = Scene(tabs=tuple(Stuck(corner, shown=False) for corner in range(4)))
    drop(easel.desk.ledge, [file_of(tmp_path, "bare.jpg", bare, FIRST)])
    studio = easel.desk.studio
    studio.painting.set_corners(studio.canvas_photo.id, [tuple(map(float, p)) for p in corners_px(bare, FIRST)])
    easel.desk.placing.placed.emit()
    qtbot.wait(50)
    assert studio.painting.setting(SETTING) is None
    assert easel.desk.arrivals.tabs.setup is None


def test_a_set_up_that_cannot_be_read_is_none(easel: Easel) -> None:
    for nonsense in ({}, {"setup": {}, "lens_k1": 0}, {"setup": None, "lens_k1": "x"}):
        easel.desk.studio.painting.set_setting(SETTING, nonsense)
        assert easel.desk.arrivals.tabs.setup is None


def test_the_tabs_are_printed_from_the_ledge(easel: Easel, tmp_path: Path) -> None:
    easel.answers.save = tmp_path / "tabs.pdf"
    next(each for each in easel.desk.ledge.more_menu().actions() if "Print corner tabs" in each.text()).trigger()
    assert "The corner tabs, one page." in easel.said
    with pdfium.PdfDocument(tmp_path / "tabs.pdf") as document:
        assert "top left" in document[0].get_textpage().get_text_range().lower()
