"""The plan by the eye: edges measured again on the picture as it is seen."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from core.colorimetry import luminance_of_value
from core.edge.brief import EdgeBrief, EyeSettings, FocalPoint
from core.edge.eye import eye_sigma_mm
from core.edge.kinds import EdgeBounds, EdgeKind
from core.edge.lines import link_edges
from core.edge.plan import KINDS, EdgePlan
from core.edge.seen import edges_as_seen, plan_as_seen, seen_sigmas
from core.edge.width import Edges, measure_edges
from core.errors import PainterError
from core.size import Size
from tests.core.edge.plan_cases import discs, ring, straight, together

SIZE, PX_PER_MM = Size(200, 70), 4.0
NEAR, FAR = (35, 35, 18), (165, 35, 18)
FOCUS = FocalPoint(35, 35, 20)
BRIEF = EdgeBrief(SIZE, (FOCUS,), eye=EyeSettings(400, 1.5), bounds=EdgeBounds())


@cache
def scene() -> tuple[np.ndarray, Edges]:
    """Two hard discs, one where the eye rests and one far from it."""
    value = discs(200, 70, PX_PER_MM, [(*NEAR, 0.25, 3.0), (*FAR, 0.25, 3.0)])
    return light_of(value), measure_edges(value, PX_PER_MM)


def light_of(value: np.ndarray) -> np.ndarray:
    return np.repeat(luminance_of_value(value)[..., None], 3, axis=2).astype(np.float32)


@cache
def planned() -> EdgePlan:
    light, edges = scene()
    return plan_as_seen(edges, light, BRIEF, px_per_mm=PX_PER_MM)


def on(edges: Edges, disc: tuple[float, float, float]) -> np.ndarray:
    x, y, radius = disc
    return np.abs(np.hypot(edges.x_mm - x, edges.y_mm - y) - radius) < 1.0


def test_an_edge_is_seen_as_wide_as_the_eye_makes_it() -> None:
    light, edges = scene()
    seen = seen_sigmas(edges, edges_as_seen(light, BRIEF, px_per_mm=PX_PER_MM), link_edges(edges))
    far = on(edges, FAR)
    away = np.hypot(edges.x_mm - FOCUS.x_mm, edges.y_mm - FOCUS.y_mm)[far] - FOCUS.radius_mm
    expected = np.hypot(0.25, eye_sigma_mm(away, BRIEF.eye))  # type: ignore[arg-type]
    assert np.isfinite(seen[far]).mean() > 0.95
    assert np.median(seen[far] / expected) == pytest.approx(1.0, abs=0.12)
    assert seen[on(edges, NEAR)] == pytest.approx(edges.sigma_mm[on(edges, NEAR)], abs=0.05)


def test_the_plan_is_hard_where_the_eye_rests_and_softer_far_from_it() -> None:
    plan, (_, edges) = planned(), scene()
    assert {plan.kind_of(int(k)) for k in np.flatnonzero(on(edges, NEAR))} == {EdgeKind.HARD}
    far = plan.kind[on(edges, FAR)]
    assert (far > KINDS.index(EdgeKind.HARD)).mean() > 0.95
    assert (plan.kind >= plan.reference).all()


def test_what_the_eye_cannot_follow_is_lost() -> None:
    band = [(155, 35, 20, 0.25, 0.8), (155, 35, 18, 0.25, -0.8)]  # 2 mm wide, 0.8 step lighter
    value = discs(200, 70, PX_PER_MM, [(*NEAR, 0.25, 3.0), *band])
    edges = measure_edges(value, PX_PER_MM)
    outer = on(edges, (155, 35, 20))
    assert outer.sum() > 50
    brief = replace(BRIEF, eye=EyeSettings(400, 3.0))
    plan = plan_as_seen(edges, light_of(value), brief, px_per_mm=PX_PER_MM)
    assert {KINDS[k] for k in plan.reference[outer]} == {EdgeKind.HARD}
    assert {KINDS[k] for k in plan.kind[outer]} == {EdgeKind.LOST}
    assert {KINDS[k] for k in plan.kind[on(edges, NEAR)]} == {EdgeKind.HARD}


def test_a_short_gap_in_what_is_seen_is_filled_along_the_line_and_a_long_one_is_not() -> None:
    edges = together(straight((10, 10), (110, 10)), seed=None)
    lines = link_edges(edges)
    blurred = replace(edges, sigma_mm=1.0 + edges.x_mm / 100)
    short = blurred.only((edges.x_mm < 50) | (edges.x_mm > 56))
    sigma = seen_sigmas(edges, short, lines)
    assert sigma == pytest.approx(blurred.sigma_mm, rel=0.01)
    long = blurred.only((edges.x_mm < 40) | (edges.x_mm > 60))
    sigma = seen_sigmas(edges, long, lines)
    assert np.isinf(sigma[(edges.x_mm > 42) & (edges.x_mm < 58)]).all()
    open_end = blurred.only(edges.x_mm < 105)
    assert np.isinf(seen_sigmas(edges, open_end, lines)[edges.x_mm > 107]).all()


def test_another_edge_close_by_is_not_taken_for_it() -> None:
    there, back = straight((10, 10), (60, 10)), straight((60, 10.3), (10, 10.3), sigma_mm=0.7)
    lines = link_edges(there)
    assert np.isinf(seen_sigmas(there, back, lines)).all()
    assert seen_sigmas(there, together(there, back), lines) == pytest.approx(there.sigma_mm)
    aside = straight((10, 14), (60, 14))
    assert np.isinf(seen_sigmas(there, aside, lines)).all()


def test_nothing_seen_is_all_lost() -> None:
    edges = ring(50, 40, 20)
    none = edges.only(np.zeros(len(edges), bool))
    assert np.isinf(seen_sigmas(edges, none, link_edges(edges))).all()
    assert len(seen_sigmas(none, edges, link_edges(none))) == 0


def test_the_eye_needs_its_distance_and_a_place_to_rest() -> None:
    light, edges = scene()
    with pytest.raises(PainterError, match="Set the viewing distance first"):
        plan_as_seen(edges, light, EdgeBrief(SIZE, (FOCUS,)), px_per_mm=PX_PER_MM)
    with pytest.raises(PainterError, match="Set a focal point first"):
        plan_as_seen(edges, light, EdgeBrief(SIZE, eye=EyeSettings()), px_per_mm=PX_PER_MM)
