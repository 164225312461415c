"""The canvas followed by its tabs through simulated sequences whose truth is known."""

from collections.abc import Sequence

import numpy as np
import pytest

from core.canvas.canvas_map import CanvasMap, homography, project
from core.canvas.follow_state import CornerState, corner_slopes, face_corners
from core.canvas.follow_tabs import HELD_S, TabFollower
from core.canvas.following import Followed
from core.canvas.tab_find import find_tabs
from core.canvas.tabs import TabSetup, set_up
from core.frames.frame import Frame
from core.size import Size
from tests.studio import moving as m
from tests.studio import tabbed as t

SCENE = t.Scene(tabs=t.random_tabs(np.random.default_rng(3)))
SIZE = SCENE.size
COVERED = m.over_tabs(1, 2)


@pytest.fixture(scope="module")
def stage() -> m.Stage:
    return m.Stage(SCENE)


@pytest.fixture(scope="module")
def setup(stage: m.Stage) -> TabSetup:
    frame, true = next(m.frames(stage, m.still(1), seed=9))
    return set_up(find_tabs(frame.photo()), true, SIZE)


def off_mm(told: Followed | None, true: np.ndarray) -> float:
    assert told is not None
    canvas = CanvasMap(true, SIZE, m.VIEW.width, m.VIEW.height, told.k1)
    return float(np.linalg.norm(canvas.px_to_mm(told.corners_px) - face_corners(SIZE), axis=1).max())


def run(
    follower: TabFollower, stage: m.Stage, path: Sequence[m.Moment], first: int = 0
) -> list[tuple[Followed | None, np.ndarray]]:
    return [(follower.follow(frame), true) for frame, true in m.frames(stage, path, first=first)]


def test_still_it_does_not_tremble(stage: m.Stage, setup: TabSetup) -> None:
    answers = run(TabFollower(setup, 0.0), stage, m.still(12))
    canvas = CanvasMap(answers[0][1], SIZE, m.VIEW.width, m.VIEW.height)
    places = np.array([canvas.px_to_mm(told.corners_px) for told, _ in answers[2:] if told is not None])
    assert float(np.sqrt(places.var(axis=0).sum(axis=1).mean())) < 0.01
    assert all(told is not None and told.by == "tabs" and told.tabs == (0, 1, 2, 3) for told, _ in answers)
    assert off_mm(*answers[-1]) < 0.03


def test_two_covered_tabs_leave_it_in_place(stage: m.Stage, setup: TabSetup) -> None:
    answers = run(TabFollower(setup, 0.0), stage, m.covered(m.still(12), COVERED, 4, 12))
    told, _ = answers[-1]
    assert told is not None
    assert told.tabs == (0, 3)
    assert max(off_mm(*each) for each in answers) < 0.05


def test_a_camera_held_by_hand_is_followed_without_lag(stage: m.Stage, setup: TabSetup) -> None:
    answers = run(TabFollower(setup, 0.0), stage, m.drifting(14, amount=4.0, seed=5))
    assert np.abs(answers[-1][1] - answers[0][1]).max() > 8
    assert max(off_mm(*each) for each in answers) < 0.15


@pytest.mark.parametrize("covers", [(), COVERED])
def test_a_knock_is_followed_at_once(stage: m.Stage, setup: TabSetup, covers: tuple[m.Cover, ...]) -> None:
    answers = run(TabFollower(setup, 0.0), stage, m.covered(m.knocked(10, 5), covers, 3, 10))
    assert np.abs(answers[-1][1] - answers[0][1]).max() > 10
    assert max(off_mm(*each) for each in answers[7:]) < (1.2 if covers else 0.05)
    for told, true in answers[7:]:
        assert told is not None
        assert off_mm(told, true) < max(3 * told.uncertainty_mm, 0.1)


def test_held_with_a_sentence_and_ever_less_surely_then_not_at_all(stage: m.Stage, setup: TabSetup) -> None:
    follower = TabFollower(setup, 0.0)
    answers = run(follower, stage, m.covered(m.still(8), m.over_tabs(0, 1, 2, 3), 3, 8))
    held = [told for told, _ in answers[3:]]
    assert all(told is not None and told.by == "held" and told.say.endswith(".") for told in held)
    sure = [told.uncertainty_mm for told in held if told is not None]
    assert (np.diff(sure) > 0).all()
    later = 8 + int((HELD_S + 1) * m.RATE_HZ)
    (told, _), *_ = run(follower, stage, m.still(1, covers=m.over_tabs(0, 1, 2, 3)), first=later)
    assert told is None
    (again, true), *_ = run(follower, stage, m.still(1), first=later + 30)
    assert again is not None
    assert again.by == "tabs"
    assert off_mm(again, true) < 0.1


def test_one_tab_that_has_moved_ends_it(stage: m.Stage, setup: TabSetup) -> None:
    path = m.covered(m.knocked(16, 6, by=0.15), m.over_tabs(0, 1, 2), 3, 16)
    answers = run(TabFollower(setup, 0.0), stage, path)
    assert answers[4][0] is not None
    assert answers[-1][0] is None


def test_another_size_of_frame_begins_anew(stage: m.Stage, setup: TabSetup) -> None:
    follower = TabFollower(setup, 0.0)
    frame, _ = next(m.frames(stage, m.still(1)))
    assert follower.follow(frame) is not None
    assert follower.follow(Frame(np.zeros((90, 160, 3), np.uint8), 1, 2000.0)) is None


def test_slopes_by_the_corners_are_those_of_the_homography() -> None:
    corners = np.array([[100.0, 90], [900, 60], [940, 700], [80, 650]])
    size, places = Size(400, 300), np.array([[50.0, 40], [420, 310], [-20, 150]])
    slopes = corner_slopes(corners, size, places)
    for k in range(8):
        step = np.zeros(8)
        step[k] = 1e-4
        more, less = (project(homography(corners + s * step.reshape(4, 2), size), places) for s in (1, -1))
        assert np.allclose(((more - less) / 2e-4).ravel(), slopes[:, k], atol=1e-6)


def test_the_ways_of_a_camera_hold_its_real_motion() -> None:
    """A pinhole camera's small shift and turn, exact, lies within the six ways but for the focal length's guess."""
    view = t.View(1280, 720, focal=0.85, fill=0.6, yaw_deg=4, pitch_deg=3)
    before = t.corners_px(SCENE, view)
    state = CornerState(before, 0.0, SIZE, 1280, 720)
    ways = state.ways()
    for moved in (t.View(1280, 720, focal=0.85, fill=0.602, yaw_deg=4.1, pitch_deg=3.05, roll_deg=0.1),):
        step = (t.corners_px(SCENE, moved) - before).ravel()
        left = step - ways @ np.linalg.lstsq(ways, step, rcond=None)[0]
        assert np.linalg.norm(left) < 0.03 * np.linalg.norm(step)
