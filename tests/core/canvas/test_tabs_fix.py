"""The canvas told by its tabs: against exact geometry, drawn errors, and simulated photos."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from core.canvas.canvas_map import CanvasMap, grid_mm
from core.canvas.tab_find import find_tabs
from core.canvas.tab_fix import fix_by_tabs
from core.canvas.tabs import FoundTab, TabSetup, set_up, set_up_measured
from core.errors import CanvasError
from core.size import Size
from tests.core.canvas.test_tabs import exact
from tests.studio import tabbed as t

SIZE = Size(400, 300)
SCENE = t.Scene(tabs=t.random_tabs(np.random.default_rng(8)))
FIRST = t.View(width=1920, height=1080, fill=0.58, yaw_deg=-4.0, pitch_deg=3.0, k1=-0.04)
THEN = t.View(width=1920, height=1080, fill=0.6, yaw_deg=8.0, pitch_deg=-5.0, roll_deg=2.0, k1=-0.04, seed=4)
SETUP = set_up(exact(SCENE, FIRST), t.corners_px(SCENE, FIRST), SIZE, lens_k1=FIRST.k1)
SEVERAL = [choice for count in (2, 3, 4) for choice in combinations(range(4), count)]


def off_mm(corners_px: np.ndarray, view: t.View, scene: t.Scene = SCENE) -> np.ndarray:
    true = CanvasMap(t.corners_px(scene, view), SIZE, view.width, view.height, view.k1)
    return np.linalg.norm(true.px_to_mm(corners_px) - true.px_to_mm(true.corners_px), axis=1)


def noisy(found: list[FoundTab], rng: np.random.Generator) -> list[FoundTab]:
    return [replace(tab, corners_px=tab.corners_px + rng.normal(0, tab.sigma_px, (4, 2))) for tab in found]


@pytest.mark.parametrize("choice", SEVERAL, ids=str)
def test_exact_tabs_give_exact_corners(choice: tuple[int, ...]) -> None:
    fix = fix_by_tabs([exact(SCENE, THEN)[corner] for corner in choice], SETUP, lens_k1=THEN.k1)
    assert off_mm(fix.corners_px, THEN).max() < 0.002
    assert fix.found_by == "tabs"
    assert fix.tabs == choice
    assert fix.k1 == pytest.approx(THEN.k1, abs=1e-4)
    assert fix.notes == ()
    assert fix.confidence > 0.9
    true = CanvasMap(t.corners_px(SCENE, THEN), SIZE, THEN.width, THEN.height, THEN.k1)
    assert fix.px_per_mm == pytest.approx(float(true.scales(grid_mm(SIZE)).min()), rel=1e-3)


@pytest.mark.parametrize("k1", [-0.08, 0.0, 0.05])
def test_four_tabs_tell_the_lens(k1: float) -> None:
    view = replace(THEN, k1=k1)
    fix = fix_by_tabs(exact(SCENE, view), SETUP)
    assert fix.k1 == pytest.approx(k1, abs=max(0.001, 2 * fix.k1_sigma))
    assert off_mm(fix.corners_px, view).max() < 0.05


@pytest.mark.parametrize("choice", [(0, 1, 2, 3), (0, 1, 2), (0, 3), (0, 1), (1, 3)], ids=str)
def test_errors_are_as_large_as_is_told(choice: tuple[int, ...]) -> None:
    """Readings drawn with the very spread that they claim; the set-up and the lens are exact, so that a little less
    than what is told is expected."""
    rng = np.random.default_rng(11)
    setup = TabSetup(SIZE, SETUP.tabs, placed_mm=0.0)
    found = [replace(exact(SCENE, THEN)[corner], grown_px=1e-4) for corner in choice]
    true = CanvasMap(t.corners_px(SCENE, THEN), SIZE, THEN.width, THEN.height, THEN.k1)
    face = grid_mm(SIZE, 5)
    ratios = []
    for _ in range(40):
        fix = fix_by_tabs(noisy(found, rng), setup, lens_k1=THEN.k1, lens_sigma=1e-5)
        here = CanvasMap(fix.corners_px, SIZE, THEN.width, THEN.height, fix.k1)
        off = here.px_to_mm(true.mm_to_px(face)) - face
        ratios.append(float((off**2).sum(axis=1).mean()) / fix.uncertainty_mm**2)
    assert 0.55 < float(np.mean(ratios)) < 1.45


def test_what_is_told_grows_as_tabs_are_fewer() -> None:
    found = exact(SCENE, THEN)
    four, three, opposite, adjacent = (
        fix_by_tabs([found[corner] for corner in choice], SETUP, lens_k1=THEN.k1).uncertainty_mm
        for choice in ((0, 1, 2, 3), (0, 1, 3), (0, 2), (0, 3))
    )
    assert four < three < opposite < adjacent
    unknown = fix_by_tabs([found[0], found[3]], SETUP).uncertainty_mm
    assert unknown > adjacent
    shared = TabSetup(SIZE, SETUP.tabs, SETUP.placed_mm, canvas_mm=0.4)
    assert fix_by_tabs(found, shared, lens_k1=THEN.k1).uncertainty_mm == pytest.approx(np.hypot(four, 0.4))


@pytest.mark.parametrize("which", range(4))
def test_a_tab_that_has_moved_is_left_out(which: int) -> None:
    tabs = tuple(
        replace(tab, out_mm=(tab.out_mm[0] + 3.0, tab.out_mm[1] - 2.0)) if tab.corner == which else tab
        for tab in SCENE.tabs
    )
    found = noisy(exact(replace(SCENE, tabs=tabs), THEN), np.random.default_rng(which))
    fix = fix_by_tabs(found, SETUP, lens_k1=THEN.k1)
    assert fix.left_out == (which,)
    assert which not in fix.tabs
    assert fix.notes == (
        f"The {found[which].name} tab has moved since the tabs were set up, and is left out. Set the tabs up again "
        "when it suits you.",
    )
    assert off_mm(fix.corners_px, THEN).max() < 4 * fix.uncertainty_mm


@pytest.mark.parametrize("which", range(3))
def test_a_tab_of_three_that_has_moved_far_is_left_out(which: int) -> None:
    tabs = tuple(replace(tab, turn_deg=tab.turn_deg + 8.0) if tab.corner == which else tab for tab in SCENE.tabs[:3])
    found = noisy(exact(replace(SCENE, tabs=tabs), THEN), np.random.default_rng(which))
    assert fix_by_tabs(found, SETUP, lens_k1=THEN.k1).left_out == (which,)


def test_tabs_that_all_moved_are_not_gone_by() -> None:
    far = [(20.0, -15.0), (-12.0, 9.0), (7.0, 16.0), (-18.0, -6.0)]
    tabs = tuple(
        replace(tab, out_mm=tuple(np.array(tab.out_mm) + step), turn_deg=5.0 * tab.corner)
        for tab, step in zip(SCENE.tabs, far, strict=True)
    )
    found = exact(replace(SCENE, tabs=tabs), THEN)
    with pytest.raises(CanvasError, match="it cannot be told which of them has moved"):
        fix_by_tabs(found, SETUP, lens_k1=THEN.k1)
    with pytest.raises(CanvasError, match="no longer lie as they were set up"):
        fix_by_tabs(found[:2], SETUP, lens_k1=THEN.k1)


def test_tabs_that_hardly_disagree_make_it_less_sure() -> None:
    """A millimetre among three at this size cannot be laid to one of them."""
    tabs = tuple(
        replace(tab, out_mm=(tab.out_mm[0] + 1.5, tab.out_mm[1])) if tab.corner == 1 else tab for tab in SCENE.tabs
    )
    found = exact(replace(SCENE, tabs=tabs), THEN)[:3]
    sure = fix_by_tabs(exact(SCENE, THEN)[:3], SETUP, lens_k1=THEN.k1)
    fix = fix_by_tabs(found, SETUP, lens_k1=THEN.k1)
    assert fix.notes == ("The corner tabs do not quite agree with one another: the canvas is known less well.",)
    assert fix.confidence == 0.5
    assert fix.uncertainty_mm > 3 * sure.uncertainty_mm
    assert off_mm(fix.corners_px, THEN).mean() < 3 * fix.uncertainty_mm


def test_too_few_tabs_are_said() -> None:
    found = exact(SCENE, THEN)
    with pytest.raises(CanvasError, match="No corner tab is to be seen"):
        fix_by_tabs([], SETUP)
    with pytest.raises(CanvasError, match="Only one corner tab is to be seen, and two are needed"):
        fix_by_tabs(found[:1], SETUP)
    some = TabSetup(SIZE, {0: SETUP.tabs[0], 1: SETUP.tabs[1]})
    with pytest.raises(CanvasError, match="Only one"):
        fix_by_tabs(found[1:], some)


def test_a_spare_tab_is_left_out() -> None:
    found = exact(SCENE, THEN)
    spare = replace(found[0], corners_px=found[0].corners_px + 300.0)
    fix = fix_by_tabs([*found, spare], SETUP, lens_k1=THEN.k1)
    assert fix.tabs == (1, 2, 3)
    assert fix.notes == ("Two top left tabs are in the picture, and both are left out. Take the spare one away.",)
    with pytest.raises(CanvasError, match="Two top left tabs"):
        fix_by_tabs([found[0], spare, found[1]], SETUP)


def test_what_makes_no_sense_is_refused() -> None:
    found = exact(SCENE, THEN)
    with pytest.raises(CanvasError, match="one picture at a time"):
        fix_by_tabs([found[0], replace(found[1], width=4000)], SETUP)
    with pytest.raises(CanvasError, match="not a camera's"):
        fix_by_tabs(found, SETUP, lens_k1=0.5)
    with pytest.raises(CanvasError, match="not a camera's"):
        fix_by_tabs(found, SETUP, lens_k1=float("nan"))


def test_photos_from_setting_up_to_the_painter_in_front() -> None:
    """At 4 megapixels, with the painter's back over both tabs on the right."""
    first, then = (replace(view, width=2400, height=1800) for view in (FIRST, THEN))
    setup = set_up(find_tabs(t.photograph(SCENE, first)), t.corners_px(SCENE, first), SIZE, lens_k1=first.k1)
    covered = replace(SCENE, covers=(t.painter_over(300.0),))
    fix = fix_by_tabs(find_tabs(t.photograph(covered, then)), TabSetup.from_json(setup.to_json()), lens_k1=first.k1)
    assert fix.tabs == (0, 3)
    assert off_mm(fix.corners_px, then).max() < 0.5
    assert fix.uncertainty_mm < 0.5


