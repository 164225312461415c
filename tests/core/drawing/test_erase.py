"""The eraser against the plain geometry of a round brush."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.drawing.cut import CRUMB_MM
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.erase import erase
from core.size import Size
from tests.core.drawing.curves import chains, distance_to_polyline, exact

CANVAS = Size(400, 300)
paths = st.lists(st.tuples(st.floats(0, 300), st.floats(0, 300)), min_size=1, max_size=6)


def away(points: np.ndarray, path: np.ndarray) -> np.ndarray:
    return distance_to_polyline(points, path if len(path) > 1 else np.repeat(path, 2, axis=0))


def test_a_dab_cuts_a_level_line_exactly_at_the_brush_s_edge():
    line = Line.through(np.array([[0.0, 50.0], [100.0, 50.0]]), name="table")
    left, right = erase(Drawing(CANVAS, (line,)), np.array([[40.0, 53.0]]), radius_mm=5.0).lines
    assert left.points[[0, -1]] == pytest.approx(np.array([[0.0, 50.0], [36.0, 50.0]]), abs=1e-9)
    assert right.points[[0, -1]] == pytest.approx(np.array([[44.0, 50.0], [100.0, 50.0]]), abs=1e-9)
    assert (left.name, right.name) == ("", "table")  # the longest part keeps the name


def test_a_closed_line_opens_where_it_was_rubbed_out_and_not_at_its_seam():
    square = Line.through(np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 50.0], [0.0, 50.0]]), closed=True)
    (open_line,) = erase(Drawing(CANVAS, (square,)), np.array([[50.0, 25.0]]), radius_mm=4.0).lines
    assert not open_line.closed
    assert open_line.points[[0, -1]] == pytest.approx(np.array([[50.0, 29.0], [50.0, 21.0]]))
    assert open_line.length_mm == pytest.approx(200.0 - 8.0)


def test_a_line_under_the_brush_goes_and_the_rest_is_the_same():
    short = Line.through(np.array([[10.0, 10.0], [12.0, 10.0]]))
    far = Line.through(np.array([[200.0, 10.0], [220.0, 10.0]]))
    before = Drawing(CANVAS, (short, far), (Landmark("rim", 11.0, 10.0),))
    after = erase(before, np.array([[11.0, 10.0]]), radius_mm=3.0)
    assert after.lines == (far,)
    assert after.landmarks == before.landmarks
    assert erase(before, np.array([[100.0, 100.0]]), radius_mm=3.0) is before


def test_no_crumbs_are_left_between_two_strokes_of_the_brush():
    line = Line.through(np.array([[0.0, 50.0], [100.0, 50.0]]))
    once = erase(Drawing(CANVAS, (line,)), np.array([[40.0, 50.0]]), radius_mm=5.0)
    twice = erase(once, np.array([[50.0 + 0.9 * CRUMB_MM, 50.0]]), radius_mm=5.0)
    assert len(twice.lines) == 2


@given(st.lists(chains(3), min_size=1, max_size=3), paths, st.floats(0.5, 30.0))
@settings(max_examples=12, deadline=None)
def test_what_is_left_is_outside_the_brush_on_its_old_course_and_no_longer(chain_list, path, radius):
    before = Drawing(CANVAS, tuple(Line(points) for points in chain_list))
    way = np.array(path)
    after = erase(before, way, radius_mm=radius)
    assert after.length_mm <= before.length_mm + 1e-6
    old = [line.polyline(1e-3) for line in before.lines]
    for line in after.lines if after is not before else ():
        places = exact(line, 40)
        # A dip of less than r / 128 may slip through, as the eraser's own sampling allows, and the path is thinned by
        # up to r / 20.
        assert away(places, way).min() >= radius * (1 - 1 / 20 - 1 / 128) - 1e-6
        assert np.min([distance_to_polyline(places, flat) for flat in old], axis=0).max() <= 1.1e-3


@given(chains(2), paths, st.floats(1.0, 30.0))
@settings(max_examples=50, deadline=None)
def test_everything_well_outside_the_brush_is_still_there(points, path, radius):
    way = np.array(path)
    after = erase(Drawing(CANVAS, (Line(points),)), way, radius_mm=radius)
    places = exact(Line(points), 200)
    outside = places[away(places, way) > 1.02 * radius + CRUMB_MM]
    if len(outside) and after.lines:
        left = [line.polyline(0.01) for line in after.lines]
        nearest = np.min([distance_to_polyline(outside, flat) for flat in left], axis=0)
        assert nearest.max() <= 0.02 + CRUMB_MM


@pytest.mark.parametrize(("path", "radius"), [(np.empty((0, 2)), 1.0), (np.zeros((1, 2)), 0.0), ([[np.nan, 0]], 1.0)])
def test_a_brush_without_a_way_or_a_size_is_refused(path, radius):
    with pytest.raises(ValueError, match="The brush needs"):
        erase(Drawing(CANVAS), np.asarray(path), radius_mm=radius)
