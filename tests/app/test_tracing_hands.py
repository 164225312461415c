"""Tracing with mouse, finger and pen: what draws and what moves the picture; and snapping to the reference's edges."""

import math
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.work import Worker
from core.painting import Painting
from tests.app.tracing_case import (
    CIRCLE_MM,
    LEFT,
    Hand,
    bare_painting,
    circle,
    kept,
    off_the_circle,
    page_of,
    tracing_easel,
)
from tests.app.window_case import SIZE, Easel, make_easel


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    return tracing_easel(qtbot, worker, tmp_path)


@pytest.fixture
def hand(easel: Easel) -> Hand:
    return Hand(page_of(easel))


def differ_by(one: QImage, other: QImage) -> int:
    """The most by which two pictures differ, in codes."""
    codes = [np.frombuffer(image.constBits(), np.uint8).astype(int) for image in (one, other)]
    return int(np.abs(codes[0] - codes[1]).max())


@pytest.mark.parametrize("way", ["drag", "finger", "pen"])
def test_mouse_finger_and_pen_draw_alike(easel: Easel, hand: Hand, way: str) -> None:
    getattr(hand, way)(circle())
    (line,) = kept(easel).lines
    assert line.closed
    assert off_the_circle(line.polyline(0.01)).max() <= 0.3


def test_a_pen_s_other_end_rubs_out_and_the_pen_is_in_hand_again(easel: Easel, hand: Hand) -> None:
    hand.pen(circle())
    x, y, radius = CIRCLE_MM
    hand.pen([(x + radius - 5, y), (x + radius, y), (x + radius + 5, y)], turned=True)
    assert not kept(easel).lines[0].closed
    assert page_of(easel).view.tool is page_of(easel).pen


def test_two_fingers_move_the_picture_and_take_the_begun_stroke_back(easel: Easel, hand: Hand) -> None:
    view, sheet, device = page_of(easel).view, hand.sheet, QTest.createTouchDevice()
    before = view.sheet.sight
    a, b = QPoint(300, 200), QPoint(400, 200)
    under = sheet.placed().mm_at(QPointF(350, 200))
    QTest.touchEvent(sheet, device).press(0, a, sheet).commit()
    QTest.touchEvent(sheet, device).move(0, a + QPoint(6, 0), sheet).commit()
    QTest.touchEvent(sheet, device).move(0, a, sheet).press(1, b, sheet).commit()
    for step in range(1, 6):
        apart = QPoint(10 * step, 0)
        QTest.touchEvent(sheet, device).move(0, a - apart, sheet).move(1, b + apart, sheet).commit()
    end = QPoint(50, 0)
    QTest.touchEvent(sheet, device).release(0, a - end, sheet).release(1, b + end, sheet).commit()
    assert view.sheet.sight.zoom > 1.5 * before.zoom
    assert math.dist(sheet.placed().mm_at(QPointF(350, 200)), under) < 5.0
    assert kept(easel).lines == ()
    view.fit()
    hand.finger(circle(40) * 0.5 + 40)
    assert len(kept(easel).lines) == 1


def test_a_finger_that_rests_beside_a_pen_draws_nothing(easel: Easel, hand: Hand) -> None:
    hand.pen(circle())
    hand.finger([(20.0, 20.0), (40.0, 22.0), (60.0, 20.0)])
    assert len(kept(easel).lines) == 1


def test_a_hand_that_comes_down_late_does_not_take_the_stroke(easel: Easel, hand: Hand) -> None:
    sheet, device = hand.sheet, QTest.createTouchDevice()
    points = [hand.at(place) for place in circle(60)]
    QTest.touchEvent(sheet, device).press(0, points[0], sheet).commit()
    for point in points[1:30]:
        QTest.touchEvent(sheet, device).move(0, point, sheet).commit()
    resting = QPoint(20, 20)
    QTest.touchEvent(sheet, device).press(1, resting, sheet).move(0, points[30], sheet).commit()
    for point in points[31:]:
        QTest.touchEvent(sheet, device).move(1, resting, sheet).move(0, point, sheet).commit()
    QTest.touchEvent(sheet, device).release(1, resting, sheet).release(0, points[-1], sheet).commit()
    (line,) = kept(easel).lines
    assert off_the_circle(line.polyline(0.01)).max() <= 0.35


def test_a_finger_on_the_naming_sheet_presses_its_buttons_and_never_the_picture(easel: Easel, hand: Hand) -> None:
    easel.press("trace_landmark")
    naming = page_of(easel).naming
    hand.click((30.0, 70.0))
    device, suggested = QTest.createTouchDevice(), naming.suggestions[1]
    name = suggested.text()
    for widget, at in ((naming, QPoint(3, 3)), (suggested, suggested.rect().center())):
        QTest.touchEvent(widget, device).press(0, at, widget).commit()
        QTest.touchEvent(widget, device).release(0, at, widget).commit()
    assert [mark.name for mark in kept(easel).landmarks] == [name]
    assert kept(easel).landmarks[0].x_mm == pytest.approx(30.0, abs=0.3)
    assert naming.isHidden()


