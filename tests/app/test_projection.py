"""Projecting as a painter does it: opened from the drawing panel, worked by keys and mouse, left and reopened."""

import json
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.machine import Machine
from app.projection.keys import THROW_KEYS
from app.projection.projector import LOOK_ONLY, NO_DRAWING
from app.projection.screens import ScreenPlace, remembered
from app.projection.state import Mode, Throw, screen_key
from app.work import Worker
from core.drawing.projection import Projection
from core.painting import Painting
from core.photo import load_photo
from core.size import Size
from tests.app.window_case import SIZE, Easel, make_easel, make_painting, reference_photo

from .projection_support import BROW, HIGH, WIDE, Alt, Key, Shift, centre, corners, press, project, shown, thrown
from .wall_support import image_codes


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    made.press("question_drawing")
    return made


def test_the_drawing_falls_where_its_millimetres_are(easel: Easel) -> None:
    window = project(easel)
    codes, throw = shown(window), easel.desk.projecting.projector.projection
    assert codes.shape == (HIGH, WIDE)
    # The brow of the drawing: it begins at 40, 50 mm and ends at 100, 50 mm.
    for x_mm, y_mm in ((40, 50), (100, 50)):
        x, y = np.rint(throw.mm_to_px([x_mm, y_mm])).astype(int)
        assert codes[y - 2 : y + 3, x - 2 : x + 3].max() > 200
    y, x = np.nonzero(codes)
    assert (throw.px_to_mm(np.stack([x, y], axis=1)) > [38, 40]).all()
    assert (throw.px_to_mm(np.stack([x, y], axis=1)) < [102, 52]).all()


