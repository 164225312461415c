"""Snapping against rendered edges whose place is known: a disc and straight edges, blurred as by a lens, with noise."""

import numpy as np
import pytest
from scipy.special import erf

from core.drawing.snap import Edges, edges_of, snap_place, snap_stroke

PX_PER_MM = 4.0
WIDTH, HEIGHT = 100, 80
CENTRE, RADIUS = (50.0, 40.0), 25.3
ALLOWED_MM = 0.15


def places() -> tuple[np.ndarray, np.ndarray]:
    rows, columns = np.mgrid[0 : HEIGHT * PX_PER_MM, 0 : WIDTH * PX_PER_MM]
    return (columns + 0.5) / PX_PER_MM, (rows + 0.5) / PX_PER_MM


def picture(across_mm: np.ndarray, *, contrast: float, soft: float, noise: float) -> Edges:
    """Value 5 plus and minus half the contrast, a Gaussian edge where ``across_mm`` is 0."""
    random = np.random.default_rng(3)
    value = 5.0 + contrast / 2 * erf(across_mm / soft / np.sqrt(2)) + random.normal(0, noise, across_mm.shape)
    return edges_of(value.astype(np.float32), PX_PER_MM)


def disc(**options: float) -> Edges:
    x, y = places()
    return picture(np.hypot(x - CENTRE[0], y - CENTRE[1]) - RADIUS, **options)


def shaky_ring(count: int = 200) -> np.ndarray:
    """Drawn by hand about the disc: up to 0.8 mm off."""
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    radius = RADIUS + 0.3 + 0.5 * np.sin(5 * turn)
    return np.column_stack([CENTRE[0] + radius * np.cos(turn), CENTRE[1] + radius * np.sin(turn)])


def off_the_disc(points: np.ndarray) -> np.ndarray:
    return np.abs(np.hypot(*(points - CENTRE).T) - RADIUS)


@pytest.mark.parametrize(("contrast", "soft", "noise"), [(3.0, 0.2, 0.0), (3.0, 0.2, 0.1), (1.5, 0.4, 0.1)])
def test_a_stroke_and_a_place_come_onto_the_edge(contrast, soft, noise):
    edges = disc(contrast=contrast, soft=soft, noise=noise)
    assert off_the_disc(shaky_ring()).max() > 0.7
    assert off_the_disc(snap_stroke(edges, shaky_ring(), closed=True)).max() <= ALLOWED_MM
    assert off_the_disc(snap_stroke(edges, shaky_ring()[:120])).max() <= ALLOWED_MM
    single = np.array([snap_place(edges, x, y) for x, y in shaky_ring(60)])
    assert off_the_disc(single).max() <= ALLOWED_MM


@pytest.mark.parametrize("turn_deg", [0.0, 17.0, 45.0, 90.0])
def test_straight_edges_in_any_direction(turn_deg):
    across = np.array([np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))])
    x, y = places()
    edges = picture((x - 50.0) * across[0] + (y - 40.0) * across[1], contrast=2.0, soft=0.25, noise=0.05)
    along = np.array([-across[1], across[0]])
    stroke = np.array([50.0, 40.0]) + np.linspace(-20, 20, 50)[:, None] * along + 0.7 * across
    off = (snap_stroke(edges, stroke) - (50.0, 40.0)) @ across
    assert np.abs(off).max() <= ALLOWED_MM


def test_where_there_is_no_edge_everything_stays_where_it_was_drawn():
    x, _ = places()
    edges = picture(np.full_like(x, 1.0), contrast=0.0, soft=1.0, noise=0.1)
    stroke = np.column_stack([np.linspace(10, 90, 60), np.full(60, 33.0)])
    assert np.abs(snap_stroke(edges, stroke)[:, 1] - 33.0).max() == 0.0
    assert snap_place(edges, 20.0, 30.0) == (20.0, 30.0)


def test_an_edge_out_of_reach_is_left_alone():
    edges = disc(contrast=3.0, soft=0.2, noise=0.05)
    inner = CENTRE + (shaky_ring() - CENTRE) * 0.85  # about 4 mm inside
    moved = snap_stroke(edges, inner, closed=True)
    assert np.abs(np.hypot(*(moved - CENTRE).T) - RADIUS).min() > 2.5
    place = (CENTRE[0] + RADIUS - 4.0, CENTRE[1])
    assert snap_place(edges, *place) == place


def test_a_stroke_keeps_to_the_hand_where_its_edge_ends():
    x, y = places()
    upper = np.where(y < 40.0, x - 50.0, -30.0)  # the edge at x = 50 goes down to y = 40 only
    edges = picture(upper, contrast=2.0, soft=0.25, noise=0.05)
    stroke = np.column_stack([np.full(120, 50.8), np.linspace(5, 75, 120)])
    moved = snap_stroke(edges, stroke)
    assert np.abs(moved[moved[:, 1] < 36.0, 0] - 50.0).max() <= ALLOWED_MM
    assert np.abs(moved[moved[:, 1] > 46.0, 0] - 50.8).max() == 0.0
    assert np.abs(np.diff(moved[:, 0])).max() < 0.5


def test_a_stroke_without_length_and_a_picture_that_is_none():
    edges = disc(contrast=3.0, soft=0.2, noise=0.0)
    dot = np.array([[50.0, 40.0], [50.0, 40.0]])
    assert np.array_equal(snap_stroke(edges, dot), dot)
    with pytest.raises(ValueError, match="A value picture"):
        edges_of(np.zeros((3, 3, 3), np.float32), 4.0)
