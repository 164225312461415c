"""Placing the corners: an outline is offered with how sure it is, accepted or moved, never forced."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.corners import CornerPage
from app.work import Worker
from core.canvas.locate import CanvasFix
from core.errors import CanvasError
from tests.app.window_case import CORNERS, Easel, canvas_shot, drop, make_easel, make_painting, reference_photo

FOUND = np.array(CORNERS) + 1.5


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """A canvas photo hangs, its corners not placed."""
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    drop(made.desk.ledge, [canvas_shot(tmp_path)[0]])
    return made


def finder(confidence: float) -> Callable[..., CanvasFix]:
    """Finds the outline a little off, and a lens from corners that are given."""

    def locate(photo: Any, size: Any, *, corners_px: Any = None, reference: Any = None) -> CanvasFix:
        if corners_px is None:
            return CanvasFix(FOUND, "outline", -0.02, 4.5, 0.4, confidence)
        return CanvasFix(np.asarray(corners_px), "given", -0.03, 4.5, 0.3, 1.0)

    return locate


def nothing_found(photo: Any, size: Any, *, corners_px: Any = None, reference: Any = None) -> CanvasFix:
    raise CanvasError("No canvas was found in this photo. Place its four corners by hand.")


def page(easel: Easel) -> CornerPage:
    found = easel.desk.placing.corners
    assert isinstance(found, CornerPage)
    return found


@pytest.mark.parametrize(
    ("confidence", "words"),
    [(0.999, "sure (over 99 %)"), (0.93, "sure (93 %)"), (0.6, "fairly sure (60 %)"), (0.2, "not sure")],
)
def test_an_outline_is_offered_with_how_sure_it_is(
    easel: Easel, monkeypatch: pytest.MonkeyPatch, confidence: float, words: str
) -> None:
    monkeypatch.setattr("core.canvas.locate.locate_canvas", finder(confidence))
    easel.press("corners")
    assert words in page(easel).says.text()
    assert "0.4 mm" in page(easel).says.text()
    assert page(easel).accept.text() == "Accept this outline"
    assert page(easel).placer.corners == pytest.approx(FOUND)
    assert easel.desk.studio.canvas_photo.corners is None  # only offered


def test_the_outline_of_a_simulated_canvas_is_found_where_it_is(easel: Easel) -> None:
    easel.press("corners")
    assert "An outline was found" in page(easel).says.text()
    assert page(easel).placer.corners == pytest.approx(np.array(CORNERS), abs=2.0)


def test_an_outline_accepted_is_kept_with_its_lens(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.canvas.locate.locate_canvas", finder(0.9))
    easel.press("corners")
    page(easel).accept.click()
    record = easel.desk.studio.canvas_photo
    assert (record.found_by, record.lens_k1) == ("outline", -0.02)
    assert np.array(record.corners) == pytest.approx(FOUND)
    assert not easel.desk.placing.is_away


def test_a_corner_moved_makes_the_corners_the_painter_s_own(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    from PySide6.QtCore import Qt
    from pytestqt.qtbot import QtBot as Bot

    monkeypatch.setattr("core.canvas.locate.locate_canvas", finder(0.9))
    easel.press("corners")
    placer = page(easel).placer
    Bot.keyClick(placer.handles[0], Qt.Key.Key_Right)
    assert page(easel).accept.text() == "Use these corners"
    page(easel).accept.click()
    record = easel.desk.studio.canvas_photo
    assert (record.found_by, record.lens_k1) == ("given", -0.03)
    assert record.corners[0][0] == pytest.approx(FOUND[0, 0] + 1)


def test_back_keeps_nothing(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("core.canvas.locate.locate_canvas", finder(0.9))
    easel.press("corners")
    page(easel).back.click()
    assert easel.desk.studio.canvas_photo.corners is None
    assert not easel.desk.placing.is_away


def test_nothing_found_is_said_and_the_corners_are_placed_by_hand(
    easel: Easel, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("core.canvas.locate.locate_canvas", nothing_found)
    easel.press("corners")
    assert "No canvas was found" in page(easel).says.text()
    assert page(easel).accept.text() == "Use these corners"


def test_corners_that_are_placed_are_shown_again_without_looking(easel: Easel, monkeypatch: pytest.MonkeyPatch) -> None:
    easel.desk.studio.painting.set_corners(easel.desk.studio.canvas_photo.id, CORNERS)
    monkeypatch.setattr("core.canvas.locate.locate_canvas", nothing_found)
    easel.press("corners")
    assert page(easel).placer.corners == pytest.approx(np.array(CORNERS))
    assert "These corners are placed" in page(easel).says.text()


def test_corners_are_taken_off_again(easel: Easel) -> None:
    painting, photo = easel.desk.studio.painting, easel.desk.studio.canvas_photo
    painting.set_corners(photo.id, CORNERS)
    menu = easel.desk.ledge.menu_for(easel.desk.studio.canvas_photo)
    next(line for line in menu.actions() if "corners off" in line.text()).trigger()
    assert easel.desk.studio.canvas_photo.corners is None


def test_reference_is_cropped_anew(easel: Easel) -> None:
    easel.press("crop")
    crop_page = easel.desk.placing.crop
    assert crop_page.view.crop is not None
    before = easel.desk.wall.hangings[0].picture
    crop_page.view.set_crop(crop_page.view.crop.scaled(0.5))
    crop_page.accept.click()
    reference = easel.desk.studio.painting.reference
    (left, _), (right, _), *_ = reference.crop
    assert right - left == pytest.approx(300)  # half of the photo's 600 pixels
    assert easel.desk.wall.hangings[0].picture is not before
    easel.press("undo")
    assert easel.desk.studio.painting.reference.crop is None
    easel.press("crop")
    assert crop_page.view.crop.width == pytest.approx(600)


def test_another_photograph_becomes_the_reference(easel: Easel, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    easel.answers.photo = reference_photo(other, width=640, height=480)
    easel.press("other_reference")
    painting = easel.desk.studio.painting
    kept = painting.photo_file(painting.reference.photo.id)
    assert kept.read_bytes() == easel.answers.photo.read_bytes()
    assert easel.desk.placing.picture is easel.desk.placing.crop.view
    easel.press("close", "undo")
    assert painting.reference.photo.name == "my cat.jpg"
    assert painting.photo_file(painting.reference.photo.id).read_bytes() != kept.read_bytes()


def test_a_reference_that_cannot_be_read_changes_nothing(easel: Easel, tmp_path: Path) -> None:
    before = easel.desk.studio.painting.reference
    easel.answers.photo = tmp_path / "gone.jpg"
    easel.press("other_reference")
    assert "gone.jpg" in easel.said
    assert easel.desk.studio.painting.reference == before
