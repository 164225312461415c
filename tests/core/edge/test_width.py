"""How wide edges are, on pictures whose blur is known."""

from functools import cache

import numpy as np
import pytest
from scipy.spatial import cKDTree
from scipy.special import ndtr

from core.edge.blurred_step import fitted_steps
from core.edge.points import edge_points
from core.edge.scale import at_scale
from core.edge.width import LEAST_CONTRAST, Edges, measure_edges
from core.tone import value_of_linear
from tests.core.edge.cases import FLAT_PX_PER_MM, PX_PER_MM, SIZE, Forms, Rim, forms, painted, photographed

WIDTH_OF_SIGMA = 2.5631031310892007
"""10-90 % width of a Gaussian-blurred step: twice the normal distribution's 90 % quantile, 1.2815516 (any table)."""


@cache
def few_forms() -> Forms:
    return forms(3, count=6)


def along(edges: Edges, rim: Rim) -> np.ndarray:
    """Index of the point of the edges nearest to each place along a rim that has one."""
    away, near = cKDTree(np.stack([edges.x_mm, edges.y_mm], axis=1)).query(rim.outline_mm[::6])
    return near[away < 1 + 0.7 * rim.sigma_mm]


def test_a_step_is_fitted_where_it_is_and_as_wide_as_it_is() -> None:
    t = np.linspace(-1, 1, 41)
    sigma, at, height = np.array([0.05, 0.12, 0.3]), np.array([0.1, -0.05, 0.0]), np.array([2.0, -3.0, 0.8])
    profiles = 4 + height[:, None] * ndtr((t - at[:, None]) / sigma[:, None])
    found = fitted_steps(profiles, np.array([0.2, 0.2, 0.2]))
    assert found.sigma == pytest.approx(sigma, rel=0.01)
    assert found.at == pytest.approx(at, abs=0.005)
    assert found.height == pytest.approx(height, rel=0.01)
    assert found.rms.max() < 0.01


def test_another_form_at_the_end_of_a_profile_does_not_widen_the_step() -> None:
    t = np.linspace(-1, 1, 41)
    alone = 5 + 2 * ndtr(t / 0.1)
    beside = alone - 3 * ndtr((t - 0.85) / 0.03)
    found = fitted_steps(np.stack([alone, beside]), np.array([0.2, 0.2]))
    assert found.sigma[1] == pytest.approx(found.sigma[0], rel=0.1)


@pytest.mark.parametrize("sigma_mm", [0.3, 1.0, 2.5, 6.0])
def test_a_scale_smooths_by_its_sigma_and_moves_nothing(sigma_mm: float) -> None:
    x = (np.arange(1201) + 0.5) / 5.0
    value = np.broadcast_to(ndtr((x - 120.0) / 1.0), (301, 1201)).astype(np.float32)
    scaled = at_scale(value, 5.0, sigma_mm)
    at = np.linspace(100, 140, 401)
    seen = scaled.at(at, np.full_like(at, 30.0))
    low, middle, high = (float(np.interp(share, seen, at)) for share in (0.1, 0.5, 0.9))
    assert middle == pytest.approx(120.0, abs=0.02)
    assert (high - low) / WIDTH_OF_SIGMA == pytest.approx(np.hypot(1.0, sigma_mm), rel=0.03)


def test_points_lie_on_the_crest_and_point_to_the_light() -> None:
    x = (np.arange(400) + 0.5) / 4.0
    value = np.broadcast_to(3 + 4 * ndtr((50.3 - x) / 0.8), (200, 400)).astype(np.float32)
    points = edge_points(at_scale(value, 4.0, 0.5), 0.2)
    assert len(points) > 150
    assert np.abs(points.x_mm - 50.3).max() < 0.02
    assert points.nx == pytest.approx(-1.0, abs=1e-3)


@pytest.mark.slow
def test_clean_rims_are_measured_to_a_few_per_cent() -> None:
    made = few_forms()
    edges = measure_edges(made.value.astype(np.float32), PX_PER_MM)
    for rim in made.rims:
        near = along(edges, rim)
        assert len(near) > 0.95 * len(rim.outline_mm[::6])
        assert np.median(edges.sigma_mm[near]) == pytest.approx(rim.sigma_mm, rel=0.05, abs=0.02)
        assert np.median(edges.contrast[near]) == pytest.approx(abs(rim.contrast), rel=0.08)


def test_ten_to_ninety_per_cent_of_a_measured_edge_is_its_sigma_times_2_563() -> None:
    x = (np.arange(1200) + 0.5) / 5.0
    value = np.broadcast_to(2 + 5 * ndtr((x - 120.0) / 1.7), (300, 1200)).astype(np.float32)
    width = float(np.interp(0.9, (value[0] - 2) / 5, x) - np.interp(0.1, (value[0] - 2) / 5, x))
    edges = measure_edges(value, 5.0)
    assert WIDTH_OF_SIGMA * np.median(edges.sigma_mm) == pytest.approx(width, rel=0.02)


def test_painted_and_photographed_rims_meet_the_bars() -> None:
    made = few_forms()
    flat, blur = photographed(painted(made, strength=0.03, seed=3), seed=3, width=2400)
    edges = measure_edges(value_of_linear(flat.linear), FLAT_PX_PER_MM, blur_mm=blur)
    errors, held = [], []
    for rim in made.rims:
        near = along(edges, rim)
        errors.append(np.abs(edges.sigma_mm[near] / rim.sigma_mm - 1))
        held.append(np.abs(edges.sigma_mm[near] - rim.sigma_mm) <= edges.uncertainty_mm[near])
    error = np.concatenate(errors)
    assert np.median(error) <= 0.12
    assert (error <= 0.3).mean() >= 0.9
    assert np.concatenate(held).mean() >= 0.8


def test_the_blur_of_the_photo_is_taken_out() -> None:
    x = (np.arange(1200) + 0.5) / 5.0
    value = np.broadcast_to(2 + 5 * ndtr((x - 120.0) / 1.0), (300, 1200)).astype(np.float32)
    with_it, without = measure_edges(value, 5.0), measure_edges(value, 5.0, blur_mm=0.8)
    assert np.median(without.sigma_mm) == pytest.approx(np.sqrt(np.median(with_it.sigma_mm) ** 2 - 0.64), rel=0.01)


def test_where_there_is_no_edge_none_is_found() -> None:
    wide, high = round(SIZE.width_mm * 4), round(SIZE.height_mm * 4)
    even = np.full((high, wide), 5.0, np.float32)
    slope = np.broadcast_to(np.linspace(3, 7, wide, dtype=np.float32), (high, wide))
    faint = np.where(np.arange(wide) < wide // 2, 5.0, 5.0 + 0.8 * LEAST_CONTRAST)
    for value in (even, slope, np.broadcast_to(faint.astype(np.float32), (high, wide))):
        assert len(measure_edges(np.ascontiguousarray(value), 4.0)) == 0
