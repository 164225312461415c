"""The edge plan: kinds by distance, contrast and hand, and the budget."""

from itertools import pairwise

import numpy as np
import pytest

from core.edge.brief import Brushed, EdgeBrief, EyeSettings, FocalPoint
from core.edge.kinds import EdgeBounds, EdgeKind
from core.edge.lines import link_edges
from core.edge.plan import (
    KINDS,
    SHORTEST_RUN_MM,
    EdgeBudget,
    EdgePlan,
    kinds_of,
    plan_edges,
    runs_of,
    softening,
    under_stroke,
)
from core.edge.width import Edges
from core.size import Size
from tests.core.edge.plan_cases import edges_along, ring, straight, together

SIZE = Size(400, 300)
BOUNDS = EdgeBounds.for_size(SIZE)
FOCUS = FocalPoint(100, 150, 20)


def out_from_focus(contrast: float = 3.0, sigma_mm: float = 0.2) -> Edges:
    return straight((100, 150), (300, 150), sigma_mm=sigma_mm, contrast=contrast)


def softens_at(plan: EdgePlan, kind: EdgeKind) -> float:
    """The distance from the focal point, mm, at which the kind begins."""
    return float((plan.edges.x_mm - 100)[plan.kind == KINDS.index(kind)].min())


def random_edges(seed: int) -> Edges:
    rng = np.random.default_rng(seed)
    parts = [
        ring(
            *rng.uniform(40, 260, 2), rng.uniform(5, 35),
            sigma_mm=float(np.exp(rng.uniform(-2, 2))), contrast=float(rng.uniform(0.5, 6)),
        )
        for _ in range(12)
    ]  # fmt: skip
    return together(*parts, seed=seed)


def test_kinds_of_many_are_those_of_each() -> None:
    sigma = np.array([0.0, 0.1, 0.5, 0.500001, 1.49, 1.5, 3.99, 4.0, 9.0, np.inf])
    assert [KINDS[k] for k in kinds_of(sigma, BOUNDS)] == [BOUNDS.kind(each) for each in sigma]


def test_without_a_focal_point_the_kinds_are_those_of_the_reference() -> None:
    edges = together(*(ring(50 + 90 * k, 150, 30, sigma_mm=s) for k, s in enumerate((0.2, 0.9, 2.5, 6.0))))
    plan = plan_edges(edges, EdgeBrief(SIZE))
    assert [plan.kind_of(k) for k in range(len(plan))] == [BOUNDS.kind(each) for each in edges.sigma_mm]
    assert plan.budget.shares == pytest.approx((0.25, 0.25, 0.25, 0.25))


def test_each_doubling_of_the_distance_softens_an_edge_of_usual_contrast_by_one_kind() -> None:
    plan = plan_edges(out_from_focus(), EdgeBrief(SIZE, (FOCUS,)))
    assert softens_at(plan, EdgeKind.HARD) == 0.0
    for kind, radii in ((EdgeKind.FIRM, 2), (EdgeKind.SOFT, 4), (EdgeKind.LOST, 8)):
        assert softens_at(plan, kind) == pytest.approx(radii * FOCUS.radius_mm, abs=0.5)


def test_faint_edges_are_lost_first_and_strong_ones_hold_out() -> None:
    lost = [
        softens_at(plan_edges(out_from_focus(contrast), EdgeBrief(SIZE, (FOCUS,))), EdgeKind.LOST)
        for contrast in (0.6, 0.75, 1.5, 3.0)
    ]
    assert all(one < other for one, other in pairwise(lost))
    assert lost[1] == pytest.approx(20 * 2**1.5, abs=0.5)  # a quarter of the usual contrast: twice as fast
    strong = plan_edges(out_from_focus(6.0), EdgeBrief(SIZE, (FOCUS,)))
    assert softens_at(strong, EdgeKind.FIRM) == pytest.approx(20 * 2 ** np.sqrt(2), abs=0.5)


def test_within_the_radius_faint_and_soft_edges_stay_as_they_are() -> None:
    for sigma, contrast in ((0.2, 0.5), (0.9, 0.5), (2.5, 3.0), (6.0, 6.0)):
        plan = plan_edges(ring(100, 150, 19, sigma_mm=sigma, contrast=contrast), EdgeBrief(SIZE, (FOCUS,)))
        assert set(plan.kind.tolist()) == {KINDS.index(BOUNDS.kind(sigma))}


def test_the_nearest_focal_point_counts_in_its_own_radii() -> None:
    edges = straight((200, 150), (200, 151), step_mm=0.5)
    wide, small = FocalPoint(100, 150, 90), FocalPoint(230, 150, 5)
    kinds = [plan_edges(edges, EdgeBrief(SIZE, foci)).kind_of(0) for foci in ((wide,), (small,), (wide, small))]
    assert kinds == [EdgeKind.HARD, EdgeKind.SOFT, EdgeKind.HARD]


