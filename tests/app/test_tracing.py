"""Tracing as a painter does: drawn, taken back, rubbed out, named, left, and there again when opened anew."""

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.wall.kinds import INNER_FORM, SHADOW_EDGE
from app.work import Worker
from core.drawing.drawing import Drawing, Line
from core.drawing.svg_write import drawing_to_svg
from core.painting import Painting
from tests.app.tracing_case import CIRCLE_MM, Hand, circle, kept, off_the_circle, page_of, tracing_easel
from tests.app.window_case import SIZE, Easel, make_easel, make_painting


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    """The tracing page of a painting that has no drawing yet, with snapping off."""
    return tracing_easel(qtbot, worker, tmp_path)


@pytest.fixture
def hand(easel: Easel) -> Hand:
    return Hand(page_of(easel))


def test_a_circle_drawn_with_the_mouse_becomes_one_smooth_closed_line(easel: Easel, hand: Hand) -> None:
    hand.drag(circle())
    (line,) = kept(easel).lines
    assert line.closed
    assert line.layer == "contour"
    assert off_the_circle(line.polyline(0.01)).max() <= 0.3
    assert len(line.points) <= 3 * 8 + 1


def test_undo_and_redo_without_end_give_back_what_was_there(easel: Easel, hand: Hand) -> None:
    painting = easel.desk.studio.painting
    versions = [painting.drawing_svg]
    for row in range(5):
        hand.drag([(20.0, 20.0 + 10 * row), (60.0, 22.0 + 10 * row), (90.0, 20.0 + 10 * row)])
        versions.append(painting.drawing_svg)
    for version in reversed(versions[:-1]):
        assert painting.can_undo == "drew a line"
        easel.press("undo")
        assert painting.drawing_svg == version
        shown = page_of(easel).board.drawing
        assert (drawing_to_svg(shown) if version else shown.lines) == (version or ())
    for version in versions[1:]:
        easel.press("redo")
        assert painting.drawing_svg == version
    assert len(page_of(easel).board.drawing.lines) == 5


def test_a_stroke_begun_can_be_taken_back_with_escape(easel: Easel, hand: Hand) -> None:
    hand.drag(circle(), lift=False)
    QTest.keyClick(page_of(easel).view, Qt.Key.Key_Escape)
    QTest.mouseRelease(hand.sheet, Qt.MouseButton.LeftButton, pos=QPoint(10, 10))
    assert kept(easel).lines == ()
    assert easel.desk.placing.is_tracing


def test_a_slip_of_the_hand_draws_nothing(easel: Easel, hand: Hand) -> None:
    hand.click((50.0, 50.0))
    assert easel.desk.studio.painting.drawing_svg is None


def test_straight_lines_are_straight_and_with_shift_level(easel: Easel, hand: Hand) -> None:
    easel.press("trace_straight")
    hand.drag([(20.0, 30.0), (80.0, 60.0), (120.0, 90.0)])
    (line,) = kept(easel).lines
    assert len(line.points) == 4
    assert line.points[[0, -1]] == pytest.approx(np.array([[20.0, 30.0], [120.0, 90.0]]), abs=0.2)
    tool = page_of(easel).straight
    at = [hand.sheet.placed().point(*place) for place in ((20.0, 120.0), (90.0, 124.0))]
    tool.press(at[0], double=False, shift=False)
    tool.drag(at[1], shift=True)
    tool.release(at[1])
    level = kept(easel).lines[-1].points
    assert level[0, 1] == pytest.approx(level[-1, 1], abs=1e-3)


def test_the_eraser_opens_the_circle_and_undo_closes_it(easel: Easel, hand: Hand) -> None:
    hand.drag(circle())
    length = kept(easel).length_mm
    easel.press("trace_eraser")
    x, y, radius = CIRCLE_MM
    hand.drag([(x + radius - 5, y), (x + radius, y), (x + radius + 5, y)])
    (line,) = kept(easel).lines
    assert not line.closed
    assert line.length_mm == pytest.approx(length - 2 * page_of(easel).eraser.radius_mm, abs=0.3)
    easel.press("undo")
    assert kept(easel).lines[0].closed


def test_the_eraser_s_brush_has_sizes(easel: Easel, hand: Hand) -> None:
    easel.press("trace_eraser")
    page = page_of(easel)
    assert page.foot.brush.isVisible()
    before = page.eraser.radius_mm
    page.foot.brush.more.click()
    assert page.eraser.radius_mm == 2 * before
    for _ in range(10):
        if page.foot.brush.less.isEnabled():
            page.foot.brush.less.click()
    assert page.eraser.radius_mm == 0.5
    assert not page.foot.brush.less.isEnabled()


