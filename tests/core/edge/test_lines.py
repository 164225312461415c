"""Edge points linked into lines."""

import time

import numpy as np
import pytest

from core.edge.lines import EdgeLines, link_edges
from core.edge.width import Edges, measure_edges
from tests.core.edge.plan_cases import discs, edges_along, ring, straight, together


def jittered(edges: Edges, off_mm: float, seed: int = 1) -> Edges:
    off = np.random.default_rng(seed).normal(0, off_mm, (2, len(edges)))
    more = {name: getattr(edges, name) for name in Edges.__dataclass_fields__}
    return Edges(**{**more, "x_mm": edges.x_mm + off[0], "y_mm": edges.y_mm + off[1]})


def in_order(found: EdgeLines, edges: Edges) -> bool:
    """Every line goes on with the lighter side to its left."""
    for line in found.lines:
        step = np.diff(line.points_mm, axis=0)
        ways = np.stack([-edges.ny, edges.nx], axis=1)[line.index[:-1]]
        if not ((step * ways).sum(axis=1) > 0).all():
            return False
    return True


def test_a_ring_is_one_closed_line_as_long_as_it_is_round() -> None:
    edges = together(ring(50, 40, 20))
    found = link_edges(edges)
    assert len(found.lines) == 1
    assert found.lines[0].closed
    assert found.lines[0].length_mm == pytest.approx(2 * np.pi * 20, rel=1e-3)
    assert sorted(found.lines[0].index.tolist()) == list(range(len(edges)))
    assert found.length_mm == pytest.approx(found.total_mm / len(edges), rel=1e-6)
    assert in_order(found, edges)


def test_lengths_of_points_sum_to_the_lines() -> None:
    edges = together(straight((5, 5), (65, 5)), ring(50, 40, 12), straight((5, 70), (25, 75), step_mm=0.9))
    found = link_edges(edges)
    assert [line.closed for line in found.lines] == [True, False, False]
    for number, length in enumerate((2 * np.pi * 12, 60.0, np.hypot(20, 5))):
        assert found.length_mm[found.line == number].sum() == pytest.approx(length, rel=2e-3)
    assert found.total_mm == pytest.approx(sum(line.length_mm for line in found.lines))


def test_jitter_lengthens_a_line_little_and_breaks_none() -> None:
    edges = jittered(together(ring(50, 40, 25)), 0.05)
    found = link_edges(edges)
    assert len(found.lines) == 1
    assert found.total_mm == pytest.approx(2 * np.pi * 25, rel=0.02)


def test_points_that_lie_twice_on_an_edge_do_not_make_it_longer() -> None:
    once = ring(50, 40, 25)
    edges = jittered(together(once, once), 0.04)
    assert link_edges(edges).total_mm == pytest.approx(2 * np.pi * 25, rel=0.06)


def test_nothing_is_linked_over_a_gap() -> None:
    edges = together(straight((5, 10), (25, 10)), straight((27.5, 10), (60, 10)))
    found = link_edges(edges)
    assert [round(line.length_mm, 1) for line in found.lines] == [32.5, 20.0]


def test_nor_across_to_a_parallel_edge_close_by() -> None:
    there = straight((5, 10), (60, 10))
    back = straight((60, 10.8), (5, 10.8))  # the other side of a thin dark line
    same = straight((5, 12.4), (60, 12.4))
    found = link_edges(together(there, back, same))
    assert len(found.lines) == 3
    for line in found.lines:
        assert np.ptp(line.points_mm[:, 1]) == 0.0
        assert line.length_mm == pytest.approx(55.0)


def test_lines_are_split_where_they_meet() -> None:
    bar = straight((10, 30), (70, 30))
    stem = straight((25.2, 50), (40.2, 30.6))  # comes up to the bar aslant and would go on along it
    edges = together(bar, stem)
    found = link_edges(edges)
    lengths = sorted(line.length_mm for line in found.lines)
    assert len(lengths) == 3
    assert lengths[0] == pytest.approx(np.hypot(15, 19.4), abs=0.1)
    assert lengths[1] + lengths[2] == pytest.approx(60.0)
    meet = [end for line in found.lines for end in line.points_mm[[0, -1]] if np.hypot(*(end - (41, 30))) < 2.5]
    assert len(meet) == 3


def test_a_ring_that_is_met_is_opened_there_and_as_long_as_before() -> None:
    circle = ring(50, 40, 15)
    tangent = straight((66.0, 12), (65.2, 38.5))
    found = link_edges(together(circle, tangent))
    assert not any(line.closed for line in found.lines)
    of_ring = [line for line in found.lines if line.points_mm[:, 0].min() < 60]
    assert sum(line.length_mm for line in of_ring) == pytest.approx(2 * np.pi * 15, rel=0.01)


def test_crumbs_are_dropped() -> None:
    edges = together(straight((10, 10), (13, 10)), straight((10, 20), (15, 20)))
    found = link_edges(edges)
    assert [line.length_mm for line in found.lines] == pytest.approx([5.0])
    assert set(found.line[edges.y_mm == 10].tolist()) == {-1}
    assert not found.length_mm[edges.y_mm == 10].any()
    assert len(link_edges(edges, shortest_mm=2.0).lines) == 2
    with pytest.raises(ValueError, match="shortest"):
        link_edges(edges, shortest_mm=-1.0)


def test_no_points_make_no_lines() -> None:
    none = ring(50, 40, 20).only(np.zeros(251, bool))
    found = link_edges(none)
    assert found.lines == ()
    assert found.total_mm == 0.0


def test_soft_edges_have_their_points_farther_apart() -> None:
    soft = straight((10, 10), (90, 10), step_mm=2.5, scale_mm=4.0)
    assert [line.length_mm for line in link_edges(together(soft)).lines] == pytest.approx([80.0])


def test_measured_rims_are_linked_all_round() -> None:
    value = discs(120, 60, 4.0, [(30, 30, 20, 0.3, 3.0), (90, 30, 18, 2.0, -2.5)])
    found = link_edges(measure_edges(value, 4.0))
    for number, (x, radius) in enumerate(((30, 20), (90, 18))):
        line = found.lines[number]
        assert line.closed
        assert line.length_mm == pytest.approx(2 * np.pi * radius, rel=0.03)
        assert np.hypot(line.points_mm[:, 0] - x, line.points_mm[:, 1] - 30) == pytest.approx(radius, abs=0.35)
    assert sum(line.length_mm for line in found.lines[2:]) == 0.0


def test_thousands_of_points_are_linked_at_once() -> None:
    many = [ring(20 + 40 * column, 20 + 40 * row, 15) for column in range(9) for row in range(7)]
    edges = jittered(together(*many), 0.03)
    link_edges(edges)
    taken = []
    for _ in range(3):
        start = time.process_time()
        link_edges(edges)
        taken.append(time.process_time() - start)
    assert len(edges) > 11_000
    assert min(taken) < 0.4


def test_a_line_keeps_its_points_in_their_order() -> None:
    turn = np.linspace(0, 3, 200)
    spiral = np.stack([50 + (5 + 10 * turn) * np.cos(turn), 50 + (5 + 10 * turn) * np.sin(turn)], axis=1)
    at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(spiral, axis=0), axis=1))])
    even = np.arange(0, at[-1], 0.6)
    points = np.stack([np.interp(even, at, spiral[:, k]) for k in (0, 1)], axis=1)
    order = np.random.default_rng(5).permutation(len(points))
    found = link_edges(edges_along(points).only(order))
    assert len(found.lines) == 1
    assert order[found.lines[0].index].tolist() == list(range(len(points)))
