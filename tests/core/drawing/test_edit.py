"""Changing a drawing: what changes, and that nothing else does."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import BPoly

from core.drawing import edit, nodes, split
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.edit import End
from core.drawing.svg_read import drawing_from_svg
from core.drawing.svg_write import drawing_to_svg
from core.errors import DrawingError
from core.size import Size
from tests.core.drawing.curves import chains, exact

CANVAS = Size(400, 300)
SAME_COURSE_MM = 1e-6
STRAIGHT = Line.through(np.array([[10.0, 10.0], [60.0, 10.0], [60.0, 50.0]]))
ARCH = Line(np.array([[100.0, 100.0], [100.0, 60.0], [150.0, 60.0], [150.0, 100.0]]), name="arch", layer="inner form")
# Two curves through (20, 0) whose handles there lie in one direction.
SMOOTH = Line(np.array([[0, 0], [5, 10], [12, 0], [20, 0], [30, 0], [40, 10], [45, 20]], dtype=np.float64))


def drawing(*lines: Line) -> Drawing:
    return Drawing(CANVAS, lines or (STRAIGHT, ARCH), (Landmark("rim, left", 120.0, 80.0),))


@given(chains(), st.floats(0.01, 0.99))
@settings(max_examples=60, deadline=None)
def test_splitting_keeps_the_course(points, share):
    count = (len(points) - 1) // 3
    place = share * count
    if place == int(place):
        return
    before, after = split.part(points, 0.0, place), split.part(points, place, float(count))
    index, t = int(place), place - int(place)
    old = exact(Line(points[3 * index : 3 * index + 4]), 101)  # of the curve that was cut, at equal steps of t
    for part, begin, end in ((before[-4:], 0.0, t), (after[:4], t, 1.0)):
        cut = BPoly(part[:, None], [begin, end])(np.linspace(0.0, 1.0, 101))
        within = (np.linspace(0.0, 1.0, 101) >= begin) & (np.linspace(0.0, 1.0, 101) <= end)
        assert np.abs(cut - old)[within].max() <= SAME_COURSE_MM
    assert np.array_equal(np.concatenate([before[:-3], after[3:]])[[0, -1]], points[[0, -1]])
    assert np.array_equal(before[: 3 * index + 1], points[: 3 * index + 1])
    assert np.array_equal(after[3:], points[3 * index + 3 :])


@pytest.mark.parametrize(("start", "end"), [(0.5, 0.5), (0.6, 0.2), (-0.1, 0.5), (0.0, 1.1)])
def test_a_part_without_length_or_beyond_the_chain_is_refused(start, end):
    with pytest.raises(ValueError, match="A part lies within"):
        split.part(ARCH.points, start, end)


def test_a_line_is_added_after_the_last_of_its_layer():
    fresh = Line.through(np.array([[0.0, 0.0], [5.0, 5.0]]))
    changed, index = edit.add_line(drawing(), fresh)
    assert index == 1
    assert changed.lines == (STRAIGHT, fresh, ARCH)
    shadow = Line.through(np.array([[0.0, 0.0], [5.0, 5.0]]), layer="shadow edge")
    assert edit.add_line(drawing(), shadow)[0].lines == (STRAIGHT, ARCH, shadow)


def test_lines_are_replaced_removed_and_put_in_another_layer():
    assert edit.replace_line(drawing(), 0, SMOOTH).lines == (SMOOTH, ARCH)
    assert edit.remove_lines(drawing(), [0]).lines == (ARCH,)
    made = edit.set_layer(drawing(), [0, 1], "shadow edge")
    assert [line.layer for line in made.lines] == ["shadow edge"] * 2
    assert np.array_equal(made.lines[1].points, ARCH.points)
    assert made.landmarks == drawing().landmarks


@pytest.mark.parametrize("index", [-1, 2])
def test_a_line_that_is_not_there_is_an_error(index):
    with pytest.raises(IndexError):
        edit.remove_lines(drawing(), [index])


@given(chains(), st.integers(0, 18), st.tuples(st.floats(0, 300), st.floats(0, 300)))
@settings(max_examples=80, deadline=None)
def test_moving_a_point_leaves_all_other_nodes_and_lines(points, point, to):
    point = point % len(points)
    before = drawing(Line(points), ARCH)
    after = edit.move_point(before, 0, point, *to)
    assert after.lines[1] == ARCH
    others = [k for k in range(0, len(points), 3) if k != point]
    assert np.array_equal(after.lines[0].points[others], points[others])
    assert after.lines[0].points[point] == pytest.approx(to)


def test_a_node_takes_its_handles_with_it():
    moved = nodes.moved(SMOOTH, 3, np.array([22.0, 5.0])).points
    assert moved[2:5] == pytest.approx(SMOOTH.points[2:5] + np.array([2.0, 5.0]))
    assert np.array_equal(moved[[0, 1, 5, 6]], SMOOTH.points[[0, 1, 5, 6]])


def test_a_handle_turns_the_one_across_a_smooth_node_and_keeps_its_length():
    moved = nodes.moved(SMOOTH, 4, np.array([20.0, 7.0])).points
    assert moved[2] == pytest.approx((20.0, -8.0))
    assert nodes.is_smooth(Line(moved), 1)


def test_a_handle_at_a_corner_moves_alone():
    bent = SMOOTH.points.copy()
    bent[2] = (15.0, 9.0)
    moved = nodes.moved(Line(bent), 4, np.array([20.0, 7.0])).points
    assert np.array_equal(moved[2], bent[2])


def test_straight_sides_stay_straight_when_their_corner_moves():
    moved = nodes.moved(STRAIGHT, 3, np.array([70.0, 20.0]))
    assert nodes.is_straight(moved.points).all()
    assert moved.points[3] == pytest.approx((70.0, 20.0))


def test_the_seam_of_a_closed_line_moves_as_one():
    ring = Line.through(np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]), closed=True)
    moved = nodes.moved(ring, 0, np.array([-2.0, -1.0]))
    assert moved.points[0] == pytest.approx((-2.0, -1.0))
    assert np.array_equal(moved.points[0], moved.points[-1])
    assert nodes.is_straight(moved.points).all()


@given(chains(), st.floats(0.05, 0.95))
@settings(max_examples=60, deadline=None)
def test_a_node_put_in_and_taken_out_gives_the_line_back(points, share):
    place = 0.15 + 0.7 * share + (len(points) - 1) // 3 - 1
    before = drawing(Line(points))
    with_it = edit.insert_node(before, 0, place)
    assert len(with_it.lines[0].points) == len(points) + 3
    without = edit.delete_node(with_it, 0, int(place) + 1)
    handles = np.linalg.norm(np.diff(points[-4:], axis=0), axis=1)
    if handles.min() > 1.0:
        assert without.lines[0].points == pytest.approx(points, abs=1e-6)


def test_taking_out_an_end_shortens_and_the_last_curve_removes_the_line():
    assert np.array_equal(edit.delete_node(drawing(STRAIGHT), 0, 0).lines[0].points, STRAIGHT.points[3:])
    assert np.array_equal(edit.delete_node(drawing(STRAIGHT), 0, 2).lines[0].points, STRAIGHT.points[:4])
    assert edit.delete_node(drawing(ARCH), 0, 1).lines == ()


def test_taking_out_the_seam_of_a_closed_line_keeps_it_closed():
    square = Line.through(np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]]), closed=True)
    left = edit.delete_node(drawing(square), 0, 0).lines[0]
    assert left.closed
    corners = {tuple(point) for point in np.round(left.points[::3], 9).tolist()}
    assert corners == {(10.0, 0.0), (10.0, 10.0), (0.0, 10.0)}


@pytest.mark.parametrize("one_at_start", [True, False])
@pytest.mark.parametrize("other_at_start", [True, False])
def test_two_lines_joined_are_one_through_all_their_nodes(one_at_start, other_at_start):
    apart = Line.through(np.array([[200.0, 200.0], [230.0, 220.0]]), name="hem")
    before = drawing(ARCH, apart)
    joined = edit.join(before, End(0, one_at_start), End(1, other_at_start))
    (line,) = joined.lines
    assert (line.name, line.layer) == ("arch", "inner form")
    ends = [ARCH.points[-1 if one_at_start else 0], apart.points[-1 if other_at_start else 0]]
    assert np.array_equal(line.points[[0, -1]], np.array(ends))
    gap = np.linalg.norm(End(0, one_at_start).place(before) - End(1, other_at_start).place(before))
    assert line.length_mm == pytest.approx(ARCH.length_mm + apart.length_mm + gap, rel=1e-4)


def test_ends_that_nearly_touch_meet_half_way():
    near = Line.through(np.array([[151.0, 100.0], [180.0, 100.0]]))
    line = edit.join(drawing(ARCH, near), End(0, False), End(1, True)).lines[0]
    assert line.points[3] == pytest.approx((150.5, 100.0))
    assert len(line.points) == 7


def test_a_line_joined_to_itself_is_closed():
    closed = edit.join(drawing(ARCH), End(0, True), End(0, False)).lines[0]
    assert closed.closed
    assert len(closed.points) == 7  # a straight side was added


def test_ends_of_closed_lines_and_one_end_twice_are_refused():
    ring = Line.through(np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]), closed=True)
    for one, other in ((End(0, True), End(1, True)), (End(1, True), End(1, True))):
        with pytest.raises(DrawingError, match="open lines"):
            edit.join(drawing(ring, ARCH), one, other)


def test_landmarks_are_placed_moved_renamed_and_taken_away():
    placed = edit.add_landmark(drawing(), "  handle's   top ", 10.0, 20.0)
    assert placed.landmarks[-1] == Landmark("handle's top", 10.0, 20.0)
    moved = edit.move_landmark(placed, 1, 11.0, 21.0)
    renamed = edit.rename_landmark(moved, 1, "spout")
    assert renamed.landmarks == (drawing().landmarks[0], Landmark("spout", 11.0, 21.0))
    assert edit.remove_landmark(renamed, 0).landmarks == (Landmark("spout", 11.0, 21.0),)
    assert renamed.lines == drawing().lines


@pytest.mark.parametrize(("name", "why"), [("", "needs a name"), ("   ", "needs a name"), ("Rim,  LEFT", "already")])
def test_a_landmark_needs_a_name_of_its_own(name, why):
    with pytest.raises(DrawingError, match=why):
        edit.add_landmark(drawing(), name, 1.0, 1.0)


def test_a_landmark_may_be_given_its_own_name_again():
    assert edit.rename_landmark(drawing(), 0, "Rim, left").landmarks[0].name == "Rim, left"


def test_what_was_edited_reads_back_as_it_was_kept():
    changed, _ = edit.add_line(edit.set_layer(drawing(), [0], "shadow edge"), SMOOTH)
    kept = drawing_to_svg(edit.add_landmark(changed, "mouth's left corner", 33.3, 44.4))
    read = drawing_from_svg(kept, CANVAS)
    assert drawing_to_svg(read) == kept
    assert [line.layer for line in read.lines] == [line.layer for line in changed.lines]
    assert read.landmarks[-1] == Landmark("mouth's left corner", 33.3, 44.4)
