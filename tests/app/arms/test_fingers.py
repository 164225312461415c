"""Strokes, taps and long presses."""

from functools import cache

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QPointingDevice
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.arms.arms import ArmsLength
from tests.app.arms.arms_case import shown

Key = Qt.Key

LONG = (
    "Left, beside “jug left”, 2.2 cm of edge too soft: 2.6 ± 0.3 mm, hard in the reference (0.1 mm). "
    "1 more beside it is too soft as well."
)


@cache
def finger() -> QPointingDevice:
    return QTest.createTouchDevice()


def touch(arms: ArmsLength, *points: tuple[int, int], lift: bool = True) -> None:
    """One finger, along these points of the window."""
    window = shown(arms)
    sheet, device = window.wall.sheets[0], finger()
    at = [sheet.mapFrom(window, QPoint(*point)) for point in points]
    QTest.touchEvent(sheet, device).press(0, at[0], sheet).commit()
    for each in at[1:]:
        QTest.touchEvent(sheet, device).move(0, each, sheet).commit()
    if lift:
        QTest.touchEvent(sheet, device).release(0, at[-1], sheet).commit()


def test_strokes_and_taps_step(arms: ArmsLength) -> None:
    counts = []
    for stroke in (
        [(500, 200), (450, 205), (300, 210)],  # to the left: the next
        [(300, 200), (350, 205), (500, 210)],  # to the right: the one before
        [(300, 200), (305, 300)],  # down: nothing
        [(660, 200)],  # the middle third: nothing
    ):
        touch(arms, *stroke)
        counts.append(shown(arms).words.told.count)
    assert counts == ["2 of 2", "1 of 2", "1 of 2", "1 of 2"]
    touch(arms, (300, 200))  # the left third, round to the last
    assert shown(arms).words.told.count == "2 of 2"
    assert shown(arms).wall.is_fitted


def test_one_finger_moves_what_is_close_and_two_come_closer(arms: ArmsLength, qtbot: QtBot) -> None:
    wall = shown(arms).wall
    zoom = wall.sight.zoom
    sheet, device = wall.sheets[0], finger()
    QTest.touchEvent(sheet, device).press(0, QPoint(150, 100), sheet).commit()
    QTest.touchEvent(sheet, device).move(0, QPoint(150, 100), sheet).press(1, QPoint(250, 100), sheet).commit()
    QTest.touchEvent(sheet, device).move(0, QPoint(100, 100), sheet).move(1, QPoint(300, 100), sheet).commit()
    QTest.touchEvent(sheet, device).release(0, QPoint(100, 100), sheet).release(1, QPoint(300, 100), sheet).commit()
    assert wall.sight.zoom == pytest.approx(2 * zoom)
    before = wall.sight
    touch(arms, (300, 200), (340, 210), (400, 230))
    assert wall.sight.x_mm == pytest.approx(before.x_mm - 100 / before.zoom)
    assert wall.sight.y_mm == pytest.approx(before.y_mm - 30 / before.zoom)
    assert shown(arms).words.told.count == "1 of 2"


def test_a_long_press_lifts_the_acetate_until_the_finger_goes(arms: ArmsLength) -> None:
    window = shown(arms)
    lifted: list[bool] = []
    window.fingers.pressed_long.connect(lifted.append)
    touch(arms, (300, 200), lift=False)
    assert window.fingers.still.isActive()
    window.fingers.still.timeout.emit()
    assert window.wall.sheets[0]._acetate_lifted
    sheet, device = window.wall.sheets[0], finger()
    at = sheet.mapFrom(window, QPoint(300, 200))
    QTest.touchEvent(sheet, device).release(0, at, sheet).commit()
    assert lifted == [True, False]
    assert not window.wall.sheets[0]._acetate_lifted
    assert window.words.told.count == "1 of 2"
