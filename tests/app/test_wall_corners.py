"""Placing the canvas's corners by hand."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.picture import Picture
from app.wall import CornerPlacer
from app.wall.quad import NAMES, inset_corners, is_convex, refusal

from .wall_support import codes

START = np.array([[200.0, 150.0], [1300.0, 180.0], [1250.0, 900.0], [180.0, 860.0]])


def photo() -> Picture:
    """Dark wall, light canvas: a filled quadrangle with the corners of START, drawn by OpenCV."""
    import cv2

    image = np.full((1000, 1500), 70, np.uint8)
    cv2.fillConvexPoly(image, START.astype(np.int32), 190)
    return Picture.from_grey(image)


@pytest.fixture
def placer(qtbot: QtBot) -> CornerPlacer:
    made = CornerPlacer()
    qtbot.addWidget(made)
    made.resize(780, 600)
    made.show()
    made.set_photo(photo(), START)
    qtbot.waitExposed(made)
    made.activateWindow()
    return made


def at(placer: CornerPlacer, x: float, y: float) -> QPoint:
    """Of a photo pixel, on the sheet."""
    return placer.sheet.placed().point(x, y).toPoint()


def drag(placer: CornerPlacer, index: int, *steps: tuple[float, float]) -> None:
    """Grab a handle a little beside its middle, and go through photo pixels."""
    handle = placer.handles[index]
    beside = QPoint(6, -4)
    QTest.mousePress(handle, Qt.MouseButton.LeftButton, pos=handle.rect().center() + beside)
    for step in steps:
        goal = at(placer, *step) + beside
        QTest.mouseMove(handle, handle.mapFromParent(goal))
    QTest.mouseRelease(handle, Qt.MouseButton.LeftButton, pos=handle.rect().center() + beside)


def test_corners_go_in_and_come_out_as_copies(placer: CornerPlacer) -> None:
    given = placer.corners
    np.testing.assert_array_equal(given, START)
    given[:] = 0
    np.testing.assert_array_equal(placer.corners, START)


def test_handles_lie_on_the_corners_of_the_photo(placer: CornerPlacer) -> None:
    for handle, corner in zip(placer.handles, START, strict=True):
        wanted = placer.sheet.placed().point(*corner)
        middle = QPointF(handle.geometry().topLeft()) + QPointF(handle.width() / 2, handle.height() / 2)
        assert (middle - wanted).manhattanLength() < 1.01
        assert min(handle.width(), handle.height()) >= 44
    # The photo's own pixels: outside each corner dark, inside light.
    shot = codes(placer.sheet)
    middle = at(placer, 740, 520)
    assert shot[middle.y(), middle.x()] == 190
    outside = at(placer, 60, 520)
    assert shot[outside.y(), outside.x()] == 70


def test_unknown_corners_start_inside_the_photo(placer: CornerPlacer) -> None:
    placer.set_photo(photo())
    np.testing.assert_allclose(placer.corners, inset_corners(1500, 1000))
    assert is_convex(placer.corners)


def test_dragging_moves_one_corner_and_does_not_jump(placer: CornerPlacer, qtbot: QtBot) -> None:
    told = []
    placer.corners_changed.connect(told.append)
    drag(placer, 2, (1200, 880), (1180.0, 840.0))
    one_screen_px = 1 / placer.sheet.placed().magnification
    np.testing.assert_allclose(placer.corners[2], (1180, 840), atol=1.01 * one_screen_px)
    np.testing.assert_array_equal(placer.corners[[0, 1, 3]], START[[0, 1, 3]])
    np.testing.assert_array_equal(told[-1], placer.corners)
    assert told[-1].dtype == np.float64


def test_a_press_alone_moves_nothing(placer: CornerPlacer) -> None:
    drag(placer, 1)
    np.testing.assert_array_equal(placer.corners, START)


def test_a_finger_drags_too(placer: CornerPlacer) -> None:
    handle, device = placer.handles[0], QTest.createTouchDevice()
    start = handle.rect().center()
    QTest.touchEvent(handle, device).press(0, start, handle).commit()
    goal = handle.mapFromParent(at(placer, 240, 200))
    QTest.touchEvent(handle, device).move(0, goal, handle).commit()
    QTest.touchEvent(handle, device).release(0, handle.rect().center(), handle).commit()
    one_screen_px = 1 / placer.sheet.placed().magnification
    np.testing.assert_allclose(placer.corners[0], (240, 200), atol=1.5 * one_screen_px)
    assert handle.hasFocus()


@pytest.mark.parametrize(
    ("key", "modifier", "moved"),
    [
        (Qt.Key.Key_Right, Qt.KeyboardModifier.NoModifier, (1, 0)),
        (Qt.Key.Key_Up, Qt.KeyboardModifier.NoModifier, (0, -1)),
        (Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier, (-10, 0)),
        (Qt.Key.Key_Down, Qt.KeyboardModifier.ControlModifier, (0, 0.1)),
        (Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier, (0, 0.1)),
    ],
)
def test_arrow_keys_nudge_in_photo_pixels(
    placer: CornerPlacer, key: Qt.Key, modifier: Qt.KeyboardModifier, moved: tuple[float, float]
) -> None:
    placer.choose_corner(3)
    QTest.keyClick(placer.handles[3], key, modifier)
    np.testing.assert_allclose(placer.corners - START, [[0, 0], [0, 0], [0, 0], moved], atol=1e-9)


def test_tab_goes_round_the_corners_in_order_and_on(placer: CornerPlacer, qtbot: QtBot) -> None:
    placer.setFocus()
    qtbot.waitUntil(placer.handles[0].hasFocus)
    for index in (1, 2, 3):
        QTest.keyClick(placer.handles[index - 1], Qt.Key.Key_Tab)
        assert placer.handles[index].hasFocus()
    QTest.keyClick(placer.handles[3], Qt.Key.Key_Backtab)
    assert placer.handles[2].hasFocus()


def test_every_handle_has_a_name_and_says_where_it_is(placer: CornerPlacer) -> None:
    assert [handle.accessibleName() for handle in placer.handles] == [
        "Top left corner of the canvas",
        "Top right corner of the canvas",
        "Bottom right corner of the canvas",
        "Bottom left corner of the canvas",
    ]
    placer.choose_corner(0)
    QTest.keyClick(placer.handles[0], Qt.Key.Key_Right)
    assert "201.0, 150.0" in placer.handles[0].accessibleDescription()


def test_the_focus_can_be_seen(placer: CornerPlacer, qtbot: QtBot) -> None:
    handle = placer.handles[1]
    placer.choose_corner(0)
    qtbot.waitUntil(placer.handles[0].hasFocus)
    without = codes(handle)
    placer.choose_corner(1)
    qtbot.waitUntil(handle.hasFocus)
    assert (np.abs(codes(handle) - without) > 60).sum() > 150


def test_crossing_is_refused_once_with_a_sentence(placer: CornerPlacer) -> None:
    told = []
    placer.refused.connect(told.append)
    drag(placer, 0, (700, 500), (1350, 950), (1380, 980))
    assert is_convex(placer.corners)
    assert len(told) == 1
    assert "top left" in told[0]
    assert told[0].endswith(".")
    drag(placer, 0, (1350, 950))
    assert len(told) == 2


def test_escape_takes_a_drag_back(placer: CornerPlacer) -> None:
    handle = placer.handles[0]
    QTest.mousePress(handle, Qt.MouseButton.LeftButton, pos=handle.rect().center())
    QTest.mouseMove(handle, handle.mapFromParent(at(placer, 300, 300)))
    assert placer.corners[0, 0] > 280
    QTest.keyClick(handle, Qt.Key.Key_Escape)
    np.testing.assert_array_equal(placer.corners, START)
    QTest.mouseRelease(handle, Qt.MouseButton.LeftButton)
    np.testing.assert_array_equal(placer.corners, START)


def test_a_corner_may_lie_a_little_outside_the_photo_but_not_far(placer: CornerPlacer) -> None:
    placer.choose_corner(0)
    for _ in range(200):
        QTest.keyClick(placer.handles[0], Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert placer.corners[0, 0] == -0.25 * 1500


def test_enter_commits_and_bad_corners_are_not_committed(placer: CornerPlacer, qtbot: QtBot) -> None:
    placer.choose_corner(2)
    with qtbot.waitSignal(placer.corners_committed) as done:
        QTest.keyClick(placer.handles[2], Qt.Key.Key_Return)
    np.testing.assert_array_equal(done.args[0], START)
    placer.set_corners(START[[0, 2, 1, 3]])
    with qtbot.waitSignal(placer.refused), qtbot.assertNotEmitted(placer.corners_committed):
        placer.commit()


@pytest.mark.parametrize("wrong", [np.zeros((3, 2)), np.full((4, 2), np.nan), [[1, 2, 3]] * 4])
def test_anything_but_four_points_is_an_error(placer: CornerPlacer, wrong: object) -> None:
    with pytest.raises(ValueError, match="corners"):
        placer.set_corners(wrong)  # type: ignore[arg-type]


def test_the_glass_shows_the_corner_at_single_pixels(placer: CornerPlacer, qtbot: QtBot) -> None:
    """A photo pixel of its own grey under the corner is a square of that grey in the middle of the glass."""
    image = np.full((1000, 1500), 90, np.uint8)
    image[::2, ::2] = 120
    image[150, 200] = 251
    placer.set_photo(Picture.from_grey(image), START)
    placer.set_magnification(8)
    placer.choose_corner(0)
    qtbot.waitUntil(placer.handles[0].hasFocus)
    glass = placer.magnifier
    assert glass.isVisible()
    shot = codes(glass)
    white = np.argwhere(shot == 251)
    assert len(white) > 20
    assert np.ptp(white, axis=0).max() < 8
    assert white.mean(axis=0) + 0.5 == pytest.approx((glass.height() / 2, glass.width() / 2), abs=3)


def test_the_glass_stays_out_of_the_way(placer: CornerPlacer, qtbot: QtBot) -> None:
    for index in range(4):
        placer.choose_corner(index)
        qtbot.waitUntil(placer.handles[index].hasFocus)
        assert not placer.magnifier.geometry().intersects(placer.handles[index].geometry())
        assert placer.sheet.rect().contains(placer.magnifier.geometry())
    handle = placer.handles[0]
    QTest.mousePress(handle, Qt.MouseButton.LeftButton, pos=handle.rect().center())
    for x in range(200, 1200, 50):
        QTest.mouseMove(handle, handle.mapFromParent(at(placer, x, 170)))
        centre = handle.geometry().center()
        assert not placer.magnifier.geometry().contains(centre)
    QTest.mouseRelease(handle, Qt.MouseButton.LeftButton)


def test_magnification_is_four_to_eight(placer: CornerPlacer) -> None:
    for asked, given in ((1, 4), (5, 5), (20, 8)):
        placer.set_magnification(asked)
        assert placer.magnifier.times == given


def test_zooming_with_the_keys_stays_at_the_corner(placer: CornerPlacer) -> None:
    placer.choose_corner(1)
    before = placer.sheet.placed().point(*START[1])
    QTest.keyClick(placer.handles[1], Qt.Key.Key_Plus)
    after = placer.sheet.placed().point(*START[1])
    assert (after.x(), after.y()) == pytest.approx((before.x(), before.y()), abs=1e-6)
    for _ in range(30):
        QTest.keyClick(placer.handles[1], Qt.Key.Key_Plus)
    assert placer.sheet.placed().magnification == pytest.approx(32)
    QTest.keyClick(placer.handles[1], Qt.Key.Key_0)
    assert placer.sheet.placed().point(0, 0).x() >= 47


def test_nudged_out_of_sight_the_photo_follows(placer: CornerPlacer) -> None:
    placer.choose_corner(1)
    for _ in range(12):
        QTest.keyClick(placer.handles[1], Qt.Key.Key_Plus)
    for _ in range(12):
        QTest.keyClick(placer.handles[1], Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert placer.sheet.rect().contains(at(placer, *placer.corners[1]))


def test_space_drags_the_photo_even_from_a_handle(placer: CornerPlacer) -> None:
    placer.choose_corner(0)
    for _ in range(3):
        QTest.keyClick(placer.handles[0], Qt.Key.Key_Plus)
    QTest.keyPress(placer.handles[0], Qt.Key.Key_Space)
    before = placer.sheet.placed().point(*START[0])
    handle = placer.handles[0]
    start = handle.rect().center()
    QTest.mousePress(handle, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(handle, start + QPoint(50, 30))
    QTest.mouseRelease(handle, Qt.MouseButton.LeftButton, pos=start)
    QTest.keyRelease(handle, Qt.Key.Key_Space)
    np.testing.assert_array_equal(placer.corners, START)
    assert placer.sheet.placed().point(*START[0]).x() != before.x()


def test_the_edges_can_be_seen_on_black_and_on_white(placer: CornerPlacer) -> None:
    for ground in (0, 255, 128):
        placer.set_photo(Picture.from_grey(np.full((1000, 1500), ground, np.uint8)), START)
        shot = codes(placer.sheet)
        at_edge = at(placer, 740, 165)
        column = shot[at_edge.y() - 8 : at_edge.y() + 8, at_edge.x()]
        assert np.abs(column - ground).max() > 90


def test_another_rendering_keeps_corners_and_sight(placer: CornerPlacer) -> None:
    placer.choose_corner(0)
    QTest.keyClick(placer.handles[0], Qt.Key.Key_Plus)
    sight = placer.sheet.sight
    placer.show_picture(Picture.from_grey(np.full((1000, 1500), 33, np.uint8)))
    assert placer.sheet.sight == sight
    np.testing.assert_array_equal(placer.corners, START)


def test_before_a_photo_is_given_nothing_fails(qtbot: QtBot) -> None:
    placer = CornerPlacer()
    qtbot.addWidget(placer)
    placer.show()
    placer.fit()
    QTest.keyClick(placer, Qt.Key.Key_Plus)
    assert not any(handle.isVisible() for handle in placer.handles)


@pytest.mark.parametrize(
    ("corners", "convex"),
    [
        (START, True),
        (START[::-1], False),
        (START[[0, 2, 1, 3]], False),
        (np.array([[0, 0], [10, 0], [3, 3], [0, 10]], float), False),
        (np.array([[0, 0], [10, 0], [20, 0], [0, 10]], float), False),
    ],
)
def test_which_quadrangles_are_convex(corners: np.ndarray, convex: bool) -> None:
    assert is_convex(corners) is convex


def test_corners_on_top_of_each_other_are_refused_by_name() -> None:
    close = START.copy()
    close[1] = START[0] + (5, 5)
    assert "top right" in refusal(close, 1)
    assert refusal(START, 1) == ""
    assert NAMES == ("top left", "top right", "bottom right", "bottom left")
