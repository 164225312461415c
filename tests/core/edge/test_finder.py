"""The edge nearest to a place."""

import numpy as np

from core.edge.brief import EdgeBrief
from core.edge.finder import EdgeFinder
from core.edge.lines import link_edges
from core.edge.plan import plan_edges
from core.size import Size
from tests.core.edge.plan_cases import ring, straight, together


def test_the_nearest_point_of_a_line_is_found_and_none_that_is_too_far() -> None:
    edges = together(straight((10, 40), (90, 40)), ring(50, 80, 20))
    finder = EdgeFinder(edges, link_edges(edges))
    for x, y in np.random.default_rng(0).uniform((0, 0), (100, 100), (200, 2)):
        away = np.hypot(edges.x_mm - x, edges.y_mm - y)
        found = finder.nearest(x, y, 6.0)
        if away.min() > 6.0:
            assert found is None
        else:
            assert found is not None
            assert away[found] == away.min()


def test_crumbs_that_no_plan_draws_are_left_out() -> None:
    edges = together(straight((10, 40), (90, 40)), straight((50, 60), (51, 60)), seed=None)
    lines = link_edges(edges)
    crumb = len(edges) - 1
    assert plan_edges(edges, EdgeBrief(Size(100, 100)), lines=lines).lines.line[crumb] == -1
    found = EdgeFinder(edges, lines).nearest(50.5, 60, 30.0)
    assert found is not None
    assert edges.y_mm[found] == 40


def test_without_edges_nothing_is_found() -> None:
    none = straight((10, 40), (90, 40)).only(np.zeros(161, bool))
    assert EdgeFinder(none, link_edges(none)).nearest(50, 50, 1000.0) is None