@pytest.mark.parametrize("seed", range(4))
def test_no_plan_makes_an_edge_harder_than_the_reference(seed: int) -> None:
    edges = random_edges(seed)
    plan = plan_edges(edges, EdgeBrief(SIZE, (FocalPoint(120, 140, 30), FocalPoint(220, 90, 12))))
    assert (plan.kind >= plan.reference).all()
    assert (plan.kind > plan.reference).any()
    seen = np.exp(np.random.default_rng(seed).uniform(-3, 3, len(edges)))
    by_eye = plan_edges(edges, EdgeBrief(SIZE, (FOCUS,), eye=EyeSettings()), seen_mm=seen)
    assert (by_eye.kind >= by_eye.reference).all()


def test_softening_is_none_within_the_radius_and_never_more_than_lost() -> None:
    away = np.array([0.0, 0.5, 1.0, 2.0, 4.0, 1e6])
    assert softening(away, np.full(6, 3.0)) == pytest.approx([0, 0, 0, 1, 2, 3])
    assert softening(np.full(3, 2.0), np.array([1e-9, 0.75, 100.0])) == pytest.approx([2.5, 2.0, 0.7])


def test_the_range_to_compare_with_is_that_of_the_kind() -> None:
    edges = together(*(ring(50 + 90 * k, 150, 30, sigma_mm=s) for k, s in enumerate((0.2, 0.9, 2.5, 6.0))))
    plan = plan_edges(edges, EdgeBrief(SIZE))
    assert ((plan.low_mm <= edges.sigma_mm) & (edges.sigma_mm < plan.high_mm)).all()
    ranges = {plan.kind_of(k): (plan.low_mm[k], plan.high_mm[k]) for k in range(len(plan))}
    assert ranges == {
        EdgeKind.HARD: (0.0, 0.5), EdgeKind.FIRM: (0.5, 1.5), EdgeKind.SOFT: (1.5, 4.0), EdgeKind.LOST: (4.0, np.inf),
    }  # fmt: skip
    larger = plan_edges(edges, EdgeBrief(Size(800, 600)))
    assert larger.high_mm[larger.kind == 0].tolist() == [1.0] * int((larger.kind == 0).sum())


def test_strokes_count_before_all_else_and_the_later_before_the_earlier() -> None:
    edges = out_from_focus()
    soft = Brushed(((150, 140), (150, 160)), 20, EdgeKind.SOFT)
    hard = Brushed(((155, 150), (290, 150)), 2, EdgeKind.HARD)

    def kinds(*strokes: Brushed) -> list[EdgeKind]:
        plan = plan_edges(edges, EdgeBrief(SIZE, (FOCUS,), strokes))
        return [plan.kind_of(int(np.argmin(np.abs(edges.x_mm - x)))) for x in (120, 145, 158, 285)]

    assert kinds() == [EdgeKind.HARD, EdgeKind.FIRM, EdgeKind.FIRM, EdgeKind.LOST]
    assert kinds(soft, hard) == [EdgeKind.HARD, EdgeKind.SOFT, EdgeKind.HARD, EdgeKind.HARD]
    assert kinds(hard, soft) == [EdgeKind.HARD, EdgeKind.SOFT, EdgeKind.SOFT, EdgeKind.HARD]
    plan = plan_edges(edges, EdgeBrief(SIZE, (), (soft,)))
    assert edges.x_mm[plan.brushed].tolist() == pytest.approx(np.arange(140, 160.1, 0.5).tolist())


def test_a_stroke_reaches_half_its_width_from_its_line() -> None:
    x, y = (each.ravel() for each in np.meshgrid(np.arange(0, 60, 0.5), np.arange(0, 60, 0.5)))
    stroke = Brushed(((10, 10), (40, 10), (40, 45)), 6, EdgeKind.LOST)
    dense = np.concatenate([
        np.stack([np.linspace(10, 40, 3001), np.full(3001, 10.0)], axis=1),
        np.stack([np.full(3501, 40.0), np.linspace(10, 45, 3501)], axis=1),
    ])  # fmt: skip
    from scipy.spatial import cKDTree

    away = cKDTree(dense).query(np.stack([x, y], axis=1))[0]
    under = under_stroke(x, y, stroke)
    clear = np.abs(away - 3) > 1e-3
    assert (under == (away <= 3))[clear].all()
    assert under_stroke(x, y, Brushed(((30, 30),), 4, EdgeKind.HARD)).sum() == 49  # a dab: the grid in 2 mm


