"""Where the painting's edges are too hard or too soft, on paintings whose edges are known."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.special import ndtr

from core.edge.compare import EdgeComparison, ReferenceEdges, compare_edges, reference_edges
from core.edge.faults_picture import faults_picture
from core.edge.kinds import EdgeBounds, EdgeKind
from core.edge.photo_blur import PhotoBlur
from core.edge.stretches import Verdict, bounds_words
from tests.core.edge.softened_cases import softened_case
from tests.measure.edge_compare import Score, judged

PX_PER_MM = 4.0
BOUNDS = EdgeBounds()
WIDE_MM, HIGH_MM = 160, 120


def upright(sigma_mm: np.ndarray | float, *, at_mm: float = 80.0, steps: float = 3.0) -> np.ndarray:
    """An upright edge, lighter on the right, whose sigma may change from row to row."""
    x = (np.arange(WIDE_MM * 4) + 0.5) / PX_PER_MM
    rows = np.broadcast_to(np.asarray(sigma_mm, dtype=np.float64), (HIGH_MM * 4,))
    return (4 + steps * ndtr((x[None] - at_mm) / rows[:, None])).astype(np.float32)


def half_and_half(upper_mm: float, lower_mm: float) -> np.ndarray:
    return upright(np.where(np.arange(HIGH_MM * 4) < HIGH_MM * 2, upper_mm, lower_mm))


@cache
def hard() -> ReferenceEdges:
    return reference_edges(upright(0.4), PX_PER_MM)


def compared(canvas: np.ndarray, **more) -> EdgeComparison:
    return compare_edges(hard(), canvas, px_per_mm=PX_PER_MM, bounds=BOUNDS, **more)


def test_the_same_picture_is_right_and_told_throughout() -> None:
    answer = compared(upright(0.4))
    assert answer.faults == ()
    assert answer.told_share > 0.9
    assert np.nanmedian(answer.canvas_mm) == pytest.approx(0.4, rel=0.08)


def test_the_softened_half_is_found_with_its_place_and_width() -> None:
    answer = compared(half_and_half(0.4, 2.4))
    (whole,) = answer.faults
    parts = [each for each in answer.stretches if each.verdict is not Verdict.RIGHT]
    assert whole.length_mm == pytest.approx(HIGH_MM / 2, rel=0.2)
    assert sum(each.length_mm for each in parts) == pytest.approx(whole.length_mm, rel=0.05)
    assert max(each.length_mm for each in parts) < 21
    for each in (whole, *parts):
        assert each.verdict is Verdict.SOFT
        assert each.y_mm > HIGH_MM / 2 - 5
        assert each.canvas_mm == pytest.approx(2.4, rel=0.1)
        assert each.contrast == pytest.approx(3.0, rel=0.1)
        assert each.say().startswith("too soft: 2.")
        assert each.say().endswith("hard in the reference (0.4 mm)")


def test_an_edge_painted_harder_than_the_reference_is_found() -> None:
    soft = reference_edges(upright(3.0), PX_PER_MM)
    answer = compare_edges(soft, half_and_half(3.0, 0.5), px_per_mm=PX_PER_MM, bounds=BOUNDS)
    assert {each.verdict for each in answer.faults} == {Verdict.HARD}
    assert min(each.y_mm for each in answer.faults) > HIGH_MM / 2 - 5


def test_where_no_step_is_left_the_edge_is_lost() -> None:
    answer = compared(np.full((HIGH_MM * 4, WIDE_MM * 4), 5.0, np.float32))
    assert answer.faults
    assert all(each.lost and "lost" in each.say() for each in answer.faults)


def test_the_plan_counts_before_the_reference() -> None:
    planned = [EdgeKind.SOFT] * len(hard().edges)
    as_planned, kept_hard = (compared(upright(sigma), planned=planned) for sigma in (2.4, 0.4))
    assert as_planned.faults == ()
    assert {each.verdict for each in kept_hard.faults} == {Verdict.HARD}
    assert kept_hard.faults[0].say().endswith("planned soft (1.5 to 4 mm)")
    lost = compared(upright(8.0), planned=[EdgeKind.LOST] * len(hard().edges))
    assert lost.faults == ()


def test_a_plan_of_other_edges_is_refused() -> None:
    with pytest.raises(ValueError, match="kinds"):
        compared(upright(0.4), planned=[EdgeKind.HARD])


def test_a_reference_without_edges_has_nothing_to_compare() -> None:
    even = np.full((HIGH_MM * 4, WIDE_MM * 4), 5.0, np.float32)
    answer = compare_edges(reference_edges(even, PX_PER_MM), upright(0.4), px_per_mm=PX_PER_MM, bounds=BOUNDS)
    assert answer.stretches == ()
    assert answer.told_share == 0


def test_the_blur_of_a_photo_hides_whether_edges_are_hard() -> None:
    answer = compared(upright(np.hypot(0.4, 0.9)), blur=PhotoBlur(0.9, 0.9, known=True))
    assert answer.stretches == ()


def test_what_is_withheld_is_not_told() -> None:
    hidden = np.zeros((HIGH_MM * 4, WIDE_MM * 4), bool)
    hidden[HIGH_MM * 2 :] = True
    answer = compared(half_and_half(0.4, 2.4), withheld=hidden)
    assert answer.faults == ()
    assert np.isnan(answer.canvas_mm[answer.places.y_mm > HIGH_MM / 2]).all()


def test_the_edge_is_looked_for_where_the_painting_has_it() -> None:
    strayed = upright(2.4, at_mm=86.0)
    here = compared(strayed, move=lambda places: places + np.array([6.0, 0.0]))
    assert np.nanmedian(here.canvas_mm) == pytest.approx(2.4, rel=0.1)
    assert np.median(here.canvas_x_mm - here.places.x_mm) == pytest.approx(6.0)


def bars(sigma_mm: float) -> np.ndarray:
    """Twelve upright bars, so far apart that each has its own edges."""
    x = (np.arange(480 * 4) + 0.5) / PX_PER_MM
    light = sum(ndtr((x - left) / sigma_mm) - ndtr((x - left - 20) / sigma_mm) for left in np.arange(12) * 40 + 10.0)
    return np.broadcast_to((4 + 3 * light).astype(np.float32), (240, len(x))).copy()


def test_what_most_edges_have_is_said_of_the_whole() -> None:
    wanted = reference_edges(bars(0.4), PX_PER_MM)
    blocked_in = compare_edges(wanted, bars(2.4), px_per_mm=PX_PER_MM, bounds=BOUNDS)
    assert len(blocked_in.faults) > 20
    assert blocked_in.whole.startswith("Most edges are too soft: 100 % of their length")
    assert compare_edges(wanted, bars(0.4), px_per_mm=PX_PER_MM, bounds=BOUNDS).whole == ""
    kinds = [EdgeKind.SOFT] * len(wanted.edges)
    by_plan = compare_edges(wanted, bars(0.4), px_per_mm=PX_PER_MM, bounds=BOUNDS, planned=kinds)
    assert by_plan.whole.startswith("Most edges are too hard for the plan: ")


def test_a_fault_near_the_focal_point_weighs_more() -> None:
    near, far = (compared(upright(2.4), foci_mm=[at]) for at in ((80.0, 20.0), (800.0, 600.0)))
    assert near.faults[0].weight > 1.3 * far.faults[0].weight
    assert max(each.weight for each in near.stretches) > 1.5 * max(each.weight for each in far.stretches)
    assert max(near.stretches, key=lambda each: each.weight).y_mm < 60


def test_the_blur_of_the_photo_is_taken_out_of_the_canvas() -> None:
    seen = upright(np.hypot(0.4, 0.9))
    assert compared(seen).faults
    answer = compared(seen, blur=PhotoBlur(0.9, 0.9, known=True))
    assert answer.faults == ()
    assert "out of focus" in answer.notes[0]
    upright_only = compared(seen, blur=PhotoBlur(0.0, 0.9, known=True))
    assert upright_only.faults  # a blur up and down does nothing to an upright edge


def test_a_blur_that_is_not_known_only_widens() -> None:
    seen = upright(np.hypot(0.4, 0.9))
    answer = compared(seen, blur=PhotoBlur(0.9, 0.9, known=False))
    assert np.nanmedian(answer.canvas_mm) == pytest.approx(np.hypot(0.4, 0.9), rel=0.06)
    assert np.nanmedian(answer.uncertainty_mm) > 0.4
    assert answer.faults == ()


def test_a_form_that_fades_in_a_soft_photo_is_not_called_lost() -> None:
    even = np.full((HIGH_MM * 4, WIDE_MM * 4), 5.0, np.float32)
    assert [each.lost for each in compared(even, blur=PhotoBlur(0.3, 0.3, known=True)).faults] == [True]
    for known in (True, False):
        soft = compared(even, blur=PhotoBlur(1.3, 1.3, known=known))
        assert soft.faults == soft.stretches == ()
        assert np.isnan(soft.canvas_mm).all()
    up_and_down = compared(even, blur=PhotoBlur(0.1, 1.3, known=True))
    assert up_and_down.faults  # that does nothing to an upright edge


def discs() -> np.ndarray:
    y, x = np.mgrid[: HIGH_MM * 4, : WIDE_MM * 4] / PX_PER_MM
    away = np.hypot(x % 40 - 20, y % 40 - 20) - 8
    return (7 - 3 * ndtr(away / 0.4)).astype(np.float32)


def test_a_bare_canvas_is_told_as_a_whole() -> None:
    """No list of every edge there is; where half of the forms are laid in, the others are listed."""
    wanted = reference_edges(discs(), PX_PER_MM)
    bare = np.full_like(discs(), 5.0)
    answer = compare_edges(wanted, bare, px_per_mm=PX_PER_MM, bounds=BOUNDS)
    assert answer.faults == ()
    assert sum(each.verdict is Verdict.SOFT for each in answer.stretches) > 8
    assert answer.notes[0].startswith("Hardly an edge of the reference is on the canvas: 100 % of what could be judged")
    half = np.where(np.arange(WIDE_MM * 4) < WIDE_MM * 2, discs(), bare)
    begun = compare_edges(wanted, half, px_per_mm=PX_PER_MM, bounds=BOUNDS)
    assert len(begun.faults) >= 6
    assert begun.notes == ()
    lost = [EdgeKind.LOST] * len(wanted.edges)
    for canvas, wrong in ((bare, 0), (discs(), 12)):
        as_planned = compare_edges(wanted, canvas, px_per_mm=PX_PER_MM, bounds=BOUNDS, planned=lost)
        assert len(as_planned.faults) == wrong
        assert as_planned.notes == ()


@pytest.mark.parametrize("other", [0.4, 3.0])
def test_faults_are_drawn_as_large_on_any_canvas(other: float) -> None:
    """The same picture on a canvas several times as large, or a part, has the same marks."""
    found = compare_edges(reference_edges(upright(0.4), PX_PER_MM), half_and_half(0.4, 2.4), px_per_mm=4, bounds=BOUNDS)
    larger = replace(
        found,
        stretches=tuple(replace(each, path_mm=each.path_mm * other) for each in found.stretches),
        faults=tuple(replace(each, path_mm=each.path_mm * other) for each in found.faults),
    )
    plain = np.full((HIGH_MM * 4, WIDE_MM * 4, 3), 200, np.uint8)
    usual, scaled = (faults_picture(plain, each, px_per_mm=4 / by) for each, by in ((found, 1), (larger, other)))
    marked = (np.abs(usual.astype(int) - faults_picture(plain, replace(found, stretches=(), faults=()), 4)) > 8).sum()
    assert marked > 300
    assert (np.abs(usual.astype(int) - scaled) > 8).sum() < 0.1 * marked


@pytest.mark.parametrize(
    ("kind", "words"),
    [("hard", "under 0.5 mm"), ("firm", "0.5 to 1.5 mm"), ("soft", "1.5 to 4 mm"), ("lost", "4 mm and more")],
)
def test_bounds_in_words(kind: str, words: str) -> None:
    assert bounds_words(EdgeKind(kind), BOUNDS) == words


def test_a_painting_with_known_faults() -> None:
    case = softened_case(4, width=1800)
    score = Score()
    answer = judged(case, score)
    assert all(score.soft)
    assert all(score.hard)
    assert score.false[0] <= 2
    assert np.median(np.abs(score.errors)) < 0.2
    untouched = replace(case, canvas=case.reference, displacement=type(case.displacement)(case.size), zones=())
    assert all(each.verdict is Verdict.RIGHT for each in judged(untouched, Score()).stretches)
    assert answer.told_share > 0.8
