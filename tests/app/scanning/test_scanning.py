"""A photo of a drawing becomes the painting's lines: the sheet offered, the lines looked at, nothing lost."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.scanning.jobs import Found
from app.work import Worker
from core.drawing.drawing import Drawing
from core.drawing.scan_place import corners_on
from core.photo import Photo
from tests.app.scan_case import (
    A6,
    FALSE,
    FOUND,
    bring_in,
    found,
    kept,
    photo_file,
    photographed,
    scan_easel,
    scanned,
    shot,
    strokes,
)
from tests.app.window_case import SIZE, SVG, Easel
from tests.core.drawing.drawn_sheets import moved, recovery

KEY = Qt.Key


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = scan_easel(worker, tmp_path)
    qtbot.addWidget(made.window)
    return made


def assert_recovered(drawing: Drawing, true: list[Any]) -> None:
    got = recovery(drawing, true)
    assert got.found >= FOUND
    assert got.false <= FALSE


def is_on_page(easel: Easel) -> bool:
    return easel.desk.placing.currentWidget() is easel.desk.placing.scan


def test_from_the_photo_to_the_acetate_and_back(easel: Easel, tmp_path: Path) -> None:
    page = bring_in(easel, shot(tmp_path))
    assert is_on_page(easel)
    assert "An outline was found: sure" in page.sheet_side.says.text()
    assert page.placer.corners == pytest.approx(photographed()[1], abs=1.5)
    page.accept.click()
    assert page.shows_lines
    count = len(found().scan.drawing.lines)
    assert f"{count} lines, " in page.lines_side.found.text()
    assert "By their weight" in page.lines_side.found.text()
    assert len(kept(easel).lines) == 1  # only shown yet
    page.accept.click()
    assert not easel.desk.placing.is_away
    drawing = kept(easel)
    assert_recovered(drawing, list(strokes()))
    assert {line.layer for line in drawing.lines} == {"contour", "inner form"}
    assert [mark.name for mark in drawing.landmarks] == ["left eye", "right eye"]
    assert all(hung.acetate for hung in easel.desk.studio.view.hung)
    assert "lies over the pictures as an acetate" in easel.said
    easel.press("undo")
    assert easel.desk.studio.painting.drawing_svg == SVG
    assert "took the lines of a photo" in easel.said
    easel.press("redo")
    assert_recovered(kept(easel), list(strokes()))


@pytest.mark.usefixtures("read_once")
def test_lines_are_added_to_those_there_are(easel: Easel, tmp_path: Path) -> None:
    page = bring_in(easel, shot(tmp_path))
    page.go_on()
    assert "It has 1 line. Its 2 landmarks stay." in page.lines_side.there.text()
    page.lines_side.add.click()
    page.go_on()
    assert len(kept(easel).lines) == 1 + len(found().scan.drawing.lines)
    assert kept(easel).lines[0].name == "brow"
    assert len(kept(easel).landmarks) == 2
    easel.press("undo")
    assert easel.desk.studio.painting.drawing_svg == SVG


@pytest.mark.usefixtures("read_once")
def test_a_painting_without_a_drawing_has_nothing_to_choose(easel: Easel, tmp_path: Path) -> None:
    easel.press("undo")
    assert easel.desk.studio.drawing is None
    page = bring_in(easel, shot(tmp_path))
    page.go_on()
    assert page.lines_side.kept.isHidden()
    page.go_on()
    assert len(kept(easel).lines) == len(found().scan.drawing.lines)


@pytest.mark.usefixtures("read_once")
def test_back_and_escape_keep_nothing(looking: Easel, tmp_path: Path) -> None:
    page = bring_in(looking, shot(tmp_path))
    corners = page.placer.corners
    page.go_on()
    assert page.shows_lines
    page.lines_side.placement.right.more.click()
    page.lines_side.add.click()
    page.back.click()
    assert is_on_page(looking)
    assert not page.shows_lines
    assert page.placer.corners == pytest.approx(corners)
    page.go_on()
    assert page.lines_side.placement.right.mm == 1.0  # what was chosen is still so
    assert page.lines_side.add.isChecked()
    for _ in range(2):
        QTest.keyClick(page, KEY.Key_Escape)
    assert not looking.desk.placing.is_away
    assert looking.desk.studio.painting.drawing_svg == SVG
    assert looking.desk.studio.painting.can_redo is None
    bring_in(looking, shot(tmp_path)).go_on()
    assert page.lines_side.placement.right.mm == 0.0


def test_an_svg_goes_straight_in(easel: Easel, tmp_path: Path) -> None:
    file = tmp_path / "two.svg"
    file.write_text(SVG.replace("brow", "lip"))
    bring_in(easel, file)
    assert not easel.desk.placing.is_away
    assert kept(easel).lines[0].name == "lip"


def test_a_scan_is_the_sheet_as_a_whole(easel: Easel, tmp_path: Path) -> None:
    page = bring_in(easel, scanned(tmp_path))
    assert "The whole picture is taken for the sheet" in page.sheet_side.says.text()
    page.go_on()
    page.go_on()
    assert_recovered(kept(easel), list(strokes()))


def test_a_smaller_sheet_fills_the_canvas_or_is_shifted(easel: Easel, tmp_path: Path) -> None:
    page = bring_in(easel, shot(tmp_path, A6))
    page.sheet_side.choice.choose("Own size")
    page.sheet_side.choice.own.show_size(A6)
    page.go_on()
    place = page.lines_side.placement
    assert "26 mm from the canvas’s left and 22 mm from the canvas’s upper edge" in place.says.text()
    place.filling.click()
    assert "1.35 times as large" in place.says.text()
    place.right.field.clear()
    QTest.keyClicks(place.right.field, "7.5")
    place.down.less.click()
    place.down.less.click()
    assert (place.right.mm, place.down.mm) == (7.5, -2.0)
    page.go_on()
    corners = corners_on(SIZE, A6, filling=True, shift_mm=(7.5, -2.0))
    got = recovery(kept(easel), moved(list(strokes(A6)), A6, corners), within_mm=0.4 * 1.35)
    assert (got.found >= FOUND, got.false <= FALSE) == (True, True)


def test_a_photo_taken_sideways_is_turned(easel: Easel, tmp_path: Path) -> None:
    photo, _ = photographed()
    page = bring_in(easel, photo_file(tmp_path, Photo(np.rot90(photo.codes, 3).copy(), photo.curve)))
    choice = page.sheet_side.choice
    assert choice.upright.isChecked()
    for _ in range(3):
        page.sheet_side.turn.click()
    assert choice.sheet() == SIZE
    page.go_on()
    page.go_on()
    assert_recovered(kept(easel), list(strokes()))


@pytest.mark.usefixtures("read_once")
def test_lines_are_taken_off_to_see_the_photo(looking: Easel, tmp_path: Path) -> None:
    page = bring_in(looking, shot(tmp_path))
    page.go_on()

    def vermilion() -> int:
        image = page.view.grab().toImage()
        points = ((x, y) for x in range(0, image.width(), 3) for y in range(0, image.height(), 3))
        return sum(image.pixelColor(x, y).hsvSaturation() > 200 for x, y in points)

    assert vermilion() > 50
    page.lines_side.show_lines.click()
    assert vermilion() == 0
    looking.press("acetate")
    assert page.lines_side.show_lines.isChecked()
    assert vermilion() > 50
    QTest.keyPress(page.view, KEY.Key_A)
    assert vermilion() == 0
    QTest.keyRelease(page.view, KEY.Key_A)
    assert vermilion() > 50


@pytest.mark.usefixtures("read_once")
def test_the_wheel_comes_closer_about_the_pointer(looking: Easel, tmp_path: Path) -> None:
    page = bring_in(looking, shot(tmp_path))
    page.go_on()
    before = page.view.sheet.sight.zoom
    page.view.sheet.hands.zoomed.emit(2.0, QPointF(100, 100))
    assert page.view.sheet.sight.zoom == pytest.approx(2 * before)
    QTest.keyClick(page.view, KEY.Key_0)
    assert page.view.sheet.sight.zoom == pytest.approx(before)


@pytest.mark.usefixtures("read_once")
def test_a_shift_moves_the_sheet_and_not_the_canvas(looking: Easel, tmp_path: Path) -> None:
    page = bring_in(looking, shot(tmp_path))
    page.go_on()
    page.view.sheet.hands.zoomed.emit(3.0, None)
    place = page.lines_side.placement

    def seen(x_mm: float, y_mm: float) -> np.ndarray:
        """A place of the sheet on the screen."""
        at = page.view.sheet.placed().point(x_mm, y_mm)
        return np.array([at.x(), at.y()])

    here, a_mm = seen(50, 50), seen(51, 50) - seen(50, 50)
    for _ in range(3):
        place.right.more.click()
    assert seen(50, 50) - here == pytest.approx(3 * a_mm)
    assert seen(47, 50) == pytest.approx(here)  # what lay there of the canvas still does
    QTest.keyClick(place.right.field, KEY.Key_Down)
    assert place.right.mm == 2.0


@pytest.mark.usefixtures("read_once")
def test_a_drawing_that_leaves_the_canvas_is_told(looking: Easel, tmp_path: Path) -> None:
    page = bring_in(looking, shot(tmp_path))
    page.go_on()
    assert "outside the canvas" not in page.lines_side.notes.text()
    page.lines_side.placement.right.show_mm(150.0)
    page.lines_side.placement.changed.emit()
    assert "Part of the drawing lies outside the canvas." in page.lines_side.notes.text()


@pytest.mark.usefixtures("outline_known")
def test_what_is_doubtful_is_said_beside_the_lines(
    looking: Easel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = found()
    noted: Found = replace(whole, scan=replace(whole.scan, notes=("Glare covers 3 % of the sheet.",)))
    monkeypatch.setattr("app.scanning.page.find_lines", lambda *_: noted)
    page = bring_in(looking, shot(tmp_path))
    page.go_on()
    assert "Glare covers 3 % of the sheet." in page.lines_side.notes.text()


def test_the_search_is_stopped_without_harm(
    qtbot: QtBot, threaded_worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[str] = []

    def slow(*arguments: Any) -> None:
        while True:
            arguments[-1](0.4, "Finding the lines")

    monkeypatch.setattr("app.scanning.page.find_lines", slow)
    easel = scan_easel(threaded_worker, tmp_path)
    qtbot.addWidget(easel.window)
    threaded_worker.progressed.connect(lambda channel, share, say: shown.append(f"{channel}: {share:.0%} {say}"))
    page = bring_in(easel, shot(tmp_path))
    qtbot.waitUntil(lambda: is_on_page(easel) and not threaded_worker.is_busy("find the sheet"))
    page.go_on()
    assert not page.accept.isEnabled()
    qtbot.waitUntil(lambda: "find the lines: 40% Finding the lines" in shown)
    easel.window.strip.cancelled.emit("find the lines")
    qtbot.waitUntil(page.accept.isEnabled)
    assert is_on_page(easel)
    page.go_on()
    page.go_back()  # the first step back only stops the search
    qtbot.waitUntil(page.accept.isEnabled)
    assert is_on_page(easel)
    assert easel.desk.studio.painting.drawing_svg == SVG
    qtbot.waitUntil(lambda: not threaded_worker.is_busy())


def test_a_sheet_that_is_said_wrongly_is_doubted(looking: Easel, tmp_path: Path) -> None:
    """A6 paper has the shape of A4."""
    page = bring_in(looking, shot(tmp_path, A6))
    doubt = "The shape between its corners is that of A4 or A3 rather than of 20 × 15 cm"
    assert doubt in page.sheet_side.says.text()
    page.go_on()
    assert doubt in page.lines_side.notes.text()
    page.go_back()
    page.sheet_side.choice.choose("A4")
    assert doubt not in page.sheet_side.says.text()


@pytest.mark.usefixtures("outline_known")
def test_undo_rests_while_the_page_is_shown(looking: Easel, tmp_path: Path) -> None:
    bring_in(looking, shot(tmp_path))
    looking.press("undo", "grid")
    assert looking.desk.studio.painting.drawing_svg == SVG
    assert is_on_page(looking)
