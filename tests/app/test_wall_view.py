"""The wall: one zoom, one pan, one pointer for all that hangs."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import look
from app.wall import Acetate, Hanging, Legend, Mapping, Sight, WallView
from app.wall.pane import Pane
from core.size import Size

from .wall_support import FLAT, PX_PER_MM, SIZE, codes, drawing, hanging, hover, marked, plain


@pytest.fixture
def wall(qtbot: QtBot) -> WallView:
    made = WallView(SIZE)
    qtbot.addWidget(made)
    made.resize(1200, 700)
    made.hang([hanging("Reference", plain(200)), hanging("Canvas photo", plain(60))])
    made.show()
    qtbot.waitExposed(made)
    return made


def panes(wall: WallView) -> list[Pane]:
    return [sheet.parentWidget() for sheet in wall.sheets]  # type: ignore[misc]


def wheel(wall: WallView, which: int, at: QPointF, notches: float) -> None:
    sheet = wall.sheets[which]
    delta = QPoint(0, round(120 * notches))
    event = QWheelEvent(
        at, QPointF(sheet.mapToGlobal(at.toPoint())), QPoint(), delta, Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(sheet, event)


def mm_under(wall: WallView, which: int, at: QPointF) -> tuple[float, float]:
    mm = panes(wall)[which].sheet.placed().mm_at(at)
    assert mm is not None
    return mm


def test_the_whole_canvas_is_shown_and_stays_so_when_resized(wall: WallView) -> None:
    for size in ((1200, 700), (700, 900), (1600, 500)):
        wall.resize(*size)
        assert wall.is_fitted
        for pane in panes(wall):
            corners = pane.sheet.placed().points([[0, 0], [400, 300]])
            assert corners.min() >= 9.99
            assert (corners[1] <= (pane.sheet.width() - 9.99, pane.sheet.height() - 9.99)).all()


def test_the_fit_is_right_before_anything_is_shown(qtbot: QtBot) -> None:
    wall = WallView(SIZE)
    qtbot.addWidget(wall)
    wall.resize(1200, 700)
    wall.hang([hanging("Reference", plain(200))])
    before = wall.sight
    assert before.zoom * 300 == pytest.approx(wall.sheets[0].height() - 20)
    wall.show()
    qtbot.waitExposed(wall)
    assert wall.sight == before


def test_side_by_side_when_wide_stacked_when_tall(wall: WallView) -> None:
    wall.resize(1400, 600)
    one, other = (pane.geometry() for pane in panes(wall))
    assert one.top() == other.top()
    assert one.right() < other.left()
    wall.resize(600, 1400)
    one, other = (pane.geometry() for pane in panes(wall))
    assert one.left() == other.left()
    assert one.bottom() < other.top()


def test_a_small_window_still_works(wall: WallView) -> None:
    wall.resize(wall.minimumSizeHint())
    wall.grab()
    wall.resize(60, 40)
    wall.grab()


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


def test_the_pointer_is_at_the_same_millimetre_everywhere(wall: WallView, qtbot: QtBot) -> None:
    before = [codes(sheet) for sheet in wall.sheets]
    at = QPointF(210, 300)
    with qtbot.waitSignal(wall.pointer_moved) as moved:
        hover(wall.sheets[0], at)
    x_mm, y_mm, which = moved.args
    assert which == 0
    assert (x_mm, y_mm) == pytest.approx(mm_under(wall, 0, at))
    for before_codes, pane in zip(before, panes(wall), strict=True):
        changed = np.argwhere(codes(pane.sheet) != before_codes)
        assert 100 < len(changed) < 1000
        here = pane.sheet.placed().point(x_mm, y_mm)
        middle = (changed.min(axis=0) + changed.max(axis=0)) / 2
        assert middle == pytest.approx((here.y(), here.x()), abs=1.5)
    with qtbot.waitSignal(wall.pointer_left):
        QApplication.sendEvent(wall.sheets[0], _leave())
    for before_codes, pane in zip(before, panes(wall), strict=True):
        np.testing.assert_array_equal(codes(pane.sheet), before_codes)


def _leave() -> object:
    from PySide6.QtCore import QEvent

    return QEvent(QEvent.Type.Leave)


def test_a_point_of_the_canvas_lies_where_its_picture_shows_it(wall: WallView) -> None:
    wall.hang([hanging("Reference", marked(123, 77))])
    for zoom in (1, 5):
        wall.look_at(Sight(130, 90, wall.sight.zoom * zoom))
        sheet = panes(wall)[0].sheet
        white = np.argwhere(codes(sheet) > 200)
        at = sheet.placed().point(123, 77)
        assert (white.mean(axis=0) + 0.5) == pytest.approx((at.y(), at.x()), abs=0.75)


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
    from PySide6.QtGui import QKeySequence, QShortcut

    heard = []
    for keys in ("G", "Ctrl+0"):
        QShortcut(QKeySequence(keys), wall, lambda k=keys: heard.append(k))
    wall.activateWindow()
    panes(wall)[0].setFocus()
    qtbot.waitUntil(panes(wall)[0].hasFocus)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_G)
    QTest.keyClick(panes(wall)[0], Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    assert heard == ["G", "Ctrl+0"]


def test_going_to_a_place_comes_closer_and_rings_it(wall: WallView, qtbot: QtBot) -> None:
    wall.go_to(90, 220, 30)
    assert (wall.sight.x_mm, wall.sight.y_mm) == (90, 220)
    sheet = panes(wall)[0].sheet
    assert wall.sight.zoom == pytest.approx(min(sheet.width(), sheet.height()) / 3 / 30)
    qtbot.wait(1700)
    ringed = codes(sheet)
    wall.clear_place()
    changed = np.argwhere(codes(sheet) != ringed)
    radius = np.linalg.norm(changed + 0.5 - (sheet.height() / 2, sheet.width() / 2), axis=1)
    assert radius.mean() == pytest.approx(15 * wall.sight.zoom, abs=2)
    assert radius.max() - radius.min() < 10


def test_a_large_place_is_seen_whole_but_not_from_further_than_the_whole_canvas(wall: WallView) -> None:
    fit = wall.sight.zoom
    wall.go_to(200, 150, 900)
    assert wall.sight.zoom == fit
    wall.clear_place()


def test_rehanging_keeps_the_sight(wall: WallView) -> None:
    wall.zoom_by(5)
    wall.pan_by(30, 40)
    before = wall.sight
    wall.rehang(0, replace(wall.hangings[0], picture=plain(10)))
    assert wall.sight == before
    assert codes(wall.sheets[0])[200, 200] == 10
    wall.hang([*wall.hangings, hanging("Value steps", plain(128))])
    assert len(wall.sheets) == 3
    assert (wall.sight.x_mm, wall.sight.y_mm) == (before.x_mm, before.y_mm)


def test_nothing_hung_says_so(qtbot: QtBot) -> None:
    wall = WallView(SIZE)
    qtbot.addWidget(wall)
    wall.resize(600, 400)
    wall.set_empty_text("Bring in a canvas photo.")
    shot = codes(wall)
    assert (shot < 60).sum() > 100
    assert wall.accessibleDescription() == "" or "canvas photo" in wall.accessibleDescription()
    for act in (
        wall.fit,
        wall.clear_place,
        lambda: wall.zoom_by(2),
        lambda: wall.pan_by(1, 1),
        lambda: wall.blink(True),
    ):
        act()
    QTest.keyClick(wall, Qt.Key.Key_Plus)
    wall.hang([])


def test_at_most_three(wall: WallView) -> None:
    with pytest.raises(ValueError, match="at most 3"):
        wall.hang([wall.hangings[0]] * 4)


def test_a_photo_as_shot_shares_the_pointer(wall: WallView, qtbot: QtBot) -> None:
    """The photo holds a white square about (123, 77) mm, put there by OpenCV; the pointer over the square in the flat
    picture shows over it in the photo."""
    import cv2

    codes_flat = np.full((1500, 2000), 120, np.uint8)
    codes_flat[375:395, 605:625] = 255
    onto = np.array([[300, 250], [2100, 180], [2200, 1600], [250, 1500]], np.float32)
    corners = np.array([[0, 0], [400, 0], [400, 300], [0, 300]], np.float32)
    homography = cv2.getPerspectiveTransform(corners, onto)
    to_photo = homography @ np.array([[0.2, 0, 0.1], [0, 0.2, 0.1], [0, 0, 1]])
    photo = cv2.warpPerspective(codes_flat, to_photo, (2400, 1800))
    from app.picture import Picture

    shot = Hanging("As shot", Picture.from_grey(photo), Mapping.as_shot(homography, SIZE))
    wall.hang([hanging("Reference", plain(120)), shot])
    wall.zoom_by(1.5)
    sheet = panes(wall)[1].sheet
    white = np.argwhere(codes(sheet) > 200)
    at = sheet.placed().point(123, 77)
    assert (white.mean(axis=0) + 0.5) == pytest.approx((at.y(), at.x()), abs=1.0)
    flat_sheet = panes(wall)[0].sheet
    hover(flat_sheet, flat_sheet.placed().point(123, 77))
    blank = codes(sheet)
    QApplication.sendEvent(flat_sheet, _leave())
    changed = np.argwhere(codes(sheet) != blank)
    assert ((changed.min(axis=0) + changed.max(axis=0)) / 2) == pytest.approx((at.y(), at.x()), abs=1.5)


def test_the_scale_bar_is_in_the_first_flat_hanging(wall: WallView) -> None:
    def foot(pane: Pane) -> int:
        return int((codes(pane)[-pane.foot_height() :] < 60).sum())

    assert foot(panes(wall)[0]) > 100
    assert foot(panes(wall)[1]) == 0
    with pytest.raises(ValueError, match="mm, cm, in"):
        wall.set_unit("ell")


def test_a_legend_is_painted_and_spoken(wall: WallView) -> None:
    stops = tuple((look.neutral(float(v)), label) for v, label in ((2, "darker"), (5, "right"), (8, "lighter")))
    wall.rehang(1, replace(wall.hangings[1], legend=Legend(stops, "value")))
    assert panes(wall)[1].accessibleDescription() == "value: darker, right, lighter"
    foot = codes(panes(wall)[1])[-panes(wall)[1].foot_height() :]
    for colour, _ in stops:
        assert (foot == colour.green()).sum() > 12 * 30


def test_another_canvas_is_fitted(wall: WallView) -> None:
    wall.zoom_by(3)
    wall.set_canvas(Size(200, 150))
    assert wall.is_fitted
    assert (wall.sight.x_mm, wall.sight.y_mm) == (100, 75)


def test_view_changed_is_told_once_and_only_for_a_change(wall: WallView) -> None:
    told = []
    wall.view_changed.connect(lambda: told.append(wall.sight))
    wall.fit()
    assert told == []
    wall.zoom_by(2)
    assert len(told) == 1
    assert FLAT.px_per_mm == PX_PER_MM


def test_panes_are_named_for_those_who_hear_the_window(wall: WallView) -> None:
    assert [pane.accessibleName() for pane in panes(wall)] == ["Reference", "Canvas photo"]
    assert wall.accessibleName() == "Wall"
    assert wall.accessibleDescription() == "Reference, Canvas photo"