def test_kinds_of_line_are_drawn_and_a_chosen_line_changes_its_kind(easel: Easel, hand: Hand) -> None:
    page = page_of(easel)
    page.bar.kinds[INNER_FORM].click()
    hand.drag([(20.0, 20.0), (60.0, 25.0), (100.0, 20.0)])
    easel.press("trace_kind")
    hand.drag([(20.0, 60.0), (60.0, 65.0), (100.0, 60.0)])
    assert [line.layer for line in kept(easel).lines] == ["inner form", "shadow edge"]
    easel.press("trace_points")
    hand.click((60.0, 22.5))
    chosen = page.points.chosen
    assert chosen is not None
    page.bar.kinds[SHADOW_EDGE].click()
    assert [line.layer for line in kept(easel).lines] == ["shadow edge", "shadow edge"]
    assert easel.desk.studio.painting.can_undo == "made a line a shadow edge"
    assert page.points.chosen == chosen


def draw_angle(easel: Easel) -> None:
    """Two straight sides, (20, 20) to (80, 20) to (80, 80)."""
    line = Line.through(np.array([[20.0, 20.0], [80.0, 20.0], [80.0, 80.0]]))
    page_of(easel).board.commit(Drawing(SIZE, (line,)), "drew a line")


def test_a_node_is_dragged_and_straight_sides_stay_straight(easel: Easel, hand: Hand) -> None:
    draw_angle(easel)
    easel.press("trace_points")
    hand.click((50.0, 20.0))
    hand.drag([(80.0, 20.0), (90.0, 20.0), (100.0, 30.0)])
    (line,) = kept(easel).lines
    assert line.points[3] == pytest.approx((100.0, 30.0), abs=0.2)
    assert line.points[[0, 6]] == pytest.approx(np.array([[20.0, 20.0], [80.0, 80.0]]))
    assert len(line.polyline()) == 3
    assert easel.desk.studio.painting.can_undo == "moved a point"


def test_a_node_is_put_in_and_taken_out_by_double_clicks(easel: Easel, hand: Hand) -> None:
    draw_angle(easel)
    easel.press("trace_points")
    hand.double_click((50.0, 20.0))
    assert len(kept(easel).lines[0].points) == 10
    hand.double_click((50.0, 20.0))
    assert len(kept(easel).lines[0].points) == 7
    page_of(easel).points.remove_line()
    assert kept(easel).lines == ()


def test_a_point_and_a_line_are_taken_away_by_buttons_alone(easel: Easel, hand: Hand) -> None:
    draw_angle(easel)
    easel.press("trace_points")
    foot = page_of(easel).foot
    assert not foot.remove.isEnabled()
    hand.click((50.0, 20.0))
    assert foot.remove.isEnabled()
    assert not foot.take_out.isEnabled()
    hand.click((80.0, 20.0))
    foot.take_out.click()
    assert len(kept(easel).lines[0].points) == 4
    foot.remove.click()
    assert kept(easel).lines == ()
    assert not foot.remove.isEnabled()


def test_delete_takes_out_the_chosen_node_then_the_line(easel: Easel, hand: Hand) -> None:
    draw_angle(easel)
    easel.press("trace_points")
    hand.click((50.0, 20.0))
    hand.click((80.0, 20.0))
    QTest.keyClick(page_of(easel).view, Qt.Key.Key_Delete)
    assert len(kept(easel).lines[0].points) == 4
    QTest.keyClick(page_of(easel).view, Qt.Key.Key_Delete)
    assert kept(easel).lines == ()


def test_an_end_dragged_onto_an_end_joins_them(easel: Easel, hand: Hand) -> None:
    draw_angle(easel)
    easel.press("trace_points")
    hand.click((50.0, 20.0))
    hand.drag([(80.0, 80.0), (60.0, 60.0), (21.0, 21.0)])
    (line,) = kept(easel).lines
    assert line.closed
    assert easel.desk.studio.painting.can_undo == "closed a line"


def test_a_landmark_is_named_from_what_is_suggested_moved_renamed_and_taken_away(easel: Easel, hand: Hand) -> None:
    easel.press("trace_landmark")
    naming = page_of(easel).naming
    hand.click((60.0, 40.0))
    assert naming.isVisible()
    QTest.keyClicks(naming.line, "eye's out")
    suggested = [each for each in naming.suggestions if each.isVisible()]
    assert "left eye's outer corner" in [each.text() for each in suggested]
    suggested[0].click()
    (mark,) = kept(easel).landmarks
    assert mark.name == suggested[0].text()
    assert (mark.x_mm, mark.y_mm) == pytest.approx((60.0, 40.0), abs=0.2)

    hand.drag([(60.0, 40.0), (70.0, 50.0), (80.0, 60.0)])
    moved = kept(easel).landmarks[0]
    assert (moved.x_mm, moved.y_mm) == pytest.approx((80.0, 60.0), abs=0.3)

    hand.click((80.0, 60.0))
    naming.line.setText("whiskers")
    QTest.keyClick(naming.line, Qt.Key.Key_Return)
    assert [each.name for each in kept(easel).landmarks] == ["whiskers"]

    hand.click((80.0, 60.0))
    naming.remove.click()
    assert kept(easel).landmarks == ()
    assert easel.desk.studio.painting.can_undo == "took away the landmark “whiskers”"