def test_arrows_pull_the_chosen_corner_and_the_lines_follow(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    before, start = centre(shown(window)), corners(easel)
    press(qtbot, window, Key.Key_1)
    press(qtbot, window, Key.Key_Right, times=3)
    press(qtbot, window, Key.Key_Down, how=Shift)
    press(qtbot, window, Key.Key_Left, how=Alt)
    press(qtbot, window, Key.Key_Return)  # the handles go
    assert corners(easel)[0] - start[0] == pytest.approx([2.75, 10.0])
    assert (corners(easel)[1:] == start[1:]).all()
    moved = centre(shown(window)) - before
    fallen = [throw.mm_to_px(BROW).mean(axis=0) for throw in (Projection(start, SIZE, WIDE, HIGH), thrown(easel))]
    assert moved == pytest.approx(fallen[1] - fallen[0], abs=0.3)
    assert moved[1] > 2


def test_the_chosen_corner_is_ringed_until_the_corners_are_placed(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    plain = shown(window)
    x, y = np.rint(corners(easel)[2]).astype(int)
    near = np.s_[y - 25 : y + 26, x - 25 : x + 26]
    assert plain[near].max() == 0
    press(qtbot, window, Key.Key_3)
    assert shown(window)[near].max() > 150
    assert shown(window)[y, x] == 0  # what is under the corner itself stays in sight
    press(qtbot, window, Key.Key_Enter)
    assert (shown(window) == plain).all()


def test_tab_goes_round_the_corners(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    seen = []
    for _ in range(5):
        press(qtbot, window, Key.Key_Tab)
        seen.append(easel.desk.projecting.projector.corner)
    press(qtbot, window, Key.Key_Backtab, how=Shift)
    assert (seen, easel.desk.projecting.projector.corner) == ([0, 1, 2, 3, 0], 3)


def test_a_corner_is_dragged_by_the_mouse(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    start = corners(easel)
    at = QPoint(*np.rint(start[2]).astype(int).tolist())
    qtbot.mousePress(window, Qt.MouseButton.LeftButton, pos=at + QPoint(5, -4))
    to = QPointF(at + QPoint(5 - 30, -4 - 12))
    window.mouseMoveEvent(
        QMouseEvent(
            QMouseEvent.Type.MouseMove, to, window.mapToGlobal(to), Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        )
    )  # fmt: skip
    qtbot.mouseRelease(window, Qt.MouseButton.LeftButton, pos=to.toPoint())
    assert corners(easel)[2] - start[2] == pytest.approx([-30, -12])
    assert easel.desk.projecting.projector.corner == 2
    qtbot.mousePress(window, Qt.MouseButton.LeftButton, pos=QPoint(WIDE // 2, HIGH // 2))
    qtbot.mouseRelease(window, Qt.MouseButton.LeftButton, pos=QPoint(WIDE // 2, HIGH // 2))
    assert corners(easel)[2] - start[2] == pytest.approx([-30, -12])


def test_a_corner_that_would_fold_the_canvas_is_refused_with_a_sentence(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    press(qtbot, window, Key.Key_1)
    press(qtbot, window, Key.Key_Right, times=90, how=Shift)
    projector = easel.desk.projecting.projector
    assert "corner" in projector.sentence
    kept = corners(easel)
    press(qtbot, window, Key.Key_Right, how=Shift)
    assert (corners(easel) == kept).all()
    assert easel.desk.projecting.page.status.text() == projector.sentence
    press(qtbot, window, Key.Key_Left)
    assert projector.sentence == ""


def test_a_size_that_is_no_screen_s_is_passed_over(easel: Easel, qtbot: QtBot) -> None:
    """As a window hears of before it is opened: 100 × 30 pixels hold no canvas."""
    window = project(easel)
    before = thrown(easel)
    window.setGeometry(0, 0, 100, 30)
    QApplication.processEvents()
    assert thrown(easel) is before


def test_brightness_and_line_weight_by_keys(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    full = shown(window)
    press(qtbot, window, Key.Key_Minus, times=2)
    dim = shown(window)
    assert full.max() >= 254
    assert dim.max() == pytest.approx(188, abs=2)  # half the light: IEC 61966-2-1
    assert ((dim > 0) == (full > 0)).mean() > 0.999
    press(qtbot, window, Key.Key_Plus, times=2)
    press(qtbot, window, Key.Key_W, times=2)
    assert (shown(window) > 128).sum() > 1.6 * (full > 128).sum()
    press(qtbot, window, Key.Key_F, times=2)
    assert (shown(window) == full).all()


def test_the_reference_in_colour_and_in_grey(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    press(qtbot, window, Key.Key_C)
    image = window.grab().toImage()
    throw = easel.desk.projecting.projector.projection
    photo = load_photo(next(easel.folder.glob("my cat.jpg"))).display()
    for x_mm, y_mm in ((30, 30), (100, 75), (160, 110), (60, 120)):
        x, y = np.rint(throw.mm_to_px([x_mm, y_mm])).astype(int)
        seen = image.pixelColor(int(x), int(y))
        there = photo[y_mm * 3 - 3 : y_mm * 3 + 4, x_mm * 3 - 3 : x_mm * 3 + 4].reshape(-1, 3).mean(axis=0)
        assert np.abs(np.array([seen.red(), seen.green(), seen.blue()]) - there).max() < 40
    press(qtbot, window, Key.Key_G)
    grey = window.grab().toImage()
    seen = grey.pixelColor(WIDE // 2, HIGH // 2)
    assert seen.red() == seen.green() == seen.blue() != 0
    assert image_codes(grey)[2, 2] == 0  # beside the canvas it stays dark


def test_value_steps_are_walked_one_at_a_time_and_together_fill_the_canvas(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    projector = easel.desk.projecting.projector
    press(qtbot, window, Key.Key_V)
    shares, words = [], []
    for _ in range(projector.steps):
        shares.append(shown(window) / 255.0)
        words.append(projector.status)
        press(qtbot, window, Key.Key_PageUp)
    assert words[0].startswith("Value step 1 of 5, the darkest")
    assert words[-1].startswith("Value step 5 of 5, the lightest")
    x0, y0 = np.ceil(corners(easel)[0] + 4).astype(int)
    x1, y1 = np.floor(corners(easel)[2] - 4).astype(int)
    lit = [(share[y0:y1, x0:x1] > 0.5) for share in shares]
    assert sum(1 for each in lit if each.mean() > 0.02) >= 3
    together = np.sum(lit, axis=0)
    assert (together == 1).mean() > 0.9  # softened edges are in neither or both
    press(qtbot, window, Key.Key_PageDown)
    assert projector.throw.step == 3


def test_marks_and_black_carry_no_words(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    press(qtbot, window, Key.Key_H, Key.Key_1, Key.Key_B)
    assert shown(window).max() == 0
    press(qtbot, window, Key.Key_M)
    from core.drawing.projection_marks import rendered_marks

    assert (shown(window) == rendered_marks(easel.desk.projecting.projector.projection)).all()


def test_corner_marks_show_the_canvas_s_outline(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    press(qtbot, window, Key.Key_K)
    y = round(corners(easel)[:, 1].mean())
    left = round(corners(easel)[0][0])
    assert shown(window)[y + 60, left - 1 : left + 2].max() > 220


def test_the_words_can_be_hidden(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    foot = np.s_[HIGH - 30 :]
    assert shown(window)[foot].max() == 0
    press(qtbot, window, Key.Key_H)
    assert shown(window)[foot].max() > 150
    press(qtbot, window, Key.Key_H)
    assert shown(window)[foot].max() == 0


def test_no_two_keys_of_the_projection_are_the_same() -> None:
    keys = [key for each in THROW_KEYS for key in each.keys]
    assert len(keys) == len(set(keys))


def test_corners_are_there_again_when_the_painting_is_reopened(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    press(qtbot, window, Key.Key_2)
    press(qtbot, window, Key.Key_Up, times=2, how=Shift)
    press(qtbot, window, Key.Key_Minus)
    left = corners(easel)
    press(qtbot, window, Key.Key_Escape)
    assert not window.isVisible()
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder)
    project(easel)
    assert corners(easel) == pytest.approx(left)
    assert easel.desk.projecting.projector.throw.light == pytest.approx(0.7)


def test_every_screen_has_corners_of_its_own(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    press(qtbot, window, Key.Key_2)
    press(qtbot, window, Key.Key_Up, how=Shift)
    here = corners(easel)
    window.setGeometry(0, 0, 640, 480)
    QApplication.processEvents()
    assert corners(easel) == pytest.approx(Projection.fitted(SIZE, 640, 480).corners_px)
    window.setGeometry(0, 0, WIDE, HIGH)
    QApplication.processEvents()
    assert corners(easel) == pytest.approx(here)


def test_leaving_the_painting_takes_the_picture_away(easel: Easel) -> None:
    window = project(easel)
    easel.press("close")
    assert easel.window.desk is None
    assert not window.isVisible()


def test_without_a_drawing_it_says_so(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = make_easel(qtbot, worker, tmp_path)
    folder = tmp_path / "bare"
    Painting.create(folder, "Cat", SIZE, reference_photo(tmp_path)).close()
    easel.window.open_painting(folder)
    easel.press("question_drawing")
    window = project(easel)
    assert easel.desk.projecting.projector.missing == NO_DRAWING
    assert shown(window)[:60].max() > 150


def test_a_painting_opened_only_to_look_says_that_nothing_is_kept(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    easel = make_easel(qtbot, worker, tmp_path)
    easel.window.open_painting(make_painting(tmp_path), look_only=True)
    window = project(easel)
    press(qtbot, window, Key.Key_1, Key.Key_Left)
    assert easel.desk.projecting.projector.sentence == LOOK_ONLY


def test_the_page_follows_the_keys_and_the_keys_work_on_the_page(easel: Easel, qtbot: QtBot) -> None:
    window = project(easel)
    page, projector = easel.desk.projecting.page, easel.desk.projecting.projector
    press(qtbot, window, Key.Key_G)
    assert page.modes[Mode.GREY].isChecked()
    page.modes[Mode.CORNERS].click()
    assert projector.throw.mode is Mode.CORNERS
    qtbot.keyClick(page, Key.Key_L)
    assert projector.throw.mode is Mode.LINES
    page.brightness.less.click()
    page.weight.more.click()
    assert (projector.throw.light, projector.throw.weight_mm) == (0.7, 1.2)
    press(qtbot, window, Key.Key_1, Key.Key_Left)
    page.anew.click()
    assert corners(easel) == pytest.approx(Projection.fitted(SIZE, WIDE, HIGH).corners_px)
    page.shut_it.click()
    assert not window.isVisible()
    assert page.go.text() == "Project"


def test_one_screen_only_is_said_and_the_screen_is_remembered(easel: Easel) -> None:
    project(easel)
    page = easel.desk.projecting.page
    assert page.about.text().startswith("Only one screen is connected")
    assert not page.screens.isVisible()
    name = easel.window.screen().name()
    assert easel.window.machine.kept.projector == f"{name} @ 0,0"


LAPTOP = ScreenPlace("eDP-1", 0, 0, 1366, 768, True)
BEAM = ScreenPlace("HDMI-1", 1366, 0, 1920, 1080)
OTHER = ScreenPlace("DP-3", 1366, 0, 1280, 800)


@pytest.mark.parametrize(
    ("places", "kept", "chosen", "words"),
    [
        ([LAPTOP, BEAM], "", 1, ""),
        ([LAPTOP], "", 0, ""),
        ([LAPTOP, BEAM], BEAM.key, 1, ""),
        ([LAPTOP, BEAM], LAPTOP.key, 0, ""),
        ([LAPTOP, BEAM], "HDMI-1 @ -1920,0", 1, ""),  # the same projector on the other side
        ([LAPTOP, OTHER], BEAM.key, 1, "“HDMI-1” that was used last is not connected; “DP-3”"),
        ([LAPTOP], BEAM.key, 0, "“HDMI-1” that was used last is not connected"),
        ([], BEAM.key, -1, ""),
    ],
)
def test_the_screen_offered_is_the_one_used_last_or_the_likeliest(places, kept: str, chosen: int, words: str) -> None:
    index, sentence = remembered(places, kept, 0)
    assert index == chosen
    assert words in sentence
    assert bool(words) == bool(sentence)


def test_what_is_kept_survives_json_and_nonsense() -> None:
    projection = Projection.fitted(Size(400, 300), 1920, 1080).nudged(0, 3.25, -1)
    key = screen_key("HDMI-1", 1920, 1080)
    throw = Throw(mode=Mode.STEP, step=2, brightness=3, weight=4, help=False).with_corners(key, projection)
    again = Throw.from_json(json.loads(json.dumps(throw.to_json())))
    assert again == throw
    assert again.projection(key, Size(400, 300), 1920, 1080).corners_px == pytest.approx(projection.corners_px)
    for nonsense in (None, 3, [], {}, {"mode": "mirror"}, throw.to_json() | {"corners": {"x": [[1]]}}):
        assert Throw.from_json(nonsense) == Throw()
    folded = throw.to_json() | {"corners": {key: [[0, 0], [0, 0], [0, 0], [0, 0]]}}
    fitted = Throw.from_json(folded).projection(key, Size(400, 300), 1920, 1080)
    assert fitted.corners_px == pytest.approx(Projection.fitted(Size(400, 300), 1920, 1080).corners_px)


def test_a_machine_file_from_before_projectors_is_still_read(tmp_path: Path) -> None:
    machine = Machine(tmp_path)
    machine.keep(unit="in", projector="HDMI-1 @ 0,0")
    file = next(tmp_path.glob("*.json"))
    old = json.loads(file.read_text())
    del old["projector"]
    file.write_text(json.dumps(old))
    assert (Machine(tmp_path).kept.unit, Machine(tmp_path).kept.projector) == ("in", "")


def test_pictures_are_made_away_from_the_window(qtbot: QtBot, threaded_worker: Worker, tmp_path: Path) -> None:
    easel = make_easel(qtbot, threaded_worker, tmp_path)
    easel.window.open_painting(make_painting(tmp_path))
    easel.press("question_drawing")
    window = project(easel)
    press(qtbot, window, Key.Key_C)
    qtbot.waitUntil(lambda: easel.desk.projecting.projector.missing == "", timeout=20_000)
    assert shown(window)[HIGH // 2, WIDE // 2] > 20
