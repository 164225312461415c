"""Path data against exact curves, the worked figures of SVG 2 chapter 9, and its appendix on arcs."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.drawing.bezier import at, curves_of
from core.drawing.svg_path import MOST_SEGMENTS, arc_curves, parse_path, unit_arc
from core.errors import DrawingError

CIRCLE_ERROR = 5e-6  # of the radius: an eighth of a turn as one cubic


def ends(d: str) -> list[tuple[float, float]]:
    (subpath,) = parse_path(d)
    return [tuple(map(float, point)) for point in np.round(subpath.points[::3], 9)]


def dense(points, per_curve=50):
    curves = curves_of(points)
    return at(np.repeat(curves, per_curve, axis=0), np.tile(np.linspace(0, 1, per_curve), len(curves)))


@pytest.mark.parametrize(
    ("d", "expected"),
    [
        ("M 10 20 L 30 40", [(10, 20), (30, 40)]),
        ("M10,20L30,40", [(10, 20), (30, 40)]),
        ("M10-20L-30-40", [(10, -20), (-30, -40)]),
        ("m 10 20 l 30 40", [(10, 20), (40, 60)]),
        ("M10 20 30 40 50 60", [(10, 20), (30, 40), (50, 60)]),
        ("m10 20 30 40 50 60", [(10, 20), (40, 60), (90, 120)]),
        ("M1 2H5V7h-1v-2", [(1, 2), (5, 2), (5, 7), (4, 7), (4, 5)]),
        ("M1 2H5 6 7", [(1, 2), (5, 2), (6, 2), (7, 2)]),
        ("M1 2v1 1 1", [(1, 2), (1, 3), (1, 4), (1, 5)]),
        ("M.5.5.25-.25L1e1 1E-1", [(0.5, 0.5), (0.25, -0.25), (10, 0.1)]),
        ("M0 0L1.5.5.5 2.", [(0, 0), (1.5, 0.5), (0.5, 2)]),
        ("M+1+2L+3-4", [(1, 2), (3, -4)]),
        ("M 1,2\n\tL\r3 ,\f4", [(1, 2), (3, 4)]),
        ("M1 1l1e2,0", [(1, 1), (101, 1)]),
        ("M0 0l.1.1.1.1", [(0, 0), (0.1, 0.1), (0.2, 0.2)]),
    ],
)
def test_straight_sides(d, expected):
    assert np.allclose(ends(d), expected)


def test_absolute_and_relative_curves_agree():
    absolute = parse_path("M10 20C20 20 30 30 30 40S40 70 60 50Q80 20 90 40T120 60A30 20 10 0 1 150 90z")[0]
    relative = parse_path("m10 20c10 0 20 10 20 20s10 30 30 10q20 -30 30 -10t30 20a30 20 10 0 1 30 30Z")[0]
    assert absolute.closed
    assert np.allclose(absolute.points, relative.points, atol=1e-9)


def test_the_cubic_figure_of_the_specification():
    # SVG 2, 9.3.6, figure: M100,200 C100,100 250,100 250,200 S400,300 400,200; S mirrors (250,100) into (250,300).
    (subpath,) = parse_path("M100,200 C100,100 250,100 250,200 S400,300 400,200")
    expected = [(100, 200), (100, 100), (250, 100), (250, 200), (250, 300), (400, 300), (400, 200)]
    assert np.allclose(subpath.points, expected)


def test_the_quadratic_figure_of_the_specification():
    # SVG 2, 9.3.7, figure: M200,300 Q400,50 600,300 T1000,300; the mirrored control is (800,550),
    # so the two arcs turn at (400,175) and (800,425), half way along each.
    (subpath,) = parse_path("M200,300 Q400,50 600,300 T1000,300")
    middle = at(curves_of(subpath.points), np.array([0.5, 0.5]))
    assert np.allclose(middle, [(400, 175), (800, 425)])
    t = np.linspace(0, 1, 11)
    exact = np.outer((1 - t) ** 2, (200, 300)) + np.outer(2 * t * (1 - t), (400, 50)) + np.outer(t**2, (600, 300))
    assert np.allclose(at(np.repeat(curves_of(subpath.points)[:1], 11, axis=0), t), exact)


def test_smooth_curves_after_another_kind_start_from_the_point_itself():
    # SVG 2, 9.3.6 and 9.3.7: without a curve of the same kind before, the first control is the current point.
    assert np.allclose(parse_path("M0 0L10 0S20 10 30 0")[0].points[3:5], [(10, 0), (10, 0)])
    after_quadratic = parse_path("M0 0Q5 5 10 0S20 10 30 0")[0].points
    assert np.allclose(after_quadratic[4], (10, 0))
    after_cubic = parse_path("M0 0C5 5 5 5 10 0T20 0")[0].points
    assert np.allclose(after_cubic[3:], [(10, 0), (10, 0), (40 / 3, 0), (20, 0)])
    chain = parse_path("M0 0Q5 5 10 0T20 0T30 0")[0].points
    assert np.allclose(at(curves_of(chain), np.full(3, 0.5)), [(5, 2.5), (15, -2.5), (25, 2.5)])


def test_the_arc_figure_of_the_specification():
    # SVG 2, 9.3.8, figure: three quarters of a circle of radius 150 about (300,200).
    (subpath,) = parse_path("M300,200 h-150 a150,150 0 1,0 150,-150 z")
    arc = dense(subpath.points[3:-3])
    assert np.abs(np.linalg.norm(arc - (300, 200), axis=1) - 150).max() < 150 * CIRCLE_ERROR
    assert np.allclose(subpath.points[-4], (300, 50))
    assert arc[:, 1].max() == pytest.approx(350, abs=0.01)  # round by the bottom
    assert arc[:, 0].max() == pytest.approx(450, abs=0.01)


@pytest.mark.parametrize(
    ("large", "sweep", "centre", "turn"),
    [(0, 0, (225, 75), -90), (0, 1, (125, 125), 90), (1, 0, (125, 125), -270), (1, 1, (225, 75), 270)],
)
def test_the_four_arcs_of_the_specification(large, sweep, centre, turn):
    # SVG 2, 9.3.8, figure of the flags: a100,50 from (125,75) by (100,50), on the ellipses about (125,125), whose top
    # and right end these are, and about (225,75), whose left end and bottom they are.
    (subpath,) = parse_path(f"M 125,75 a100,50 0 {large},{sweep} 100,50")
    arc = (dense(subpath.points) - centre) / (100, 50)
    assert np.abs(np.linalg.norm(arc, axis=1) - 1).max() < CIRCLE_ERROR
    angles = np.unwrap(np.arctan2(arc[:, 1], arc[:, 0]))
    assert math.degrees(angles[-1] - angles[0]) == pytest.approx(turn, abs=1e-3)
    assert np.allclose(subpath.points[-1], (225, 125))


def test_radii_too_small_are_scaled_up_to_reach():
    # SVG 2, B.2.5: the arc becomes half an ellipse about the middle of the chord.
    arc = dense(parse_path("M0 0A1 1 0 0 1 10 0")[0].points)
    assert np.abs(np.linalg.norm(arc - (5, 0), axis=1) - 5).max() < 5 * CIRCLE_ERROR
    assert arc[:, 1].min() == pytest.approx(-5, abs=1e-3)  # sweep 1 is clockwise as seen: over the top
    squashed = dense(parse_path("M0 0A2 1 0 0 0 10 0")[0].points)
    assert np.abs(np.linalg.norm((squashed - (5, 0)) / (5, 2.5), axis=1) - 1).max() < CIRCLE_ERROR
    assert squashed[:, 1].max() == pytest.approx(2.5, abs=1e-3)


def test_arcs_that_are_none():
    # SVG 2, B.2.5: no radius is a straight line; no distance is nothing.
    assert ends("M0 0A0 5 0 0 1 10 0") == [(0, 0), (10, 0)]
    assert ends("M0 0A5 0 0 0 1 10 0") == [(0, 0), (10, 0)]
    assert parse_path("M5 5A3 3 0 1 1 5 5") == []
    negative = parse_path("M0 0A-5 -5 0 0 1 10 0")[0].points
    assert np.allclose(negative, parse_path("M0 0A5 5 0 0 1 10 0")[0].points)


@pytest.mark.parametrize("d", ["M0 0a1 1 0 00 1 1", "M0 0a1 1 0 0 0 1 1", "M0 0a1 1 0 001 1", "M0,0a1,1,0,0,0,1,1"])
def test_flags_may_run_together(d):
    assert np.allclose(parse_path(d)[0].points, parse_path("M0 0 A 1 1 0 0 0 1 1")[0].points)


def test_two_arcs_with_flags_run_together_repeat():
    points = parse_path("M0 0a5 5 0 0110 0 5 5 0 01-10 0")[0].points
    assert np.abs(np.linalg.norm(dense(points) - (5, 0), axis=1) - 5).max() < 5 * CIRCLE_ERROR
    assert np.allclose(points[-1], 0)


@given(
    st.floats(1, 300), st.floats(0.2, 5), st.floats(-360, 360), st.booleans(), st.booleans(),
    st.floats(-200, 200), st.floats(-200, 200),
)  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_every_arc_lies_on_one_ellipse_of_its_radii(rx, ratio, turn, large, sweep, x, y):
    if math.hypot(x, y) < 1:
        return
    ry = rx * ratio
    curves = arc_curves((0.0, 0.0), (rx, ry), turn, large, sweep, (x, y))
    points = np.array([(0.0, 0.0), *np.array(curves).reshape(-1, 2)])
    angle = math.radians(turn)
    straight = points @ np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    arc = dense(straight / (rx, ry), 20)
    # The circle through three of its points, once turned upright and scaled to its radii.
    a, b, c = arc[0], arc[len(arc) // 2], arc[-1]
    matrix = 2 * np.array([b - a, c - a])
    if abs(np.linalg.det(matrix)) < 1e-6:
        return
    centre = np.linalg.solve(matrix, [b @ b - a @ a, c @ c - a @ a])
    radius = np.linalg.norm(arc - centre, axis=1)
    half_chord = np.linalg.norm(arc[0] - arc[-1]) / 2
    assert np.ptp(radius) < 1e-4 * max(1.0, half_chord)
    assert radius.mean() == pytest.approx(max(1.0, half_chord), rel=1e-3)
    angles = np.unwrap(np.arctan2(*(arc - centre).T[::-1]))
    swept = angles[-1] - angles[0]
    assert (swept > 0) == sweep
    if half_chord < 0.999:
        assert (abs(swept) > math.pi) == large


def test_a_whole_turn_keeps_to_the_circle():
    points = np.array([(1.0, 0.0), *np.array(unit_arc(0.0, 2 * math.pi)).reshape(-1, 2)])
    assert len(points) == 25
    assert np.abs(np.linalg.norm(dense(points, 200), axis=1) - 1).max() < CIRCLE_ERROR


def test_subpaths_closing_and_going_on():
    subpaths = parse_path("M0 0h10v10z m20 0h5v5z l-3 -3 M50 50 M60 60h1")
    assert [subpath.closed for subpath in subpaths] == [True, True, False, False]
    assert np.allclose(subpaths[0].points[::3], [(0, 0), (10, 0), (10, 10), (0, 0)])
    assert np.allclose(subpaths[1].points[0], (20, 0))  # relative to where the first was closed
    assert np.allclose(subpaths[2].points[::3], [(20, 0), (17, -3)])  # drawn on from the closed start
    assert np.allclose(subpaths[3].points[::3], [(60, 60), (61, 60)])


@pytest.mark.parametrize("d", ["", " ", "M10 10", "M10 10Z", "M1 1M2 2M3 3", "\n"])
def test_a_path_without_a_side_is_no_line(d):
    assert parse_path(d) == []


@pytest.mark.parametrize(
    "d",
    [
        "L10 10", "10 10", "M10", "M10 10L", "M10 10L5", "M0 0C1 2 3 4 5", "M0 0Q1 2 3", "M0 0 X 5 5", "M0 0L1,2;3,4",
        "M0 0L1 2 #", "M0 0Z5", "M0 0A1 1 0 2 1 5 5", "M0 0A1 1 0 1 5 5", "M0 0H", "M0 0Lnan nan", "M0 0Linf 0",
        "M0 0L0x10 1", "M0 0L1_0 1", "M0 0L1..2 3", "M0 0L--1 2", "M0 0L1e 2", "M0 0L٣ 4", "e", "M0 0L1 2é",
        "M0 0A1e-200 1e-200 0 0 1 1e200 5", "M0 0A1 1 1e999 0 1 5 5",
    ],
)  # fmt: skip
def test_malformed_data_are_refused_in_a_sentence(d):
    with pytest.raises(DrawingError, match=r"\.$"):
        parse_path(d)


def test_too_many_curves_are_refused():
    with pytest.raises(DrawingError, match="200,000"):
        parse_path("M0 0" + "l1 1" * (MOST_SEGMENTS + 1))
    with pytest.raises(DrawingError, match="200,000"):
        parse_path("M0 0L" + "1 1 " * (MOST_SEGMENTS + 1))
    with pytest.raises(DrawingError, match="200,000"):
        parse_path("M0 0h1h1h1h1", most_segments=3)


@given(st.text(alphabet="MmZzLlHhVvCcSsQqTtAa0123456789.,-+eE \n", max_size=60))
@settings(max_examples=400, deadline=None)
def test_any_text_gives_finite_curves_or_a_sentence(text):
    try:
        subpaths = parse_path("M0 0" + text)
    except DrawingError:
        return
    for subpath in subpaths:
        assert len(subpath.points) % 3 == 1
