"""The tabs themselves, and setting them up once."""

import json
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.canvas.tabs import (
    GREY_MM,
    MODULES,
    NEAREST,
    QUIET_MM,
    TAB_IDS,
    TAB_MM,
    FoundTab,
    TabSetup,
    grey_squares,
    greys_on_canvas,
    set_up,
    set_up_measured,
    tab_modules,
)
from core.errors import CanvasError
from core.size import Size
from tests.studio import tabbed as t

SIZE = Size(400, 300)
MEASURED = {corner: (12.0, 8.0) for corner in range(4)}
VIEW = t.View(width=1920, height=1080, fill=0.6, yaw_deg=6.0, pitch_deg=-4.0, k1=-0.04)


def exact(scene: t.Scene, view: t.View, sigma_px: float = 0.04) -> list[FoundTab]:
    """The tabs as a faultless eye would find them."""
    return [
        FoundTab(stuck.corner, t.tab_px(scene, view, stuck), sigma_px, view.width, view.height) for stuck in scene.tabs
    ]


def test_no_tab_looks_like_another_or_like_itself_turned() -> None:
    """Twelve modules apart, of the eight that this dictionary of OpenCV's promises at the least."""
    codes = [tab_modules(corner)[1:-1, 1:-1] for corner in range(4)]
    for one, other in combinations(codes, 2):
        assert min(int((np.rot90(one, turn) != other).sum()) for turn in range(4)) >= 12
    for code in codes:
        assert min(int((np.rot90(code, turn) != code).sum()) for turn in range(1, 4)) >= 12


@pytest.mark.parametrize("corner", range(4))
def test_a_tab_is_black_all_round(corner: int) -> None:
    modules = tab_modules(corner)
    assert modules.shape == (MODULES, MODULES)
    assert not np.concatenate([modules[[0, -1]].ravel(), modules[:, [0, -1]].ravel()]).any()
    assert 5 <= modules.sum() <= 20


def test_tabs_stuck_parallel_lie_where_they_were_measured() -> None:
    setup = set_up_measured(MEASURED, SIZE)
    outward = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    face = np.array([[0, 0], [400, 0], [400, 300], [0, 300]])
    for corner, square in setup.tabs.items():
        assert square[NEAREST[corner]] == pytest.approx(face[corner] + outward[corner] * (12, 8))
        assert square[1] - square[0] == pytest.approx([TAB_MM, 0])
        assert square[3] - square[0] == pytest.approx([0, TAB_MM])
    assert setup.tabs[0][0] == pytest.approx([-42, -38])
    assert setup.placed_mm >= 0.5
    beside = set_up_measured({0: (5, -30), 1: (5, -30)}, SIZE, side_mm=29.0)
    assert beside.tabs[0] == pytest.approx(np.array([[-34, 1], [-5, 1], [-5, 30], [-34, 30]]))


@pytest.mark.parametrize("k1", [0.0, -0.05])
def test_one_photo_tells_where_tabs_lie(k1: float) -> None:
    scene = t.Scene(tabs=t.random_tabs(np.random.default_rng(3)))
    view = t.View(width=1920, height=1080, fill=0.6, yaw_deg=6.0, pitch_deg=-4.0, k1=k1)
    setup = set_up(exact(scene, view), t.corners_px(scene, view), SIZE, lens_k1=k1, uncertainty_mm=0.3)
    for stuck in scene.tabs:
        assert setup.tabs[stuck.corner] == pytest.approx(t.tab_mm(scene, stuck), abs=1e-5)
    assert setup.canvas_mm == 0.3
    assert 0.01 <= setup.placed_mm < 0.02