def test_space_and_a_drag_move_the_picture_and_the_wheel_comes_closer(easel: Easel, hand: Hand) -> None:
    view, sheet = page_of(easel).view, hand.sheet
    at = QPointF(400, 300)
    turn = QWheelEvent(
        at, QPointF(sheet.mapToGlobal(at.toPoint())), QPoint(), QPoint(0, 240), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    before = sheet.placed().mm_at(at)
    QApplication.sendEvent(sheet, turn)
    assert sheet.placed().mm_at(at) == pytest.approx(before, abs=1e-6)
    sight = view.sheet.sight
    QTest.keyPress(view, Qt.Key.Key_Space)
    QTest.mousePress(sheet, LEFT, pos=QPoint(300, 300))
    QTest.mouseMove(sheet, QPoint(330, 300))
    QTest.mouseMove(sheet, QPoint(360, 280))
    QTest.mouseRelease(sheet, LEFT, pos=QPoint(360, 280))
    QTest.keyRelease(view, Qt.Key.Key_Space)
    assert view.sheet.sight.x_mm == pytest.approx(sight.x_mm - 60 / sight.zoom)
    assert kept(easel).lines == ()
    hand.drag(circle(40) * 0.3 + 60)
    assert len(kept(easel).lines) == 1


def test_keys_zoom_fit_and_a_held_lifts_the_lines(easel: Easel, hand: Hand) -> None:
    view = page_of(easel).view
    hand.drag(circle())
    fit = view.sheet.sight
    QTest.keyClick(view, Qt.Key.Key_Plus)
    assert view.sheet.sight.zoom == pytest.approx(1.5 * fit.zoom)
    QTest.keyClick(view, Qt.Key.Key_0)
    assert view.sheet.sight == fit
    shown = view.grab().toImage()
    QTest.keyPress(view, Qt.Key.Key_A)
    assert differ_by(view.grab().toImage(), shown) > 50
    QTest.keyRelease(view, Qt.Key.Key_A)
    assert differ_by(view.grab().toImage(), shown) <= 2


def test_a_frame_that_was_mended_looks_like_one_painted_afresh(easel: Easel, hand: Hand) -> None:
    sheet = hand.sheet
    for place in (60.0, 90.0, 120.0):
        hand.drag([(20.0, place), (90.0, place - 20), (180.0, place)])
        sheet.grab()
    easel.press("trace_eraser")
    hand.drag([(90.0, 30.0), (90.0, 120.0)])
    page_of(easel).eraser.hover(None)
    mended = sheet.grab().toImage()
    sheet._frames.clear()
    afresh = sheet.grab().toImage()
    assert differ_by(mended, afresh) <= 2


def test_a_stroke_drawn_beside_an_edge_of_the_reference_comes_onto_it(
    qtbot: QtBot, worker: Worker, tmp_path: Path
) -> None:
    x, y, radius = CIRCLE_MM
    rows, columns = np.mgrid[0:900, 0:1200]
    away = np.hypot((columns + 0.5) / 6 - x, (rows + 0.5) / 6 - y) - radius
    codes = np.clip(120 + 60 / (1 + np.exp(-away / 0.15)), 0, 255).astype(np.uint8)
    photo = tmp_path / "disc.png"
    Image.fromarray(np.repeat(codes[..., None], 3, axis=2)).save(photo)
    Painting.create(tmp_path / "disc", "Disc", SIZE, photo).close()
    easel = make_easel(qtbot, worker, tmp_path)
    easel.window.open_painting(tmp_path / "disc")
    easel.press("trace")
    hand = Hand(page_of(easel))
    wider = (circle() - (x, y)) * (radius + 1.0) / radius + (x, y)
    hand.drag(wider)
    assert off_the_circle(kept(easel).lines[0].polyline(0.01)).max() <= 0.3
    easel.press("trace_landmark")
    hand.click((x + radius + 1.0, y))
    page_of(easel).naming.line.setText("widest")
    page_of(easel).naming.accept.click()
    mark = kept(easel).landmarks[0]
    assert off_the_circle(np.array([[mark.x_mm, mark.y_mm]]))[0] <= 0.15
    easel.press("undo", "undo", "trace_follow")
    for turn in (0.0, 0.6, 1.2, 1.8):
        hand.click((x + radius * np.cos(turn * np.pi), y + radius * np.sin(turn * np.pi)))
    assert kept(easel).lines == ()
    hand.click((x + radius, y))
    (round_line,) = kept(easel).lines
    assert round_line.closed
    assert off_the_circle(round_line.polyline(0.01)).max() <= 0.3
    easel.press("undo")
    hand.click((x + radius, y))
    hand.double_click((x, y + radius))
    assert off_the_circle(kept(easel).lines[0].polyline(0.01)).max() <= 0.3
    assert kept(easel).lines[0].length_mm == pytest.approx(np.pi / 2 * radius, abs=1.5)
    easel.press("trace_snap", "trace_pen", "undo")
    hand.drag(wider)
    assert off_the_circle(kept(easel).lines[0].polyline(0.01)).min() > 0.5


def test_with_real_threads_edges_and_suggestions_come_when_they_are_ready(
    qtbot: QtBot, threaded_worker: Worker, tmp_path: Path
) -> None:
    easel = make_easel(qtbot, threaded_worker, tmp_path)
    easel.window.open_painting(bare_painting(tmp_path))
    easel.press("trace")
    easel.press("close")  # before anything is ready
    easel.press("trace", "trace_suggest")
    page = page_of(easel)
    qtbot.waitUntil(lambda: page.board.edges is not None, timeout=20_000)
    qtbot.waitUntil(lambda: bool(page.suggester.offered), timeout=30_000)
    page.foot.take_all.click()
    assert len(kept(easel).lines) == len(page.board.drawing.lines) > 0
    easel.window.close()
