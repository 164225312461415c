"""Measuring on the wall as a painter does: with mouse, finger and keys, in every picture at once."""

import math
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.measures import MOST_MEASURES, SETTING, End, Measure, Measures
from app.measuring import FAR_NUDGE_MM, NUDGE_MM, POINTING_PX
from app.view import Question
from app.work import Worker
from core.painting import Painting
from core.size import Size
from tests.app.window_case import SIZE, Easel, canvas_shot, drop, easel_with_canvas, make_easel, make_painting

from .wall_support import codes, hover

LEFT_EYE, RIGHT_EYE = (77.0, 62.0), (136.0, 70.0)
APART_MM = math.hypot(59, 8)
Point = tuple[float, float]


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """A painting with two landmarks; a canvas photo hangs beside the reference, laid flat."""
    made = easel_with_canvas(qtbot, worker, tmp_path)
    made.press("measure")
    return made


def measures(easel: Easel) -> Measures:
    return easel.desk.proportion.measuring.measures


def at(easel: Easel, which: int, mm: Point) -> QPoint:
    return easel.desk.wall.sheets[which].placed().point(*mm).toPoint()


def drag(easel: Easel, which: int, start: Point, end: Point) -> None:
    sheet, one, other = easel.desk.wall.sheets[which], at(easel, which, start), at(easel, which, end)
    QTest.mousePress(sheet, Qt.MouseButton.LeftButton, pos=one)
    for share in (0.2, 0.6, 1.0):
        QTest.mouseMove(sheet, (QPointF(one) + QPointF(other - one) * share).toPoint())
    QTest.mouseRelease(sheet, Qt.MouseButton.LeftButton, pos=other)


def key(easel: Easel, pressed: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.keyClick(easel.window.focusWidget(), pressed, modifier)


def unfolded(easel: Easel) -> dict[str, str]:
    fold = easel.desk.proportion.page.measures
    return {name: getattr(fold, name).text() for name in ("length", "units", "lean", "unit")}


def test_measuring_opens_its_page_and_shows_that_it_is_on(easel: Easel) -> None:
    assert easel.desk.studio.view.question is Question.DRAWING
    assert easel.desk.proportion.page.isVisible()
    assert easel.window.actions_by_name["measure"].isChecked()
    easel.press("measure")
    assert not easel.window.actions_by_name["measure"].isChecked()


def test_a_distance_between_landmarks_is_measured_by_dragging(easel: Easel) -> None:
    """The press and the release are a pixel off: the landmarks catch them."""
    drag(easel, 0, (LEFT_EYE[0] + 0.6, LEFT_EYE[1]), (RIGHT_EYE[0], RIGHT_EYE[1] - 0.6))
    (found,) = measures(easel).kept
    assert (found.start, found.end) == (End(LEFT_EYE, "left eye"), End(RIGHT_EYE, "right eye"))
    assert unfolded(easel)["length"] == "5.95 cm"  # √(59² + 8²) = 59.54 mm
    assert unfolded(easel)["lean"] == "Rises 8° from level to the left · left eye to right eye"  # arctan 8/59 = 7.7°
    assert not found.on_canvas


def test_it_can_be_measured_by_two_clicks(easel: Easel) -> None:
    sheet = easel.desk.wall.sheets[0]
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=at(easel, 0, LEFT_EYE))
    hover(sheet, QPointF(at(easel, 0, (120, 66))))
    assert measures(easel).kept == ()
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=at(easel, 0, RIGHT_EYE))
    (found,) = measures(easel).kept
    assert found.span.length_mm == pytest.approx(APART_MM)


