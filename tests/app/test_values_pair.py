"""The grey pair on the wall: both pictures in one light, and their two values beside the pointer."""

import os
import threading
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF
from pytestqt.qtbot import QtBot

from app.checks import Checker, carry_out, check_folder
from app.pointer_reading import Reading, read_at
from app.view import Hung, Look, Subject, View
from app.wall.pointer import words_region
from app.work import Progress, Worker
from core.painting import Painting
from tests.app import wall_support
from tests.app.wall_support import codes, leave
from tests.app.window_case import CORNERS, FAULT, SIZE, Easel, canvas_shot, easel_with_canvas, make_easel, make_painting

DIM = 0.4
"""Of the light there was, so that the photo is clearly darker than the painting."""


@pytest.fixture(scope="module")
def checked_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A painting whose canvas photo has been checked: once for all tests here, which only look."""
    folder = tmp_path_factory.mktemp("pair")
    where = make_painting(folder)
    with Painting.open(where) as painting:
        photo = painting.add_canvas_photo(painting.import_photo(canvas_shot(folder, exposure=DIM)[0]).id)
        painting.set_corners(photo.id, CORNERS)
        order = Checker(painting, Worker(synchronous=True)).order(photo.id)
        assert order is not None
        unheard = Progress(lambda share, doing: None, threading.Event())
        painting.set_check_result(photo.id, carry_out(order, unheard))
    return where


@pytest.fixture
def pair(qtbot: QtBot, worker: Worker, tmp_path: Path, checked_folder: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(checked_folder)
    made.desk.studio.change_view(View(hung=(Hung(),), canvas_photo=made.desk.studio.canvas_photo.id))
    made.press("hang_grey_pair")
    return made


def looks(easel: Easel) -> list[tuple[Subject, Look]]:
    return [(hung.subject, hung.look) for hung in easel.desk.studio.view.hung]


def point_at(easel: Easel, which: int, x_mm: float, y_mm: float) -> None:
    sheet = easel.desk.wall.sheets[which]
    wall_support.hover(sheet, sheet.placed().point(x_mm, y_mm))


def grey_mean(easel: Easel, which: int) -> float:
    """Mean sRGB code of the picture that hangs there."""
    image = easel.desk.wall.hangings[which].picture.levels[-1]
    xs, ys = range(0, image.width(), 4), range(0, image.height(), 4)
    return float(np.mean([image.pixelColor(x, y).green() for x in xs for y in ys]))


def test_the_pair_hangs_side_by_side_in_grey_and_in_colour_again(pair: Easel) -> None:
    assert looks(pair) == [(Subject.REFERENCE, Look.GREY), (Subject.CANVAS, Look.GREY)]
    pair.press("hang_grey_pair")
    assert looks(pair) == [(Subject.REFERENCE, Look.COLOUR), (Subject.CANVAS, Look.COLOUR)]


def test_without_a_canvas_photo_the_way_to_one_is_offered(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = make_easel(qtbot, worker, tmp_path)
    easel.window.open_painting(make_painting(tmp_path))
    before = looks(easel)
    easel.press("hang_grey_pair")
    assert looks(easel) == before
    assert "Bring in a photo" in easel.said


def test_the_canvas_hangs_in_the_light_of_the_reference(pair: Easel) -> None:
    lit, reference = grey_mean(pair, 1), grey_mean(pair, 0)
    assert pair.desk.wall.hangings[1].title == "canvas.jpg · grey · light out"
    pair.press("light_out")
    assert pair.desk.wall.hangings[1].title == "canvas.jpg · grey"
    photographed = grey_mean(pair, 1)
    assert abs(lit - reference) < 4 < abs(photographed - reference)
    pair.press("as_shot", "light_out")
    assert pair.desk.wall.hangings[1].title == "canvas.jpg · grey · light out"


def test_each_picture_has_its_own_value_beside_the_pointer(pair: Easel) -> None:
    wall, size = pair.desk.wall, (FAULT.x_mm, FAULT.y_mm)
    plain = [codes(sheet) for sheet in wall.sheets]
    places: list[tuple[float, float]] = []
    wall.pointer_moved.connect(lambda x, y, _: places.append((x, y)))
    point_at(pair, 1, *size)
    reading = read_at(pair.desk.studio, *places[-1])  # a pointer stands on whole pixels
    assert reading.steps == pytest.approx(FAULT.steps, abs=0.6)
    for which, (sheet, before) in enumerate(zip(wall.sheets, plain, strict=True)):
        at = sheet.placed().point(*size)
        beside = (codes(sheet) != before)[int(at.y()) + 12 : int(at.y()) + 60, int(at.x()) + 12 : int(at.x()) + 150]
        # The canvas has a second line, how far it is off.
        assert beside.sum() > (1500 if which else 400)
    assert sheet_words(pair) == [reading.at_pointer(Subject.REFERENCE), reading.at_pointer(Subject.CANVAS)]
    assert sheet_words(pair)[1][1].endswith("steps too dark")
    leave(wall.sheets[1])
    assert [bool((codes(s) != b).any()) for s, b in zip(wall.sheets, plain, strict=True)] == [False, False]


def sheet_words(easel: Easel) -> list[tuple[str, ...]]:
    return [sheet.at_pointer for sheet in easel.desk.wall.sheets]


def test_the_words_stay_within_the_picture(pair: Easel) -> None:
    wall = pair.desk.wall
    point_at(pair, 1, SIZE.width_mm - 1, SIZE.height_mm - 1)
    sheet = wall.sheets[1]
    before = codes(sheet)
    sheet.point_at(None)
    changed = codes(sheet) != before
    at = sheet.placed().point(SIZE.width_mm - 1, SIZE.height_mm - 1)
    assert changed[: int(at.y()) - 8, : int(at.x()) - 8].sum() > 1500  # on the side where there is room


@pytest.mark.parametrize(("x", "y"), [(5, 5), (195, 5), (195, 145), (100, 75)])
@pytest.mark.parametrize(("wide", "high"), [(1000, 700), (230, 150)])
def test_the_plates_lie_where_all_of_them_shows(wide: int, high: int, x: float, y: float) -> None:
    room = QRectF(0, 0, wide, high)
    at = QPointF(x / SIZE.width_mm * wide, y / SIZE.height_mm * high)
    covered = words_region(at, ("4.5", "the same within 0.5"), room).boundingRect()
    assert room.adjusted(-3, -3, 3, 3).contains(QRectF(covered))


def test_values_at_the_pointer_can_be_taken_off_the_wall(pair: Easel) -> None:
    point_at(pair, 0, 60.0, 60.0)
    reference, canvas = sheet_words(pair)
    assert reference
    assert canvas
    pair.desk.wall.blink(True)
    assert sheet_words(pair) == [canvas, reference]
    pair.desk.wall.blink(False)
    pair.press("numbers_at_pointer")
    assert sheet_words(pair) == [(), ()]  # at once, without the pointer moving
    assert pair.desk.side.value.canvas_value.text() != "–"


def test_a_check_that_no_longer_holds_does_not_light_the_canvas(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = easel_with_canvas(qtbot, worker, tmp_path)
    easel.press("light_out")
    assert "A check takes the light out" in easel.said
    easel.offer("Check the canvas")
    assert "light out" in easel.desk.wall.hangings[-1].title
    easel.desk.studio.painting.set_corners(easel.desk.studio.canvas_photo.id, np.array(CORNERS) + 3)
    assert "light out" not in easel.desk.wall.hangings[-1].title


def test_a_picture_written_anew_is_read_anew(pair: Easel, checked_folder: Path) -> None:
    from PIL import Image

    studio = pair.desk.studio
    file = check_folder(studio.painting, studio.canvas_photo.id) / "canvas.png"
    kept, before = file.read_bytes(), file.stat()
    try:
        with Image.open(file) as picture:
            Image.new("RGB", picture.size, (120, 120, 120)).save(file)
        studio.read_check()
        assert grey_mean(pair, 1) == pytest.approx(120, abs=1)
    finally:
        file.write_bytes(kept)
        os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns))


def test_the_reading_tells_what_it_rests_on() -> None:
    assert Reading(6.0, 4.5, light_out=True, uncertainty=0.2).verdict == "1.5 steps too dark, good to ± 0.2."
    assert Reading(6.0, 5.8, light_out=True).verdict == "The same within half a step."
    assert Reading(6.0, 4.5).at_pointer(Subject.CANVAS) == ("4.5", "light not taken out")
    keyed = Reading(6.0, 4.5, keyed=5.0, light_out=True)
    assert keyed.steps == pytest.approx(-0.5)
    assert keyed.at_pointer(Subject.REFERENCE) == ("5.0",)
    assert "Keyed, the reference is 5.0 here." in keyed.verdict
    assert Reading(6.0, None, withheld=True).at_pointer(Subject.CANVAS) == ("withheld",)


def test_a_part_of_the_panel_that_is_opened_comes_up(pair: Easel, qtbot: QtBot) -> None:
    pair.press("question_value")
    panel = pair.desk.side.value
    if pair.desk.studio.view.question is None:
        pair.press("question_value")
    panel.verticalScrollBar().setValue(0)
    panel.light.heading.click()
    qtbot.waitUntil(lambda: panel.verticalScrollBar().value() > 0)
    top = panel.light.mapTo(panel.viewport(), QPoint(0, 0)).y()
    lowest = panel.verticalScrollBar().value() == panel.verticalScrollBar().maximum()
    assert top == 0 or (lowest and top > 0)
