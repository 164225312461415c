"""Where the drawing lies over a live frame: on the canvas as it is now, though the frame stays where it hangs."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from app.live.hung import STANDS_AFTER, Hanger, SeenAcetate
from app.live.line_buffer import LineBuffer
from app.live.making import Shot
from app.picture import painted, qimage_from_srgb
from app.wall.acetate import Acetate
from app.wall.sight import Placed, Sight
from core.canvas.canvas_map import CanvasMap
from core.drawing.drawing import Drawing, Landmark, Line
from tests.app.live_case import CORNERS, HEIGHT, WIDTH, followed, frame
from tests.app.wall_support import image_codes
from tests.app.window_case import SIZE

ROOM = QRectF(0, 0, 500, 400)
MOVED = np.array([9.0, -6.0])
DRAWING = Drawing(SIZE, (Line(np.array([[40.0, 20], [40, 60], [40, 90], [40, 130]])),), (Landmark("eye", 120.0, 60.0),))


def shot(corners: np.ndarray = CORNERS, k1: float = 0.0) -> Shot:
    shown = frame()
    place = replace(followed(corners=corners), k1=k1)
    return Shot(qimage_from_srgb(shown.codes), False, shown, place, 0.0)


def acetate() -> Acetate:
    return Acetate.of(DRAWING, weight_mm=1.0)


def seen(hanger: Hanger, given: Shot) -> tuple[SeenAcetate, Placed]:
    """The lines, and how the frame lies on the screen."""
    hanging = hanger.hanging(given, "Live", acetate())
    (lines,) = hanging.overlays
    assert isinstance(lines, SeenAcetate)
    return lines, Placed(hanging.mapping, Sight(95.0, 80.0, 1.7), ROOM)


@pytest.mark.parametrize("k1", [0.0, -0.08])
@pytest.mark.parametrize("moved", [(0.0, 0.0), (9.0, -6.0)], ids=["still", "moved"])
def test_lines_lie_on_the_canvas_of_this_frame(k1: float, moved: tuple[float, float]) -> None:
    hanger = Hanger(SIZE)
    hanger.hanging(shot(k1=k1), "Live", acetate())  # the frame hangs by this one
    corners = CORNERS + moved
    lines, placed = seen(hanger, shot(corners, k1))
    there = lines._there(placed)
    truth = CanvasMap(corners, SIZE, WIDTH, HEIGHT, k1)
    for x, y in ((0.0, 0.0), (40.0, 90.0), (200.0, 150.0)):
        pixel = truth.mm_to_px(np.array([x, y])) + 0.5
        wanted = placed.picture_to_screen.map(QPointF(*pixel.tolist()))
        got = there.point(x, y)
        assert abs(got.x() - wanted.x()) + abs(got.y() - wanted.y()) < 1e-3


def test_the_frame_stays_where_it_hangs_until_the_canvas_is_elsewhere() -> None:
    hanger = Hanger(SIZE)
    first = hanger.hanging(shot(), "Live", None).mapping
    assert hanger.hanging(shot(CORNERS + 20.0), "Live", None).mapping is first
    assert hanger.hanging(shot(CORNERS + 40.0), "Live", None).mapping is not first


def test_a_canvas_at_rest_keeps_its_lines_and_one_that_moves_gets_plain_ones() -> None:
    hanger = Hanger(SIZE)
    found = [seen(hanger, shot(CORNERS + 0.05 * (number % 2)))[0] for number in range(STANDS_AFTER + 1)]
    assert len({id(each.seen) for each in found}) == 1
    assert [each.moving for each in found] == [True] * STANDS_AFTER + [False]
    assert seen(hanger, shot(CORNERS + 2.0))[0].moving


@pytest.mark.parametrize("moving", [True, False], ids=["plainly", "with care"])
def test_lines_are_painted_where_the_canvas_is(qapp: QApplication, moving: bool) -> None:
    hanger = Hanger(SIZE)
    hanger.hanging(shot(), "Live", acetate())
    lines, placed = seen(hanger, shot(CORNERS + MOVED))
    lines = replace(lines, moving=moving)

    def paint(painter: QPainter) -> None:
        painter.fillRect(ROOM, Qt.GlobalColor.gray)
        lines.paint(painter, placed)

    codes = image_codes(painted(500, 400, 1.0, paint))
    truth = CanvasMap(CORNERS + MOVED, SIZE, WIDTH, HEIGHT)
    for place in ((40.0, 50.0), (40.0, 110.0)):
        pixel = truth.mm_to_px(np.array(place)) + 0.5
        at = placed.picture_to_screen.map(QPointF(*pixel.tolist()))
        row = codes[round(at.y()), round(at.x()) - 12 : round(at.x()) + 13]
        assert abs(int(row.argmin()) - 12) <= 1  # the dark line, within a light rim
        assert row.min() < 60
        assert row.max() > 200
    ring = truth.mm_to_px(np.array([120.0, 60.0])) + 0.5
    at = placed.picture_to_screen.map(QPointF(*ring.tolist()))
    about = codes[round(at.y()) - 9 : round(at.y()) + 10, round(at.x()) - 9 : round(at.x()) + 10]
    assert about.min() < 60


def test_corners_that_cannot_be_a_canvas_show_the_frame_alone() -> None:
    hanger = Hanger(SIZE)
    crossed = CORNERS[[0, 2, 1, 3]]
    hanging = hanger.hanging(shot(crossed), "Live", acetate())
    assert hanging.overlays == ()
    assert not hanging.is_measured


def test_a_frame_in_which_nothing_is_followed_is_shown_whole() -> None:
    shown = frame()
    given = Shot(QImage(qimage_from_srgb(shown.codes)), False, shown, None, 0.0)
    mapping = Hanger(SIZE).hanging(given, "Live", acetate()).mapping
    assert np.allclose(mapping.to_mm([[WIDTH / 2, HEIGHT / 2]]), [[SIZE.width_mm / 2, SIZE.height_mm / 2]])
    low, high = mapping.to_mm([[0, 0], [WIDTH, HEIGHT]])
    assert (high - low <= (SIZE.width_mm + 1e-6, SIZE.height_mm + 1e-6)).all()


def test_lines_follow_what_is_written_for_them() -> None:
    room = LineBuffer(3)
    first = room.lines(np.array([[1.0, 2.0, 3.0, 4.0], [5.0, 6.0, 7.0, 8.0]]))
    assert [each.toTuple() for each in first] == [(1, 2, 3, 4), (5, 6, 7, 8)]
    again = room.lines(np.array([[9.0, 10.0, 11.0, 12.0]]))
    assert [each.toTuple() for each in again] == [(9, 10, 11, 12)]
    assert room.lines(np.empty((0, 4))) == []