def test_a_setup_comes_back_from_its_text() -> None:
    scene = t.Scene(tabs=t.random_tabs(np.random.default_rng(5)))
    setup = set_up(exact(scene, VIEW), t.corners_px(scene, VIEW), SIZE, lens_k1=VIEW.k1, uncertainty_mm=0.12)
    back = TabSetup.from_json(setup.to_json())
    assert (back.size, back.placed_mm, back.canvas_mm) == (setup.size, setup.placed_mm, setup.canvas_mm)
    assert list(back.tabs) == [0, 1, 2, 3]
    for corner, square in setup.tabs.items():
        assert np.array_equal(back.tabs[corner], square)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("schema", 2), ("size_mm", [400]), ("size_mm", [1e9, 300]), ("tabs_mm", {}), ("tabs_mm", {"0": [[0, 0]]}),
        ("tabs_mm", {"7": [[0, 0]] * 4, "1": [[0, 0]] * 4}), ("placed_mm", None), ("placed_mm", -1),
        ("canvas_mm", float("nan")), ("tabs_mm", []),
    ],
)  # fmt: skip
def test_a_spoilt_record_is_refused(key: str, value: object) -> None:
    told = json.loads(set_up_measured(MEASURED, SIZE).to_json())
    told[key] = value
    with pytest.raises(CanvasError, match="Set the tabs up again"):
        TabSetup.from_json(json.dumps(told))


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=40) | st.recursive(st.none() | st.integers(), st.lists).map(json.dumps))
def test_any_other_text_is_refused(text: str) -> None:
    with pytest.raises(CanvasError):
        TabSetup.from_json(text)


def test_a_setup_cannot_be_changed_behind_its_back() -> None:
    setup = set_up_measured(MEASURED, SIZE)
    with pytest.raises(ValueError, match="read-only"):
        setup.tabs[0][0, 0] = 5.0


def test_what_cannot_be_set_up() -> None:
    scene = t.Scene()
    found, corners = exact(scene, VIEW), t.corners_px(scene, VIEW)
    with pytest.raises(CanvasError, match="Fewer than two corner tabs"):
        set_up(found[:1], corners, SIZE)
    with pytest.raises(CanvasError, match="Two top left tabs"):
        set_up([found[0], *found], corners, SIZE)
    with pytest.raises(CanvasError, match="does not look square"):
        set_up(found, corners[[0, 1, 2, 3]] * (1.0, 0.6), SIZE)
    with pytest.raises(CanvasError):
        set_up(found, corners[[1, 0, 2, 3]], SIZE)
    with pytest.raises(CanvasError, match="two distances"):
        set_up_measured({0: (1.0, 2.0), 1: (float("nan"), 1.0)}, SIZE)
    with pytest.raises(CanvasError, match="At least two"):
        set_up_measured({0: (1.0, 2.0)}, SIZE)


@pytest.mark.parametrize("corner", range(4))
def test_greys_lie_away_from_the_canvas(corner: int) -> None:
    """Worked by hand for a tab as printed; a turned one keeps its distances."""
    own = grey_squares(corner)
    top = -QUIET_MM - GREY_MM if corner < 2 else TAB_MM + QUIET_MM
    assert own[0, 0] == pytest.approx([0, top])
    assert own[3, 2] == pytest.approx([TAB_MM, top + GREY_MM])
    flat = set_up_measured(MEASURED, SIZE)
    assert greys_on_canvas(flat, corner) == pytest.approx(own + flat.tabs[corner][0])
    scene = t.Scene(tabs=tuple(t.Stuck(each, turn_deg=25.0) for each in range(4)))
    turned = greys_on_canvas(TabSetup(SIZE, {stuck.corner: t.tab_mm(scene, stuck) for stuck in scene.tabs}), corner)
    for one, other in ((turned[0, 0], own[0, 0]), (turned[3, 2], own[3, 2])):
        seen = np.linalg.norm(one - t.tab_mm(scene, scene.tabs[corner])[0])
        assert seen == pytest.approx(np.linalg.norm(other))


def test_found_tabs_have_a_name() -> None:
    tab = exact(t.Scene(), VIEW)[2]
    assert (tab.name, tab.id) == ("bottom right", TAB_IDS[2])
