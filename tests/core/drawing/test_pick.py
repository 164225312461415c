"""What lies nearest, against plain search over dense points."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.edit import End
from core.drawing.landmark_names import NAMES, suggested_names
from core.drawing.pick import Picker, point_of
from core.size import Size
from tests.core.drawing.curves import chains, exact

CANVAS = Size(400, 300)
ARCH = Line(np.array([[100.0, 100.0], [100.0, 60.0], [150.0, 60.0], [150.0, 100.0]]))
FLOOR = Line.through(np.array([[0.0, 200.0], [300.0, 200.0]]))


@given(st.lists(chains(3), min_size=1, max_size=5), st.tuples(st.floats(0, 300), st.floats(0, 300)))
@settings(max_examples=60, deadline=None)
def test_the_nearest_line_is_as_near_as_any_dense_point(chain_list, at):
    lines = tuple(Line(points) for points in chain_list)
    found = Picker(Drawing(CANVAS, lines)).line(*at, 1000.0)
    dense = [exact(line, 500) for line in lines]
    least = min(np.linalg.norm(points - at, axis=1).min() for points in dense)
    assert found is not None
    assert found.away_mm <= least + 1e-6
    on = np.linalg.norm(dense[found.line] - (found.x_mm, found.y_mm), axis=1).min()
    longest = np.linalg.norm(np.diff(dense[found.line], axis=0), axis=1).max()
    assert on <= longest


def test_a_place_on_a_line_is_its_curve_and_t():
    two = Line.through(np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]))
    found = Picker(Drawing(CANVAS, (FLOOR, two))).line(10.4, 5.0, 1.0)
    assert found is not None
    assert found.line == 1
    assert found.place == pytest.approx(1.5)
    assert (found.x_mm, found.y_mm, found.away_mm) == pytest.approx((10.0, 5.0, 0.4))


def test_nothing_is_picked_beyond_the_radius():
    picker = Picker(Drawing(CANVAS, (FLOOR,), (Landmark("rim", 50.0, 50.0),)))
    assert picker.line(100.0, 205.0, 4.9) is None
    assert picker.line(100.0, 205.0, 5.1) is not None
    assert picker.landmark(50.0, 53.0, 2.9) is None
    assert picker.landmark(50.0, 53.0, 3.1) == 0
    assert Picker(Drawing(CANVAS)).line(0, 0, 10) is None
    assert Picker(Drawing(CANVAS)).landmark(0, 0, 10) is None
    assert Picker(Drawing(CANVAS)).end(0, 0, 10) is None


def test_ends_of_open_lines_are_picked_and_some_left_out():
    ring = Line.through(np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]), closed=True)
    picker = Picker(Drawing(CANVAS, (ring, ARCH)))
    assert picker.end(101.0, 101.0, 5.0) == End(1, at_start=True)
    assert picker.end(101.0, 101.0, 500.0, but=(End(1, True),)) == End(1, at_start=False)
    assert picker.end(1.0, 1.0, 5.0) is None


def test_of_points_as_near_a_node_counts_first():
    assert point_of(ARCH, 100.5, 99.0, 3.0, among=range(4)) == 0
    assert point_of(ARCH, 149.0, 61.0, 3.0, among=range(4)) == 2
    assert point_of(ARCH, 149.0, 61.0, 3.0, among=(0, 3)) is None
    crossing = Line(np.array([[0.0, 0.0], [0.0, 0.0], [9.0, 9.0], [9.0, 0.0]]))
    assert point_of(crossing, 0.1, 0.0, 1.0, among=range(4)) == 0


def test_names_are_suggested_by_what_is_typed_and_never_twice():
    assert "mouth's left corner" in suggested_names("mouth")
    assert suggested_names("corner left mou") == ["mouth's left corner"]
    assert "mouth's left corner" not in suggested_names("mouth", taken=["Mouth's  left corner"])
    assert suggested_names("handle's")[0].startswith("handle's")
    assert suggested_names("no such thing") == []
    assert len(suggested_names("", most=3)) == 3
    every = [name for names in NAMES.values() for name in names]
    assert len(every) == len(set(every))
