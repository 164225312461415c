"""Lines and landmarks: flattening, lengths and places along a line against exact curves."""

import numpy as np
import pytest
from hypothesis import given, settings
from scipy.interpolate import BPoly
from scipy.spatial import KDTree
from scipy.special import ellipe

from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.svg_read import drawing_from_svg
from core.errors import DrawingError
from core.size import Size
from tests.core.drawing.curves import chains, distance_to_polyline, exact

CANVAS = Size(400, 300)


def shape(markup: str) -> Drawing:
    return drawing_from_svg(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">{markup}</svg>',
        CANVAS,
    )


@given(chains())
@settings(max_examples=60, deadline=None)
def test_flattening_keeps_within_its_tolerance(points):
    line = Line(points)
    for tolerance in (0.05, 1.0):
        flat = line.polyline(tolerance)
        assert distance_to_polyline(exact(line, 60), flat).max() <= tolerance * 1.0001
        assert np.array_equal(flat[0], points[0])
        assert np.allclose(flat[-1], points[-1], atol=1e-9)


@given(chains())
@settings(max_examples=40, deadline=None)
def test_flattened_points_lie_on_the_curve_of_scipy(points):
    line = Line(points)
    count = (len(points) - 1) // 3
    coefficients = np.stack([points[3 * np.arange(count) + k] for k in range(4)])
    reference = BPoly(coefficients, np.arange(count + 1))
    dense = reference(np.linspace(0, count, 20_000 * count + 1))
    spacing = np.linalg.norm(np.diff(dense, axis=0), axis=1).max()
    gap, _ = KDTree(dense).query(line.polyline(0.05))
    assert gap.max() < spacing / 2 + 1e-9


def test_a_straight_line_stays_two_points_and_a_tighter_tolerance_takes_more():
    assert len(Line.through(np.array([[0, 0], [90, 40]])).polyline()) == 2
    round_line = shape('<circle cx="200" cy="150" r="100"/>').lines[0]
    assert len(round_line.polyline(1.0)) < len(round_line.polyline(0.05)) < len(round_line.polyline(0.001))


def test_polylines_of_a_drawing_are_those_of_its_lines():
    rng = np.random.default_rng(4)
    lines = tuple(Line(rng.uniform(0, 300, (3 * n + 1, 2)), closed=bool(n % 2)) for n in (1, 5, 2, 7, 1))
    drawing = Drawing(CANVAS, lines)
    for line, flat in zip(lines, drawing.polylines(0.05), strict=True):
        assert flat.dtype == np.float64
        assert np.allclose(flat, line.polyline(0.05), atol=1e-9)
    assert Drawing(CANVAS).polylines() == []


def test_length_of_circle_and_ellipse():
    # Exact: the circle's circumference 2 π r, the ellipse's 4 a E(e²) by SciPy's complete elliptic integral.
    assert shape('<circle cx="200" cy="150" r="100"/>').lines[0].length_mm == pytest.approx(200 * np.pi, abs=0.01)
    ellipse = shape('<ellipse cx="200" cy="150" rx="120" ry="50"/>').lines[0]
    assert ellipse.length_mm == pytest.approx(4 * 120 * ellipe(1 - (50 / 120) ** 2), abs=0.02)


def test_length_of_a_parabola():
    # y = x² / 100 for x in 0..100, as a quadratic curve; exact arc length from the integral of √(1 + (x/50)²).
    line = shape('<path d="M0 0 Q50 0 100 100"/>').lines[0]
    u = 100 / 50
    expected = 50 / 2 * (u * np.sqrt(1 + u * u) + np.arcsinh(u))
    assert line.length_mm == pytest.approx(expected, abs=0.005)


def test_bounds_are_those_of_the_curve_and_not_of_its_controls():
    # The curve 0,0 0,100 100,100 100,0 reaches y = 75 at t = 1/2.
    line = Line(np.array([[0, 0], [0, 100], [100, 100], [100, 0]]))
    assert line.bounds == pytest.approx((0, 0, 100, 75), abs=1e-3)
    drawing = Drawing(CANVAS, (line,), (Landmark("spout", 250, 5),))
    assert drawing.bounds == pytest.approx((0, 0, 250, 75), abs=1e-3)
    assert Drawing(CANVAS).bounds is None