@pytest.mark.parametrize("cover", [(), (t.hand((250.0, 180.0)),)], ids=["free", "hand"])
def test_live_frames(cover: tuple) -> None:
    setup = set_up(find_tabs(t.photograph(SCENE, FIRST)), t.corners_px(SCENE, FIRST), SIZE, lens_k1=FIRST.k1)
    fix = fix_by_tabs(find_tabs(t.photograph(replace(SCENE, covers=cover), THEN)), setup, lens_k1=FIRST.k1)
    assert len(fix.tabs) >= 3
    assert off_mm(fix.corners_px, THEN).max() < (0.1 if not cover else 0.4)


def test_tabs_measured_with_a_ruler() -> None:
    scene = t.Scene(tabs=tuple(t.Stuck(corner, (12.0 + corner, 9.0)) for corner in range(4)))
    rng = np.random.default_rng(2)
    measured = {stuck.corner: tuple(np.array(stuck.out_mm) + rng.normal(0, 0.5, 2)) for stuck in scene.tabs}
    fix = fix_by_tabs(exact(scene, THEN), set_up_measured(measured, SIZE), lens_k1=THEN.k1)
    assert fix.left_out == ()
    assert off_mm(fix.corners_px, THEN, scene).max() < 3 * fix.uncertainty_mm
    assert 0.2 < fix.uncertainty_mm < 0.8