def test_two_quick_clicks_measure_and_do_not_show_the_whole_canvas(easel: Easel) -> None:
    sheet = easel.desk.wall.sheets[0]
    easel.desk.wall.zoom_by(1.5)
    before = easel.desk.wall.sight
    QTest.mouseClick(sheet, Qt.MouseButton.LeftButton, pos=at(easel, 0, LEFT_EYE))
    QTest.mouseDClick(sheet, Qt.MouseButton.LeftButton, pos=at(easel, 0, RIGHT_EYE))
    QTest.mouseRelease(sheet, Qt.MouseButton.LeftButton, pos=at(easel, 0, RIGHT_EYE))
    assert len(measures(easel).kept) == 1
    assert easel.desk.wall.sight == before


def test_a_finger_measures_and_two_fingers_still_zoom(easel: Easel) -> None:
    sheet = easel.desk.wall.sheets[0]
    screen = QTest.createTouchDevice()
    start, end = at(easel, 0, LEFT_EYE), at(easel, 0, RIGHT_EYE)
    QTest.touchEvent(sheet, screen).press(0, start, sheet)
    for share in (0.5, 1.0):
        QTest.touchEvent(sheet, screen).move(0, (QPointF(start) + QPointF(end - start) * share).toPoint(), sheet)
    QTest.touchEvent(sheet, screen).release(0, end, sheet)
    (found,) = measures(easel).kept
    assert found.span.length_mm == pytest.approx(APART_MM)
    zoom = easel.desk.wall.sight.zoom
    QTest.touchEvent(sheet, screen).press(0, QPoint(100, 200), sheet)
    QTest.touchEvent(sheet, screen).move(0, QPoint(140, 200), sheet)
    QTest.touchEvent(sheet, screen).stationary(0).press(1, QPoint(200, 200), sheet)
    for x in (230, 260):
        QTest.touchEvent(sheet, screen).stationary(0).move(1, QPoint(x, 200), sheet)
    QTest.touchEvent(sheet, screen).release(0, QPoint(140, 200), sheet).release(1, QPoint(260, 200), sheet)
    assert len(measures(easel).kept) == 1
    assert easel.desk.wall.sight.zoom > zoom


def test_a_measure_shows_in_all_pictures_at_once(easel: Easel) -> None:
    before = [codes(sheet) for sheet in easel.desk.wall.sheets]
    drag(easel, 0, (30, 20), (30, 120))
    for index, sheet in enumerate(easel.desk.wall.sheets):
        middle = at(easel, index, (30, 70))
        after = codes(sheet)
        changed = (after != before[index])[middle.y() - 20 : middle.y() + 20, middle.x() - 6 : middle.x() + 7]
        assert changed.mean() > 0.2
        assert after[middle.y() - 4 : middle.y() + 5, middle.x() - 2 : middle.x() + 3].min() < 70
    easel.press("measure")
    hover(easel.desk.wall.sheets[0], QPointF(5, 5))
    middle = at(easel, 1, (30, 70))
    here = (slice(middle.y() - 20, middle.y() + 20), slice(middle.x() - 6, middle.x() + 7))
    assert (codes(easel.desk.wall.sheets[1])[here] == before[1][here]).all()


def test_a_length_is_taken_as_the_unit_and_others_are_told_in_it(easel: Easel) -> None:
    drag(easel, 0, LEFT_EYE, RIGHT_EYE)
    easel.answers.text = "eye line"
    easel.desk.proportion.page.measures.take.click()
    assert unfolded(easel)["unit"] == "Unit: eye line, 5.95 cm"
    assert unfolded(easel)["units"] == "1 × eye line"
    easel.answers.text = "head"
    easel.desk.proportion.page.measures.take.click()
    drag(easel, 0, (20, 20), (20, 20 + 1.5 * APART_MM))
    found = measures(easel).current
    assert found is not None
    assert found.span.length_mm == pytest.approx(1.5 * APART_MM, abs=1.0)
    assert unfolded(easel)["units"].startswith("1.5")
    assert "heads, 3 : 2, within" in unfolded(easel)["units"]
    assert unfolded(easel)["lean"] == "Plumb"
    easel.desk.proportion.page.measures.forget.click()
    assert unfolded(easel)["units"] == ""