def test_samples_on_a_circle_are_even_and_their_normals_point_to_the_middle():
    drawing = shape('<circle cx="200" cy="150" r="100"/>')
    points, normals, line_index = drawing.sampled(2.0)
    assert len(points) == round(200 * np.pi / 2.0)
    radial = (points - (200, 150)) / 100
    assert np.allclose(np.linalg.norm(radial, axis=1), 1.0, atol=1e-5)
    # SVG draws circles clockwise as seen, so the right-hand normal points inwards.
    assert np.allclose(normals, -radial, atol=1e-3)
    assert np.ptp(np.linalg.norm(np.diff(points, axis=0), axis=1)) < 0.01
    assert set(line_index) == {0}


def test_samples_on_a_straight_line_stand_in_the_middle_of_each_step():
    samples = Drawing(CANVAS, (Line.through(np.array([[10, 20], [50, 20]])),)).sampled(10.0)
    assert np.allclose(samples.points, [[15, 20], [25, 20], [35, 20], [45, 20]])
    assert np.allclose(samples.tangents, [1, 0])
    assert np.allclose(samples.normals, [0, 1])  # to the right of rightwards is down


@given(chains(4))
@settings(max_examples=40, deadline=None)
def test_samples_are_equally_far_apart_along_any_line(points):
    line = Line(points)
    if line.length_mm < 20:
        return
    samples = Drawing(CANVAS, (line,)).sampled(5.0)
    assert np.allclose(np.linalg.norm(samples.normals, axis=1), 1.0)
    dense = exact(line, 3000)
    run = np.r_[0, np.cumsum(np.linalg.norm(np.diff(dense, axis=0), axis=1))]
    wanted = (np.arange(len(samples.points)) + 0.5) * run[-1] / len(samples.points)
    there = np.stack([np.interp(wanted, run, dense[:, axis]) for axis in (0, 1)], axis=1)
    assert np.linalg.norm(samples.points - there, axis=1).max() < 0.1


def test_every_line_is_sampled_in_its_turn_and_short_ones_once():
    lines = tuple(Line.through(np.array([[0, y], [length, y]])) for y, length in ((10, 100), (20, 0.5), (30, 60)))
    samples = Drawing(CANVAS, lines).sampled(20.0)
    assert samples.line_index.tolist() == [0] * 5 + [1] + [2] * 3
    assert np.allclose(samples.points[5], (0.25, 20))
    empty = Drawing(CANVAS).sampled(1.0)
    assert empty.points.shape == (0, 2)
    assert empty.normals.shape == (0, 2)


def test_a_cusp_and_a_control_on_its_end_still_have_a_direction():
    cusp = Line(np.array([[0, 0], [100, 100], [0, 100], [100, 0.0]]))
    tucked = Line(np.array([[10, 10], [10, 10], [60, 10], [60, 10.0]]))
    samples = Drawing(CANVAS, (cusp, tucked)).sampled(0.05)
    assert np.isfinite(samples.normals).all()
    assert np.allclose(np.linalg.norm(samples.normals, axis=1), 1.0)
    assert np.allclose(samples.tangents[samples.line_index == 1], [1, 0])


def test_a_step_too_small_is_refused_before_memory_is_taken():
    drawing = Drawing(CANVAS, (Line.through(np.array([[0, 0], [400, 300]])),))
    with pytest.raises(DrawingError, match="larger step"):
        drawing.sampled(1e-6)
    for step in (0.0, -1.0, np.nan, np.inf):
        with pytest.raises(ValueError, match="step"):
            drawing.sampled(step)


def test_a_closed_line_gets_its_last_side():
    open_end = np.array([[0, 0], [10, 0], [20, 0], [30, 0], [30, 10], [30, 20], [30, 30.0]])
    line = Line(open_end, closed=True)
    assert np.array_equal(line.points[-1], line.points[0])
    assert np.array_equal(line.points[:7], open_end)
    assert line.length_mm == pytest.approx(60 + np.hypot(30, 30))


@pytest.mark.parametrize(
    "points", [np.zeros((1, 2)), np.zeros((3, 2)), np.zeros((4, 3)), np.zeros(8), np.full((4, 2), np.nan)]
)
def test_a_line_of_another_shape_is_refused(points):
    with pytest.raises(ValueError, match="points"):
        Line(points)


def test_a_line_keeps_its_own_copy_and_compares_by_value():
    points = np.array([[0, 0], [1, 1], [2, 2], [3, 3.0]])
    line = Line(points, name="rim")
    points[0] = 99
    assert line.points[0, 0] == 0
    with pytest.raises(ValueError, match="read-only"):
        line.points[0] = 5
    assert line == Line(line.points, name="rim")
    assert hash(line) == hash(Line(line.points, name="rim"))
    assert line != Line(line.points, name="handle")
    assert Drawing(CANVAS, (line,), notes=("said",)) == Drawing(CANVAS, (line,))
