"""The canvas followed by its edges through simulated sequences whose truth is known."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from core.canvas.canvas_map import CanvasMap
from core.canvas.follow_edges import HELD_S, EdgeFollower
from core.canvas.follow_state import face_corners
from core.canvas.following import Followed
from core.errors import CanvasError
from core.frames.frame import Frame
from tests.studio import moving as m
from tests.studio import tabbed as t

SCENE = t.Scene(tabs=())
SIZE = SCENE.size
ALL = [t.painter_over(-300)]


@pytest.fixture(scope="module")
def stage() -> m.Stage:
    return m.Stage(SCENE)


@pytest.fixture(scope="module")
def first(stage: m.Stage) -> tuple[Frame, np.ndarray]:
    return next(m.frames(stage, m.still(1), seed=9))


@pytest.fixture
def follower(first: tuple[Frame, np.ndarray]) -> EdgeFollower:
    return EdgeFollower(SIZE, first[1], first[0])


def off_mm(told: Followed | None, true: np.ndarray) -> float:
    assert told is not None
    canvas = CanvasMap(true, SIZE, m.VIEW.width, m.VIEW.height, told.k1)
    return float(np.linalg.norm(canvas.px_to_mm(told.corners_px) - face_corners(SIZE), axis=1).max())


def run(
    follower: EdgeFollower, stage: m.Stage, path: Sequence[m.Moment], first: int = 0
) -> list[tuple[Followed | None, np.ndarray]]:
    return [(follower.follow(frame), true) for frame, true in m.frames(stage, path, first=first)]


def test_still_it_does_not_tremble(stage: m.Stage, follower: EdgeFollower) -> None:
    answers = run(follower, stage, m.still(10))
    canvas = CanvasMap(answers[0][1], SIZE, m.VIEW.width, m.VIEW.height)
    places = np.array([canvas.px_to_mm(told.corners_px) for told, _ in answers[1:] if told is not None])
    assert float(np.sqrt(places.var(axis=0).sum(axis=1).mean())) < 0.02
    assert all(told is not None and told.by == "edges" for told, _ in answers)
    assert off_mm(*answers[-1]) < 0.1


def test_what_is_painted_does_not_move_it(stage: m.Stage, follower: EdgeFollower) -> None:
    answers = run(follower, stage, m.painted(m.still(12), 0, steps=3))
    assert max(off_mm(*each) for each in answers) < 0.15
    assert all(told is not None and told.by == "edges" for told, _ in answers)


def test_a_hand_passing_and_light_that_changes(stage: m.Stage, follower: EdgeFollower) -> None:
    path = m.exposed(m.hand_passing(m.drifting(14, amount=2.0, seed=3), 2, 12), (1.0, 0.6, 1.3), every=4)
    assert max(off_mm(*each) for each in run(follower, stage, path)) < 0.6


def test_a_painter_over_one_side(stage: m.Stage, follower: EdgeFollower) -> None:
    answers = run(follower, stage, m.covered(m.drifting(14, seed=3), [t.painter_over(330)], 3, 14))
    assert max(off_mm(*each) for each in answers) < 2.0
    assert max(off_mm(*each) for each in answers[:3]) < 0.3


def test_a_knock_is_followed_within_two_frames(stage: m.Stage, follower: EdgeFollower) -> None:
    answers = run(follower, stage, m.knocked(9, 4))
    assert np.abs(answers[-1][1] - answers[0][1]).max() > 10
    assert max(off_mm(*each) for each in answers[6:]) < 0.3


def test_lost_then_none_then_found_again_elsewhere(stage: m.Stage, follower: EdgeFollower) -> None:
    there = m.knocked(2, 0)[1:]
    answers = run(follower, stage, m.covered(m.still(5), ALL, 2, 5))
    told, _ = answers[-1]
    assert told is not None
    assert told.by == "held"
    assert told.say.endswith(".")
    later = 5 + int((HELD_S + 1) * m.RATE_HZ)
    assert run(follower, stage, m.covered(m.still(1), ALL, 0, 1), first=later)[0][0] is None
    again = run(follower, stage, there * 3, first=later + 30)
    assert again[-1][0] is not None
    assert off_mm(*again[-1]) < 0.3


def test_corners_set_beside_the_edge_stay_beside_it(stage: m.Stage, first: tuple[Frame, np.ndarray]) -> None:
    frame, true = first
    beside = np.array([[1.5, 1.0], [-1.0, 1.0], [-1.0, -1.5], [1.0, -1.0]])
    follower = EdgeFollower(SIZE, true + beside, frame)
    for told, now in run(follower, stage, m.drifting(8, amount=2.0, seed=3)):
        assert told is not None
        assert np.abs(told.corners_px - now - beside).max() < 0.6


def test_edges_that_cannot_be_seen_are_refused() -> None:
    frame = Frame(np.full((360, 640, 3), 120, np.uint8), 0, 0.0)
    with pytest.raises(CanvasError, match="faint"):
        EdgeFollower(SIZE, [[100, 60], [500, 60], [500, 300], [100, 300]], frame)


def test_one_faint_side_does_not_make_it_run_away() -> None:
    """The wall as light as most of the picture's right side: three sides tell, and the fourth stays."""
    stage = m.Stage(SCENE, m.Surround(wall=0.2, side=0.2, texture=0.02))
    frame, true = next(m.frames(stage, m.still(1), seed=9))
    follower = EdgeFollower(SIZE, true, frame)
    path = [replace(each, gain=1.1) for each in m.drifting(10, amount=2.0, seed=3)]
    assert max(off_mm(*each) for each in run(follower, stage, path)) < 1.0
