"""Mouse, wheel, touch and keys on the wall."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QKeySequence, QNativeGestureEvent, QPointingDevice, QShortcut, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import look
from app.wall import Acetate, WallView

from .wall_support import PX_PER_MM, codes, drawing, hanging, mm_under, panes, plain, wall_of_two


@pytest.fixture
def wall(qtbot: QtBot) -> WallView:
    return wall_of_two(qtbot)


def wheel(wall: WallView, which: int, at: QPointF, notches: float) -> None:
    sheet = wall.sheets[which]
    delta = QPoint(0, round(120 * notches))
    event = QWheelEvent(
        at, QPointF(sheet.mapToGlobal(at.toPoint())), QPoint(), delta, Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(sheet, event)


def test_the_wheel_zooms_about_the_pointer_in_every_hanging(wall: WallView) -> None:
    at = QPointF(180, 240)
    before, zoom = mm_under(wall, 0, at), wall.sight.zoom
    wheel(wall, 0, at, 1)
    assert wall.sight.zoom == pytest.approx(zoom * 1.25)
    assert mm_under(wall, 0, at) == pytest.approx(before, abs=1e-6)
    assert mm_under(wall, 1, at) == pytest.approx(before, abs=1e-6)
    assert not wall.is_fitted
    wheel(wall, 1, at, -1)
    assert wall.sight.zoom == pytest.approx(zoom)


def test_zoom_stops_at_an_eighth_of_fit_and_at_thirty_two_pixels_a_pixel(wall: WallView) -> None:
    fit = wall.sight.zoom
    for _ in range(40):
        wall.zoom_by(1 / 1.5)
    assert wall.sight.zoom == pytest.approx(fit / 8)
    for _ in range(60):
        wall.zoom_by(1.5)
    assert wall.sight.zoom == pytest.approx(32 * PX_PER_MM)


def test_dragging_moves_all_pictures(wall: WallView) -> None:
    wall.zoom_by(4)
    sheet = wall.sheets[1]
    before = mm_under(wall, 0, QPointF(200, 200))
    QTest.mousePress(sheet, Qt.MouseButton.LeftButton, pos=QPoint(100, 100))
    QTest.mouseMove(sheet, QPoint(130, 110))
    QTest.mouseMove(sheet, QPoint(160, 80))
    QTest.mouseRelease(sheet, Qt.MouseButton.LeftButton, pos=QPoint(160, 80))
    assert mm_under(wall, 0, QPointF(260, 180)) == pytest.approx(before, abs=1e-6)
    assert mm_under(wall, 1, QPointF(260, 180)) == pytest.approx(before, abs=1e-6)


def test_the_middle_button_drags_too_and_never_clicks(wall: WallView, qtbot: QtBot) -> None:
    clicked = []
    wall.clicked.connect(lambda *a: clicked.append(a))
    wall.zoom_by(4)
    before = wall.sight
    sheet = wall.sheets[0]
    QTest.mousePress(sheet, Qt.MouseButton.MiddleButton, pos=QPoint(100, 100))
    QTest.mouseMove(sheet, QPoint(140, 100))
    QTest.mouseRelease(sheet, Qt.MouseButton.MiddleButton, pos=QPoint(140, 100))
    assert wall.sight.x_mm == pytest.approx(before.x_mm - 40 / before.zoom)
    QTest.mouseClick(sheet, Qt.MouseButton.MiddleButton, pos=QPoint(100, 100))
    assert clicked == []


def test_a_click_tells_where_and_chooses(wall: WallView, qtbot: QtBot) -> None:
    at = QPoint(220, 260)
    wanted = mm_under(wall, 1, QPointF(at))
    with qtbot.waitSignals([wall.clicked, wall.selected_changed]):
        QTest.mouseClick(wall.sheets[1], Qt.MouseButton.LeftButton, pos=at)
    assert wall.selected == 1
    told = []
    wall.clicked.connect(lambda *a: told.append(a))
    QTest.mouseClick(wall.sheets[1], Qt.MouseButton.LeftButton, pos=at)
    assert told == [(pytest.approx(wanted[0]), pytest.approx(wanted[1]), 1)]


def test_double_click_shows_the_whole_canvas(wall: WallView) -> None:
    fit = wall.sight
    wall.zoom_by(6)
    QTest.mouseDClick(wall.sheets[0], Qt.MouseButton.LeftButton, pos=QPoint(50, 50))
    assert wall.sight == fit
    assert wall.is_fitted


def test_two_fingers_pinch_and_carry(wall: WallView) -> None:
    device = QTest.createTouchDevice()
    sheet = wall.sheets[0]
    before, zoom = mm_under(wall, 0, QPointF(200, 200)), wall.sight.zoom
    touch = QTest.touchEvent(sheet, device)
    touch.press(0, QPoint(150, 200), sheet).press(1, QPoint(250, 200), sheet).commit()
    QTest.touchEvent(sheet, device).move(0, QPoint(120, 230), sheet).move(1, QPoint(320, 230), sheet).commit()
    QTest.touchEvent(sheet, device).release(0, QPoint(120, 230), sheet).release(1, QPoint(320, 230), sheet).commit()
    assert wall.sight.zoom == pytest.approx(2 * zoom)
    assert mm_under(wall, 0, QPointF(220, 230)) == pytest.approx(before, abs=1e-6)


def test_one_finger_drags_and_a_double_tap_fits(wall: WallView) -> None:
    fit = wall.sight
    wall.zoom_by(4)
    before = mm_under(wall, 1, QPointF(100, 200))
    device, sheet = QTest.createTouchDevice(), wall.sheets[1]
    QTest.touchEvent(sheet, device).press(0, QPoint(100, 200), sheet).commit()
    QTest.touchEvent(sheet, device).move(0, QPoint(140, 170), sheet).commit()
    QTest.touchEvent(sheet, device).release(0, QPoint(140, 170), sheet).commit()
    assert mm_under(wall, 1, QPointF(140, 170)) == pytest.approx(before, abs=1e-6)
    assert wall.sight.zoom == pytest.approx(4 * fit.zoom)
    for _ in range(2):
        QTest.touchEvent(sheet, device).press(0, QPoint(99, 99), sheet).commit()
        QTest.touchEvent(sheet, device).release(0, QPoint(99, 99), sheet).commit()
    assert wall.sight == fit
    assert wall.selected == 1


def test_keys_zoom_fit_and_move(wall: WallView, qtbot: QtBot) -> None:
    fit = wall.sight
    panes(wall)[0].setFocus()
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_Plus)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_Plus)
    assert wall.sight.zoom == pytest.approx(fit.zoom * 1.5**2)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_Right)
    assert wall.sight.x_mm == pytest.approx(200 + 60 / wall.sight.zoom)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_Up)
    assert wall.sight.y_mm == pytest.approx(150 - 60 / wall.sight.zoom)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert wall.sight.x_mm == pytest.approx(200 - 240 / wall.sight.zoom)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_Minus)
    assert wall.sight.zoom == pytest.approx(fit.zoom * 1.5)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_0)
    assert wall.sight == fit


def test_tab_goes_from_hanging_to_hanging_and_chooses(wall: WallView, qtbot: QtBot) -> None:
    wall.activateWindow()
    panes(wall)[0].setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(panes(wall)[0].hasFocus)
    with qtbot.waitSignal(wall.selected_changed) as changed:
        QTest.keyClick(panes(wall)[0], Qt.Key.Key_Tab)
    assert changed.args == [1]
    assert panes(wall)[1].hasFocus()
    ring = panes(wall)[1].grab().toImage().pixelColor(100, 1)
    assert look.contrast(ring, look.SURROUND) >= 3.0


def test_blink_swaps_pictures_and_moves_nothing(wall: WallView, qtbot: QtBot) -> None:
    before = [codes(pane) for pane in panes(wall)]
    places = [pane.geometry() for pane in panes(wall)]
    layouts = []
    for pane in panes(wall):
        pane.sheet.resized.connect(lambda: layouts.append(1))
    panes(wall)[0].setFocus()
    QTest.keyPress(panes(wall)[0], Qt.Key.Key_B)
    swapped = [codes(pane.sheet) for pane in panes(wall)]
    titles = [pane.accessibleName() for pane in panes(wall)]
    QTest.keyRelease(panes(wall)[0], Qt.Key.Key_B)
    assert titles == ["Canvas photo", "Reference"]
    middle = swapped[0].shape[0] // 2, swapped[0].shape[1] // 2
    assert (swapped[0][middle], swapped[1][middle]) == (60, 200)
    assert [pane.geometry() for pane in panes(wall)] == places
    assert layouts == []
    for pane, shot in zip(panes(wall), before, strict=True):
        np.testing.assert_array_equal(codes(pane), shot)


def test_blink_needs_two_and_ends_when_the_focus_goes(wall: WallView, qtbot: QtBot) -> None:
    other = hanging("Only", plain(90))
    panes(wall)[1].setFocus()
    QTest.keyPress(panes(wall)[1], Qt.Key.Key_B)
    assert panes(wall)[1].accessibleName() == "Reference"
    wall.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    wall.setFocus()
    assert panes(wall)[1].accessibleName() == "Canvas photo"
    wall.hang([other])
    wall.blink(True)
    assert panes(wall)[0].hanging is other


def test_the_acetate_is_lifted_while_its_key_is_held(wall: WallView) -> None:
    bare = codes(wall.sheets[0])
    wall.set_overlays(0, [Acetate.of(drawing())])
    covered = codes(wall.sheets[0])
    assert (covered != bare).sum() > 500
    panes(wall)[0].setFocus()
    QTest.keyPress(panes(wall)[0], Qt.Key.Key_A)
    np.testing.assert_array_equal(codes(wall.sheets[0]), bare)
    QTest.keyRelease(panes(wall)[0], Qt.Key.Key_A)
    np.testing.assert_array_equal(codes(wall.sheets[0]), covered)


def test_keys_that_are_not_the_walls_travel_on(wall: WallView, qtbot: QtBot) -> None:
    heard = []
    for keys in ("G", "Ctrl+0"):
        QShortcut(QKeySequence(keys), wall, lambda k=keys: heard.append(k))
    wall.activateWindow()
    panes(wall)[0].setFocus()
    qtbot.waitUntil(panes(wall)[0].hasFocus)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_G)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    assert heard == ["G", "Ctrl+0"]


def test_two_fingers_on_a_touchpad_zoom(wall: WallView) -> None:
    at, zoom = QPointF(150, 200), wall.sight.zoom
    before = mm_under(wall, 0, at)
    pad, sheet = QPointingDevice.primaryPointingDevice(), wall.sheets[0]
    kind = Qt.NativeGestureType.ZoomNativeGesture
    spread = QNativeGestureEvent(kind, pad, 2, at, at, QPointF(sheet.mapToGlobal(at.toPoint())), 0.5, QPointF())
    QApplication.sendEvent(sheet, spread)
    assert wall.sight.zoom == pytest.approx(1.5 * zoom)
    assert mm_under(wall, 0, at) == pytest.approx(before, abs=1e-6)


def test_the_cursor_shows_the_grip(wall: WallView) -> None:
    sheet, pane = wall.sheets[0], panes(wall)[0]
    pane.setFocus()
    assert sheet.cursor().shape() == Qt.CursorShape.CrossCursor
    QTest.keyPress(pane, Qt.Key.Key_Space)
    assert sheet.cursor().shape() == Qt.CursorShape.OpenHandCursor
    QTest.mousePress(sheet, Qt.MouseButton.LeftButton, pos=QPoint(100, 100))
    QTest.mouseMove(sheet, QPoint(140, 100))
    assert sheet.cursor().shape() == Qt.CursorShape.ClosedHandCursor
    QTest.mouseRelease(sheet, Qt.MouseButton.LeftButton, pos=QPoint(140, 100))
    QTest.keyRelease(pane, Qt.Key.Key_Space)
    assert sheet.cursor().shape() == Qt.CursorShape.CrossCursor


def test_the_focus_stays_on_the_wall_when_its_picture_is_taken_down(wall: WallView, qtbot: QtBot) -> None:
    wall.activateWindow()
    panes(wall)[1].setFocus()
    qtbot.waitUntil(panes(wall)[1].hasFocus)
    wall.hang(wall.hangings[:1])
    assert panes(wall)[0].hasFocus()
    assert wall.selected == 0