def test_a_name_that_is_there_already_is_said_and_asked_again(easel: Easel, hand: Hand) -> None:
    easel.press("trace_landmark")
    naming = page_of(easel).naming
    for place in ((60.0, 40.0), (90.0, 90.0)):
        hand.click(place)
        naming.line.setText("nose")
        QTest.keyClick(naming.line, Qt.Key.Key_Return)
    assert naming.isVisible()
    assert "already" in naming.trouble.text()
    naming.back.click()
    assert naming.isHidden()
    assert len(kept(easel).landmarks) == 1


def test_all_is_there_when_the_painting_is_opened_again(easel: Easel, hand: Hand) -> None:
    hand.drag(circle())
    easel.press("trace_landmark")
    hand.click((60.0, 40.0))
    page_of(easel).naming.line.setText("nose")
    page_of(easel).naming.accept.click()
    before = drawing_to_svg(kept(easel))
    page_of(easel).bar.done_button.click()
    assert not easel.desk.placing.is_away
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    with Painting.open(folder) as painting:
        assert painting.drawing_svg == before
    easel.window.open_painting(folder)
    assert len(easel.desk.studio.drawing.lines) == 1
    assert easel.desk.studio.drawing.landmarks[0].name == "nose"
    easel.press("trace")
    assert page_of(easel).board.drawing.lines == easel.desk.studio.drawing.lines


def test_the_panel_and_the_key_lead_to_tracing_and_done_leads_back(easel: Easel, qtbot: QtBot) -> None:
    page_of(easel).bar.done_button.click()
    easel.press("question_drawing")
    panel = easel.desk.side.drawing
    assert "Trace it here" in panel.about.text()
    panel.trace.click()
    assert easel.desk.placing.is_tracing
    QTest.keyClick(page_of(easel).view, Qt.Key.Key_Escape)
    assert not easel.desk.placing.is_away


def test_the_acetate_offers_tracing_where_there_is_no_drawing(easel: Easel) -> None:
    easel.press("close", "acetate")
    assert "no line drawing yet" in easel.said
    easel.offer("Trace lines")
    assert easel.desk.placing.is_tracing


def test_tracing_tools_rest_on_the_wall_and_the_wall_s_keys_rest_while_tracing(easel: Easel) -> None:
    hung = easel.desk.studio.view.hung
    easel.press("three", "steps")
    assert easel.desk.studio.view.hung == hung
    easel.press("close")
    assert not easel.window.actions_by_name["trace_pen"].isEnabled()


def test_grey_and_fade_change_only_how_the_reference_is_shown(easel: Easel) -> None:
    page, view = page_of(easel), easel.desk.studio.view
    colour = page.board.bare.picture  # type: ignore[union-attr]
    plain = page.view.grab().toImage()
    easel.press("grey")
    assert page.board.bare.picture is not colour  # type: ignore[union-attr]
    assert easel.desk.studio.view == view
    easel.press("trace_fade", "trace_fade")
    assert page.bar.fade.value() == 65
    assert page.view.grab().toImage() != plain
    easel.press("trace_fade", "trace_fade")
    assert page.bar.fade.value() == 0


def test_a_painting_open_only_to_look_is_not_traced(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path), look_only=True)
    made.press("trace")
    assert "only to look" in made.said
    assert not made.desk.placing.is_away


def test_a_line_that_cannot_be_kept_is_said_and_not_shown(
    easel: Easel, hand: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    from core.errors import PaintingError

    def full(*arguments: object, **options: object) -> None:
        raise PaintingError("The disk is full. Make room, then go on.")

    monkeypatch.setattr(easel.desk.studio.painting, "set_drawing", full)
    hand.drag(circle())
    assert "disk is full" in easel.said
    assert page_of(easel).board.drawing.lines == ()


def test_every_button_of_the_page_has_a_name_and_is_a_big_target(easel: Easel) -> None:
    from PySide6.QtWidgets import QAbstractButton

    easel.press("trace_points")
    buttons = [each for each in page_of(easel).findChildren(QAbstractButton) if each.isVisible()]
    assert len(buttons) > 12
    for each in buttons:
        assert each.accessibleName() or each.text()
        assert min(each.width(), each.height()) >= 44


def test_suggested_lines_are_offered_few_or_many_and_taken_or_left_out_by_brush(easel: Easel, hand: Hand) -> None:
    easel.press("trace_suggest")
    page = page_of(easel)
    few = page.suggester.offered
    assert few
    assert easel.desk.studio.painting.drawing_svg is None
    page.foot.amount.setValue(100)
    assert len(page.suggester.offered) > len(few)
    page.foot.amount.setValue(40)
    assert page.suggester.offered == few
    hand.drag(few[0].polyline(1.0))
    assert any(np.allclose(line.points, few[0].points, atol=1e-4) for line in kept(easel).lines)
    assert few[0] not in page.suggester.offered
    easel.press("undo")
    assert few[0] in page.suggester.offered

    page.foot.leaves.click()
    hand.drag(few[0].polyline(1.0))
    assert few[0] not in page.suggester.offered
    left = page.suggester.offered
    page.foot.take_all.click()
    assert page.suggester.offered == ()
    assert len(kept(easel).lines) == len(left)
    easel.press("trace_pen")
    assert page.view._offer.drawing.lines == ()
