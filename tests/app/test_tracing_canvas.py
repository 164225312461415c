"""What is drawn over the canvas's edge ends there; what is drawn beside the canvas is not drawn."""

from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.tracing.board import OFF_CANVAS
from app.work import Worker
from core.drawing.drawing import Drawing, Line
from tests.app.tracing_case import Hand, kept, page_of, tracing_easel
from tests.app.window_case import SIZE, Easel


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """Seen from so far that there is room about the canvas."""
    made = tracing_easel(qtbot, worker, tmp_path)
    page_of(made).view.sheet.hands.zoomed.emit(0.6, None)
    return made


@pytest.fixture
def hand(easel: Easel) -> Hand:
    return Hand(page_of(easel))


def test_a_stroke_that_leaves_the_canvas_ends_at_its_edge(easel: Easel, hand: Hand) -> None:
    hand.drag([(x, 60.0) for x in range(60, -31, -2)])
    (line,) = kept(easel).lines
    assert line.points[-1, 0] == 0.0
    assert line.points[0] == pytest.approx((60.0, 60.0), abs=0.5)
    assert OFF_CANVAS not in easel.said


def test_a_stroke_out_and_back_is_two_lines_in_one_step(easel: Easel, hand: Hand) -> None:
    hand.drag([*((x, 40.0) for x in range(50, -21, -2)), (-20.0, 60.0), *((x, 80.0) for x in range(-20, 51, 2))])
    assert [line.points[[0, -1], 0].min() for line in kept(easel).lines] == [0.0, 0.0]
    easel.press("undo")
    assert kept(easel).lines == ()


@pytest.mark.parametrize("tool", ["trace_pen", "trace_straight"])
def test_beside_the_canvas_nothing_is_drawn_and_that_is_said(easel: Easel, hand: Hand, tool: str) -> None:
    easel.press(tool)
    hand.drag([(-20.0, 30.0), (-15.0, 50.0), (-20.0, 90.0)])
    assert easel.desk.studio.painting.drawing_svg is None
    assert OFF_CANVAS in easel.said


def test_a_straight_line_is_cut_exactly_at_both_edges(easel: Easel, hand: Hand) -> None:
    easel.press("trace_straight")
    hand.drag([(100.0, -15.0), (100.0, SIZE.height_mm + 15.0)])
    (line,) = kept(easel).lines
    assert line.points[[0, -1], 1].tolist() == [0.0, SIZE.height_mm]


def test_a_node_stays_on_the_canvas_and_a_handle_s_bulge_is_cut(easel: Easel, hand: Hand) -> None:
    page = page_of(easel)
    page.board.commit(Drawing(SIZE, (Line(np.array([[10.0, 40], [10, 60], [10, 80], [10, 100]])),)), "drew a line")
    easel.press("trace_points")
    hand.click((10.0, 70.0))
    hand.drag([(10.0, 40.0), (0.0, 35.0), (-20.0, 30.0)])
    (line,) = kept(easel).lines
    assert line.points[0] == pytest.approx((0.0, 30.0), abs=0.5)
    hand.drag([(0.0, 50.0), (-20.0, 50.0), (-60.0, 60.0)])
    drawing = kept(easel)
    assert all((line.points[::3] >= 0.0).all() for line in drawing.lines)
    assert drawing.lines[-1].points[0, 0] == 0.0
    assert drawing.lines[-1].points[-1] == pytest.approx((10.0, 100.0), abs=0.5)
    assert page.points.chosen is not None


def test_landmarks_and_followed_lines_do_not_begin_beside_the_canvas(easel: Easel, hand: Hand) -> None:
    for tool in ("trace_landmark", "trace_follow"):
        easel.press(tool)
        hand.click((-25.0, 60.0))
        assert OFF_CANVAS in easel.said
        assert page_of(easel).naming.isHidden()
        page_of(easel).board.said.emit("")
