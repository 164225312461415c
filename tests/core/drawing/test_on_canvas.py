"""A line that leaves the canvas is cut where it crosses the edge, and keeps its course on it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.drawing import bezier
from core.drawing.drawing import Line
from core.drawing.on_canvas import STRAY_MM, on_canvas
from core.size import Size

SIZE = Size(400, 300)
FAR = np.array([400.0, 300.0])


def straight(*places: tuple[float, float], closed: bool = False) -> Line:
    return Line.through(np.array(places), closed=closed, name="stem", layer="inner form")


def test_a_line_on_the_canvas_is_the_very_same() -> None:
    line = straight((10, 10), (390, 290))
    assert on_canvas(line, SIZE) == (line,)
    assert on_canvas(line, SIZE)[0] is line


def test_a_line_beside_the_canvas_is_gone() -> None:
    assert on_canvas(straight((-50, 20), (-10, 200)), SIZE) == ()
    assert on_canvas(straight((-50, 20), (50, -90)), SIZE) == ()


def test_a_straight_line_ends_exactly_where_it_crosses_the_edge() -> None:
    """By similar triangles: from (-100, 50) to (100, 150) the edge x = 0 is met half way, at y = 100."""
    (part,) = on_canvas(straight((-100, 50), (100, 150)), SIZE)
    assert part.points[0] == pytest.approx((0.0, 100.0), abs=1e-9)
    assert part.points[0, 0] == 0.0
    assert part.points[-1] == pytest.approx((100.0, 150.0), abs=1e-9)
    assert (part.name, part.layer, part.closed) == ("stem", "inner form", False)


def test_a_line_right_across_is_cut_at_both_edges() -> None:
    (part,) = on_canvas(straight((200, -40), (200, 500)), SIZE)
    assert part.points[[0, -1]] == pytest.approx(np.array([[200.0, 0.0], [200.0, 300.0]]), abs=1e-9)


def test_a_line_that_comes_back_is_two() -> None:
    parts = on_canvas(straight((350, 100), (450, 100), (450, 200), (350, 200)), SIZE)
    ends = [part.points[[0, -1]].tolist() for part in parts]
    assert ends[0] == [[350, 100], [400, 100]]
    assert np.array(ends[1]) == pytest.approx(np.array([[400.0, 200.0], [350.0, 200.0]]), abs=1e-9)
    assert [part.name for part in parts].count("stem") == 1 or parts[0].length_mm == parts[1].length_mm


def test_a_closed_line_over_the_edge_is_opened_there() -> None:
    (part,) = on_canvas(straight((350, 100), (450, 100), (450, 200), (350, 200), closed=True), SIZE)
    assert not part.closed
    assert part.points[[0, -1]] == pytest.approx(np.array([[400.0, 200.0], [400.0, 100.0]]), abs=1e-9)
    assert part.length_mm == pytest.approx(50 + 100 + 50)


def test_a_node_on_the_edge_is_where_it_is_cut() -> None:
    (part,) = on_canvas(straight((100, 100), (0, 120), (-60, 150)), SIZE)
    assert part.points[[0, -1]].tolist() == [[100, 100], [0, 120]]
    assert len(part.points) == 4


def test_along_the_edge_a_hair_to_and_fro_is_no_leaving() -> None:
    x = np.linspace(20, 380, 30)
    y = 0.8 * STRAY_MM * np.sin(x / 5)
    line = Line.through(np.column_stack([x, y]))
    assert on_canvas(line, SIZE) == (line,)
    far = Line.through(np.column_stack([x, 30 * y]))
    assert len(on_canvas(far, SIZE)) > 5


def test_a_loop_over_the_corner_of_the_canvas() -> None:
    """A circle about the corner, radius 50: a quarter of it lies on the canvas, π · 50 / 2 long."""
    k = 0.5522847498 * 50  # handles of the usual four-curve circle, which is off by at most 0.03 % of the radius
    circle = np.array(
        [(50, 0), (50, k), (k, 50), (0, 50), (-k, 50), (-50, k), (-50, 0), (-50, -k), (-k, -50), (0, -50), (k, -50),
         (50, -k), (50, 0)],
        dtype=float,
    )  # fmt: skip
    for turned in range(4):
        points = np.roll(circle[:-1], 3 * turned, axis=0)
        (part,) = on_canvas(Line(np.vstack([points, points[:1]]), closed=True), SIZE)
        assert part.length_mm == pytest.approx(np.pi * 25, rel=5e-4)
        assert sorted(map(tuple, part.points[[0, -1]].round(6).tolist())) == [(0, 50), (50, 0)]


points = st.tuples(st.floats(-150, 550), st.floats(-150, 450))


@given(st.lists(points, min_size=4, max_size=10).filter(lambda all_: len(all_) % 3 == 1), st.booleans())
def test_what_is_left_is_what_lay_on_the_canvas(places: list[tuple[float, float]], closed: bool) -> None:
    """Measured on samples: every part is on the line, none is off the canvas, and nothing on the canvas is missing."""
    line = Line(np.array(places), closed=closed)
    parts = on_canvas(line, SIZE)
    fine = _samples(line, 600)
    on = fine[((fine > 0.5) & (fine < FAR - 0.5)).all(axis=1)]
    left = np.concatenate([np.empty((0, 2)), *(_samples(part, 600) for part in parts)])
    assert (left >= -STRAY_MM - 1e-9).all()
    assert (left <= FAR + STRAY_MM + 1e-9).all()
    step = np.linalg.norm(np.diff(fine, axis=0), axis=1).max(initial=0.0)
    for one, other in ((left, fine), (on, left)):
        for at in one[::29]:
            assert np.linalg.norm(other - at, axis=1).min() <= step + 0.31


def _samples(line: Line, count: int) -> np.ndarray:
    curves = bezier.curves_of(line.points)
    t = np.linspace(0.0, 1.0, count)
    return np.concatenate([bezier.at(np.repeat(curve[None], count, axis=0), t) for curve in curves])