def test_a_change_of_mind_about_the_unit_changes_nothing(easel: Easel) -> None:
    drag(easel, 0, LEFT_EYE, RIGHT_EYE)
    easel.answers.text = None
    easel.desk.proportion.page.measures.take.click()
    assert measures(easel).unit is None


def test_a_free_end_is_as_sure_as_it_can_be_pointed_at(easel: Easel) -> None:
    """Closer up it is surer."""
    drag(easel, 0, LEFT_EYE, (150, 120))
    wide = measures(easel).current
    assert wide is not None
    assert wide.uncertainty_mm(None) == pytest.approx(POINTING_PX / easel.desk.wall.sight.zoom)
    assert "±" in unfolded(easel)["length"]
    easel.desk.wall.look_at(easel.desk.wall.sight.__class__(110, 90, 3 * easel.desk.wall.sight.zoom))
    drag(easel, 0, LEFT_EYE, (150, 120))
    near = measures(easel).current
    assert near is not None
    assert near.uncertainty_mm(None) == pytest.approx(wide.uncertainty_mm(None) / 3)


def test_arrow_keys_nudge_the_last_end(easel: Easel) -> None:
    drag(easel, 0, LEFT_EYE, RIGHT_EYE)
    sight = easel.desk.wall.sight
    key(easel, Qt.Key.Key_Right)
    key(easel, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    found = measures(easel).current
    assert found is not None
    assert found.end.at == pytest.approx((RIGHT_EYE[0] + NUDGE_MM, RIGHT_EYE[1] + FAR_NUDGE_MM))
    assert found.end.name == ""
    assert found.start.name == "left eye"
    assert easel.desk.wall.sight == sight


def test_arrow_keys_move_the_picture_when_there_is_nothing_to_nudge(easel: Easel) -> None:
    easel.desk.wall.zoom_by(4)
    sight = easel.desk.wall.sight
    key(easel, Qt.Key.Key_Right)
    assert easel.desk.wall.sight != sight


def test_a_free_end_can_be_dragged_on_but_at_a_landmark_a_new_measure_begins(easel: Easel) -> None:
    drag(easel, 0, LEFT_EYE, (120, 110))
    drag(easel, 0, (120, 110), (150, 110))
    (found,) = measures(easel).kept
    assert found.end.at == pytest.approx((150, 110), abs=1.0)
    drag(easel, 0, LEFT_EYE, (77, 110))
    assert [each.number for each in measures(easel).kept] == [1, 2]
    assert measures(easel).current.start.name == "left eye"  # type: ignore[union-attr]


def test_several_are_kept_and_each_can_be_taken_away(easel: Easel) -> None:
    for row in (20, 40, 60):
        drag(easel, 0, (20, row), (60, row))
    lines = easel.desk.proportion.page.measures.lines
    assert [line.number for line in lines.lines] == [1, 2, 3]
    lines.lines[1].click()
    assert measures(easel).chosen == 2
    easel.desk.proportion.page.measures.remove.click()
    assert [each.number for each in measures(easel).kept] == [1, 3]
    easel.desk.focus_wall()
    key(easel, Qt.Key.Key_Delete)
    key(easel, Qt.Key.Key_Delete)
    assert measures(easel).kept == ()


def test_there_is_an_end_to_how_many(easel: Easel) -> None:
    full = Measures()
    for number in range(1, MOST_MEASURES + 1):
        full = full.with_measure(Measure(number, End((10, 10)), End((20, 10 + number))))
    easel.desk.proportion.measuring._change(full)
    drag(easel, 0, (120, 100), (150, 110))
    assert len(measures(easel).kept) == MOST_MEASURES
    assert "take some away" in easel.said


def test_escape_lets_the_begun_measure_go_then_puts_the_tool_away(easel: Easel) -> None:
    QTest.mouseClick(easel.desk.wall.sheets[0], Qt.MouseButton.LeftButton, pos=at(easel, 0, LEFT_EYE))
    key(easel, Qt.Key.Key_Escape)
    QTest.mouseClick(easel.desk.wall.sheets[0], Qt.MouseButton.LeftButton, pos=at(easel, 0, RIGHT_EYE))
    assert measures(easel).kept == ()
    key(easel, Qt.Key.Key_Escape)
    assert easel.window.actions_by_name["measure"].isChecked()
    key(easel, Qt.Key.Key_Escape)
    assert not easel.window.actions_by_name["measure"].isChecked()


def test_with_space_held_and_with_the_middle_button_the_picture_is_moved(easel: Easel) -> None:
    easel.desk.wall.zoom_by(3)
    sight = easel.desk.wall.sight
    sheet = easel.desk.wall.sheets[0]
    QTest.mousePress(sheet, Qt.MouseButton.MiddleButton, pos=QPoint(100, 100))
    QTest.mouseMove(sheet, QPoint(160, 100))
    QTest.mouseRelease(sheet, Qt.MouseButton.MiddleButton, pos=QPoint(160, 100))
    moved = easel.desk.wall.sight
    assert moved != sight
    QTest.keyPress(easel.window.focusWidget(), Qt.Key.Key_Space)
    drag(easel, 0, (100, 75), (110, 80))
    QTest.keyRelease(easel.window.focusWidget(), Qt.Key.Key_Space)
    assert easel.desk.wall.sight != moved
    assert measures(easel).kept == ()


def test_beside_the_canvas_the_picture_is_moved(easel: Easel) -> None:
    easel.desk.wall.zoom_by(0.5)
    sight = easel.desk.wall.sight
    drag(easel, 0, (-50, 75), (-20, 75))
    assert measures(easel).kept == ()
    assert easel.desk.wall.sight != sight


def test_on_the_painting_a_landmark_is_caught_where_it_was_painted(checked: Easel) -> None:
    """Everything is painted 2 mm too far right: the painted eye is caught, and the canvas's own uncertainty counts."""
    findings = checked.desk.studio.checked.findings
    eye = next(mark for mark in findings.told_landmarks if mark.name == "left eye")
    painted = (LEFT_EYE[0] + eye.dx_mm, LEFT_EYE[1] + eye.dy_mm)
    checked.desk.wall.look_at(checked.desk.wall.sight.__class__(100, 75, 14.0))
    checked.press("measure")
    drag(checked, 1, painted, (90, 62))
    found = measures(checked).current
    assert found is not None
    assert found.start.name == "left eye as painted"
    assert found.start.at == pytest.approx(painted)
    assert found.on_canvas
    flat = findings.canvas_uncertainty_mm
    assert found.uncertainty_mm(flat) == pytest.approx(math.hypot(flat, POINTING_PX / 14.0))
    drag(checked, 0, painted, (90, 90))
    assert "painted" not in measures(checked).current.start.name  # type: ignore[union-attr]


@pytest.fixture
def checked(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = easel_with_canvas(qtbot, worker, tmp_path)
    made.press("check")
    return made


def test_without_corners_nothing_is_measured_on_a_photo_and_it_is_said(
    qtbot: QtBot, worker: Worker, tmp_path: Path
) -> None:
    easel = make_easel(qtbot, worker, tmp_path)
    easel.window.open_painting(make_painting(tmp_path))
    drop(easel.desk.ledge, [canvas_shot(tmp_path)[0]])
    easel.press("measure")
    drag(easel, 1, (50, 50), (100, 100))
    assert measures(easel).kept == ()
    QTest.mouseClick(easel.desk.wall.sheets[1], Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    assert "corners are placed" in easel.said


def test_measures_unit_and_pins_come_back_with_the_painting(easel: Easel) -> None:
    drag(easel, 0, LEFT_EYE, (150, 120))
    easel.answers.text = "head"
    easel.desk.proportion.page.measures.take.click()
    easel.press("pin")
    kept = measures(easel)
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    with Painting.open(folder) as painting:
        assert Measures.from_json(painting.setting(SETTING), SIZE) == kept
    easel.window.open_painting(folder)
    assert measures(easel) == kept


@pytest.mark.parametrize(
    "damage",
    [
        None,
        [],
        {},
        {"measures": [[1, True]]},
        {"measures": [[1, False, [0, 0, "", 0], [1, 1, "", 0]], [1, False, [0, 0, "", 0], [1, 1, "", 0]]]},
        {"unit": ["head", -3, None]},
        {"unit": ["head", float("nan"), None]},
        {"pins": [[1]]},
        {"pins": [[float("nan"), 1]]},
    ],
)
def test_what_cannot_be_read_is_no_measures(damage: object) -> None:
    kept = Measures().to_json() | damage if isinstance(damage, dict) and damage else damage
    assert Measures.from_json(kept, Size(200, 150)) == Measures()


def test_measures_of_a_larger_canvas_come_back_onto_this_one() -> None:
    wide = Measures().with_measure(Measure(1, End((10, 10)), End((390, 290))))
    assert Measures.from_json(wide.to_json(), Size(200, 150)).kept[0].end.at == (200, 150)


def test_plumb_lines_follow_the_pointer_in_all_pictures(easel: Easel) -> None:
    easel.press("measure", "plumb")
    hover(easel.desk.wall.sheets[0], QPointF(at(easel, 0, (60, 100))))
    QApplication.processEvents()
    for index in (0, 1):
        shown = codes(easel.desk.wall.sheets[index])
        upright = at(easel, index, (60, 20))
        assert shown[upright.y(), upright.x() - 3 : upright.x() + 4].min() < 80
        level = at(easel, index, (170, 100))
        assert shown[level.y() - 3 : level.y() + 4, level.x()].min() < 80


def test_a_pair_is_pinned_dragged_and_taken_away(easel: Easel) -> None:
    easel.press("measure")
    hover(easel.desk.wall.sheets[0], QPointF(at(easel, 0, (60, 100))))
    easel.press("pin")
    assert easel.desk.studio.view.plumb
    assert easel.window.actions_by_name["plumb"].isChecked()
    assert measures(easel).pins == (pytest.approx((60, 100), abs=0.5),)
    drag(easel, 1, (60, 100), (140, 40))
    assert measures(easel).pins == (pytest.approx((140, 40), abs=1.0),)
    easel.desk.proportion.page.plumb.unpin.click()
    assert measures(easel).pins == ()
    assert not easel.desk.proportion.page.plumb.unpin.isEnabled()


def test_without_a_pointer_a_pair_is_pinned_in_the_middle_of_what_is_seen(easel: Easel) -> None:
    easel.desk.wall.pointer_left.emit()
    easel.press("pin")
    sight = easel.desk.wall.sight
    assert measures(easel).pins == ((sight.x_mm, sight.y_mm),)


def test_away_from_the_pins_the_picture_is_moved(easel: Easel) -> None:
    easel.press("measure", "pin")
    easel.desk.wall.zoom_by(3)
    sight = easel.desk.wall.sight
    drag(easel, 0, (90, 60), (95, 60))
    assert easel.desk.wall.sight != sight


def test_while_corners_are_placed_measuring_rests(easel: Easel) -> None:
    easel.press("measure", "corners", "measure")
    assert not easel.window.actions_by_name["measure"].isChecked()
    assert not easel.desk.proportion.measuring.is_on


def test_lengths_are_told_in_the_unit_of_the_window(easel: Easel) -> None:
    drag(easel, 0, LEFT_EYE, RIGHT_EYE)
    easel.press("unit")
    assert unfolded(easel)["length"] == "2.34 in"  # 59.54 / 25.4
