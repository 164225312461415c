"""The wall: one zoom, one pan, one pointer for all that hangs."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app import look
from app.picture import Picture
from app.wall import Hanging, Legend, Mapping, Sight, WallView
from app.wall.pane import Pane
from core.size import Size

from .wall_support import (
    FLAT,
    PX_PER_MM,
    SIZE,
    codes,
    hanging,
    hover,
    leave,
    marked,
    mm_under,
    panes,
    plain,
    wall_of_two,
)


@pytest.fixture
def wall(qtbot: QtBot) -> WallView:
    return wall_of_two(qtbot)


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
    wall.resize(1401, 600)
    one, other = (pane.geometry() for pane in panes(wall))
    assert one.top() == other.top()
    assert one.right() < other.left()
    assert one.size() == other.size()
    wall.resize(600, 1401)
    one, other = (pane.geometry() for pane in panes(wall))
    assert one.left() == other.left()
    assert one.bottom() < other.top()
    assert one.size() == other.size()


def test_a_small_window_still_works(wall: WallView) -> None:
    wall.resize(wall.minimumSizeHint())
    wall.grab()
    wall.resize(60, 40)
    wall.grab()


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
        leave(wall.sheets[0])
    for before_codes, pane in zip(before, panes(wall), strict=True):
        np.testing.assert_array_equal(codes(pane.sheet), before_codes)


def test_a_point_of_the_canvas_lies_where_its_picture_shows_it(wall: WallView) -> None:
    wall.hang([hanging("Reference", marked(123, 77))])
    for zoom in (1, 5):
        wall.look_at(Sight(130, 90, wall.sight.zoom * zoom))
        sheet = panes(wall)[0].sheet
        white = np.argwhere(codes(sheet) > 200)
        at = sheet.placed().point(123, 77)
        assert (white.mean(axis=0) + 0.5) == pytest.approx((at.y(), at.x()), abs=0.75)


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
    codes_flat = np.full((1500, 2000), 120, np.uint8)
    codes_flat[375:395, 605:625] = 255
    onto = np.array([[300, 250], [2100, 180], [2200, 1600], [250, 1500]], np.float32)
    corners = np.array([[0, 0], [400, 0], [400, 300], [0, 300]], np.float32)
    homography = cv2.getPerspectiveTransform(corners, onto)
    to_photo = homography @ np.array([[0.2, 0, 0.1], [0, 0.2, 0.1], [0, 0, 1]])
    photo = cv2.warpPerspective(codes_flat, to_photo, (2400, 1800))
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
    leave(flat_sheet)
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