def test_short_stretches_of_a_harder_kind_are_taken_into_the_softer_beside_them() -> None:
    edges = straight((10, 10), (110, 10), sigma_mm=0.9)
    edges.sigma_mm[80:85] = 0.2  # 2.5 mm
    edges.sigma_mm[140:160] = 0.2  # 10 mm
    edges.sigma_mm[40:44] = 2.0
    far = FocalPoint(60, 10, 90)
    plan = plan_edges(edges, EdgeBrief(SIZE, (far,)))
    kinds = [kind for _, _, kind in runs_of(plan.lines.lines[0], plan.kind)]
    order = kinds if plan.lines.lines[0].index[0] == 0 else kinds[::-1]
    assert order == [1, 2, 1, 0, 1]
    for first, last, kind in runs_of(plan.lines.lines[0], plan.kind):
        assert (last - first) * 0.5 >= SHORTEST_RUN_MM or kind == 2


def test_runs_of_a_closed_line_go_over_its_end() -> None:
    edges = ring(50, 50, 20)
    line = link_edges(edges).lines[0]
    kind = np.zeros(len(edges), np.uint8)
    kind[line.index[50:90]] = 2
    runs = runs_of(line, kind)
    assert runs == [(50, 90, 2), (90, len(edges) + 50, 0)]
    assert runs_of(line, np.zeros(len(edges), np.uint8)) == [(0, len(edges), 0)]


@pytest.mark.parametrize("seed", range(3))
def test_the_budget_shares_out_the_whole_length(seed: int) -> None:
    plan = plan_edges(random_edges(seed), EdgeBrief(SIZE, (FocalPoint(120, 140, 30),)))
    assert sum(plan.budget.shares) == pytest.approx(1.0, abs=1e-12)
    assert plan.budget.total_mm == pytest.approx(plan.lines.total_mm)
    hard = plan.lines.length_mm[plan.kind == 0].sum()
    assert plan.budget.share(EdgeKind.HARD) * plan.budget.total_mm == pytest.approx(hard)


def test_the_budget_goes_by_length_not_by_points() -> None:
    near = straight((80, 150), (110, 150), step_mm=0.5)
    far = straight((380, 10), (380, 100), step_mm=2.0, scale_mm=4.0)
    plan = plan_edges(together(near, far), EdgeBrief(SIZE, (FOCUS,)))
    assert plan.budget.share(EdgeKind.HARD) == pytest.approx(0.25)
    assert plan.budget.say() == "25 % of edge length is hard"
    assert plan.budget.say_all() == "25 % hard, 0 % firm, 0 % soft, 75 % lost"


def test_the_budget_says_what_is_over_and_under() -> None:
    def say(wanted: float) -> str:
        return EdgeBudget(3000.0, (0.12, 0.3, 0.38, 0.2), wanted).say()

    assert say(0.08) == "12 % of edge length is hard; 8 % wanted: soften about 120 mm of it"
    assert say(0.2) == "12 % of edge length is hard; 20 % wanted: about 240 mm more may be hard"
    assert say(0.122) == "12 % of edge length is hard; 12 % wanted: as wanted"
    assert say(0.6) == "12 % of edge length is hard; 60 % wanted: about 1.4 m more may be hard"
    assert EdgeBudget(3000.0, (0.12, 0.3, 0.38, 0.2)).over_mm == 0.0


def test_where_there_is_no_edge_nothing_is_shared_out() -> None:
    none = out_from_focus().only(np.zeros(401, bool))
    plan = plan_edges(none, EdgeBrief(SIZE, (FOCUS,), wanted_hard=0.2))
    assert plan.budget.total_mm == 0.0
    assert plan.budget.say() == "No edge was found to plan."


def test_by_the_eye_an_edge_is_as_it_is_seen_and_distance_is_left_out() -> None:
    edges = out_from_focus(contrast=0.6)
    brief = EdgeBrief(SIZE, (FOCUS,), eye=EyeSettings())
    seen = np.where(edges.x_mm < 180, 0.3, np.where(edges.x_mm < 260, 1.0, np.inf))
    plan = plan_edges(edges, brief, seen_mm=seen)
    assert [plan.kind_of(k) for k in (0, 150, 200, 390)] == [EdgeKind.HARD, EdgeKind.HARD, EdgeKind.FIRM, EdgeKind.LOST]
    with pytest.raises(ValueError, match="as the eye sees it"):
        plan_edges(edges, brief)
    without = plan_edges(edges, EdgeBrief(SIZE, (), eye=EyeSettings()))
    assert (without.kind == without.reference).all()


def test_contrast_that_wavers_from_point_to_point_does_not_break_an_edge_up() -> None:
    edges = edges_along(np.stack([np.linspace(100, 300, 401), np.full(401, 150.0)], axis=1))
    edges.contrast[:] += np.random.default_rng(2).normal(0, 0.6, 401)
    plan = plan_edges(edges, EdgeBrief(SIZE, (FOCUS,)))
    assert len(runs_of(plan.lines.lines[0], plan.kind)) == 4
