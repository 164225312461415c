"""Curves fitted to strokes, against shapes that are known exactly."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from numpy.typing import NDArray

from core.drawing.bezier import curves_of, flatten
from core.drawing.drawing import Line
from core.drawing.fit_curve import fit_curve, fit_curves
from core.drawing.smooth_stroke import smooth_stroke

Array = NDArray[np.float64]
TOLERANCE_MM = 0.1
MOST_OFF_MM = 0.15


def from_polyline(points: Array, line: Array) -> Array:
    """Distance of each point ``(n,)`` from a polyline."""
    start, side = line[:-1], np.diff(line, axis=0)
    squared = np.maximum((side * side).sum(axis=1), 1e-300)
    away = []
    for point in points:
        along = np.clip(((point - start) * side).sum(axis=1) / squared, 0.0, 1.0)
        away.append(np.linalg.norm(start + along[:, None] * side - point, axis=1).min())
    return np.array(away)


def circle(t: Array) -> Array:
    return np.stack([150 + 60 * np.cos(2 * np.pi * t), 150 + 60 * np.sin(2 * np.pi * t)], axis=1)


def wave(t: Array) -> Array:
    return np.stack([200 * t, 15 * np.sin(4 * np.pi * t)], axis=1)


def spiral(t: Array) -> Array:
    return (8 + 40 * t)[:, None] * np.stack([np.cos(9 * t), np.sin(9 * t)], axis=1)


def straight(t: Array) -> Array:
    return np.stack([180 * t, 40 * t], axis=1)


SHAPES = {"circle": (circle, True, 6), "wave": (wave, False, 14), "spiral": (spiral, False, 12),
          "straight": (straight, False, 2)}  # fmt: skip


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("seed", range(4))
def test_jitter_is_not_drawn(name: str, seed: int) -> None:
    shape, closed, most_curves = SHAPES[name]
    t = np.linspace(0, 1, 250, endpoint=not closed)
    turn = np.random.default_rng(seed).uniform(0, 2 * np.pi, len(t))
    jitter = 0.05 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    chain = fit_curve(shape(t) + jitter, tolerance_mm=TOLERANCE_MM, closed=closed)
    off = from_polyline(flatten(chain, 0.005), shape(np.linspace(0, 1, 3000)))
    assert off.max() <= MOST_OFF_MM
    assert len(curves_of(chain)) <= most_curves


def test_a_square_keeps_four_corners() -> None:
    t = np.linspace(0, 10, 200, endpoint=False)
    sides = [
        np.stack(np.broadcast_arrays(*side), axis=1) for side in ((t, 0.0), (10.0, t), (10 - t, 10.0), (0.0, 10 - t))
    ]
    chain = fit_curve(np.concatenate(sides), closed=True)
    assert len(curves_of(chain)) == 4
    assert np.allclose(sorted(map(tuple, chain[:-1:3])), [(0, 0), (0, 10), (10, 0), (10, 10)], atol=1e-9)


def test_few_points_of_a_square_are_its_corners() -> None:
    square = np.array([[0.0, 0.0], [30.0, 0.0], [30.0, 30.0], [0.0, 30.0]])
    chain = fit_curve(square, closed=True)
    assert np.allclose(chain, Line.through(square, closed=True).points)


def test_small_round_forms_have_no_corner() -> None:
    t = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    chain = fit_curve(1.5 * np.stack([np.cos(t), np.sin(t)], axis=1), closed=True)
    assert corner_turns(chain, closed=True).max() < 1e-6


def corner_turns(chain: Array, *, closed: bool) -> Array:
    """Angles between the directions on either side of each joint, radians."""
    curves = curves_of(chain)
    out = curves[:, 1] - curves[:, 0]
    into = curves[:, 3] - curves[:, 2]
    before, after = (into, np.roll(out, -1, axis=0)) if closed else (into[:-1], out[1:])
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.abs(np.arctan2(cross, (before * after).sum(axis=1)))


numbers = st.floats(-500, 500, allow_nan=False, width=32)
strokes = hnp.arrays(np.float64, st.tuples(st.integers(1, 60), st.just(2)), elements=numbers)


@settings(max_examples=150, deadline=None)
@given(strokes, st.booleans(), st.sampled_from([0.02, 0.1, 1.0]))
def test_every_point_is_near_the_chain(points: Array, closed: bool, tolerance: float) -> None:
    chain = fit_curve(points, tolerance_mm=tolerance, closed=closed)
    assert np.isfinite(chain).all()
    assert from_polyline(points, flatten(chain, 0.001)).max() <= tolerance + 0.002


@settings(max_examples=150, deadline=None)
@given(strokes)
def test_ends_are_kept(points: Array) -> None:
    chain = fit_curve(points)
    assert np.array_equal(chain[[0, -1]], points[[0, -1]]) or np.allclose(points, points[0], atol=1e-6)


@settings(max_examples=150, deadline=None)
@given(strokes)
def test_closed_stays_closed(points: Array) -> None:
    chain = fit_curve(points, closed=True)
    assert np.array_equal(chain[0], chain[-1])
    assert len(chain) % 3 == 1


@settings(max_examples=100, deadline=None)
@given(strokes, st.booleans())
def test_without_corners_directions_are_shared(points: Array, closed: bool) -> None:
    chain = fit_curve(points, closed=closed, corner_deg=180)
    distinct = np.unique(np.round(points, 6), axis=0)
    if len(distinct) > 3:
        assert corner_turns(chain, closed=closed).max(initial=0.0) < 1e-3


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(strokes, st.booleans()), min_size=1, max_size=6))
def test_many_together_are_as_one_by_one(given_strokes: list[tuple[Array, bool]]) -> None:
    together = fit_curves([s for s, _ in given_strokes], closed=[c for _, c in given_strokes])
    for (stroke, closed), chain in zip(given_strokes, together, strict=True):
        alone = fit_curve(stroke, closed=closed)
        assert from_polyline(stroke, flatten(chain, 0.001)).max() <= 0.102
        assert np.array_equal(alone[[0, -1]], chain[[0, -1]])


@pytest.mark.parametrize("bad", [np.zeros((0, 2)), np.zeros((4, 3)), np.array([[0.0, np.nan], [1.0, 1.0]]),
                                 np.array([[0.0, 0.0], [np.inf, 1.0]])])  # fmt: skip
@pytest.mark.parametrize("work", [fit_curve, smooth_stroke])
def test_what_is_no_stroke_is_refused(work: object, bad: Array) -> None:
    with pytest.raises(ValueError, match="stroke"):
        work(bad)  # type: ignore[operator]


def test_a_tolerance_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="tolerance"):
        fit_curve(circle(np.linspace(0, 1, 9)), tolerance_mm=0.0)


def test_a_very_long_stroke_is_fitted_with_few_curves() -> None:
    t = np.linspace(0, 1, 20_000)
    noise = np.random.default_rng(1).uniform(-0.03, 0.03, (len(t), 2))
    chain = fit_curve(spiral(t) + noise)
    assert len(curves_of(chain)) < 25


def test_an_unevenly_sent_jittery_stroke_is_smoothed() -> None:
    random = np.random.default_rng(3)
    t = np.sort(random.beta(0.5, 0.5, 6000))  # the pen dwells at both ends
    smooth = smooth_stroke(wave(t) + random.normal(0, 0.05, (len(t), 2)))
    inner = smooth[8:-8]
    assert from_polyline(inner, wave(np.linspace(0, 1, 3000))).max() < 0.06
    steps = np.linalg.norm(np.diff(inner, axis=0), axis=1)
    assert steps.max() < 1.3 * steps.min()


def test_smoothing_does_not_shrink_a_small_circle() -> None:
    t = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    smooth = smooth_stroke(4 * np.stack([np.cos(t), np.sin(t)], axis=1), closed=True)
    assert np.abs(np.linalg.norm(smooth, axis=1) - 4).max() < 0.03


def test_smoothing_keeps_ends_and_corners() -> None:
    t = np.linspace(0, 10, 100)
    bent = np.concatenate([np.stack([t, 0 * t], axis=1), np.stack([0 * t + 10, t], axis=1)])
    smooth = smooth_stroke(bent)
    assert np.allclose(smooth[[0, -1]], [[0, 0], [10, 10]])
    assert np.linalg.norm(smooth - [10, 0], axis=1).min() < 0.3
