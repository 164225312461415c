"""“Keep this”: a photo on the ledge with the corners it was followed by; and tabs that are learnt from a held frame."""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.corners import Placed
from app.ledge.tabs import SETTING as TABS
from app.live import words
from app.work import Worker
from core.canvas.tabs import TabSetup
from core.frames.frame import Frame
from core.painting import Painting
from core.photo import load_photo
from tests.app.live_case import CAMERA, CORNERS, KnowingFollower, Live, World, followed, frame, page_of, studio_of
from tests.app.window_case import make_easel, make_painting, reference_photo
from tests.studio.tabbed import Scene, View, corners_px, pixels


@pytest.fixture(scope="module")
def painting(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_painting(tmp_path_factory.mktemp("live"))


@pytest.fixture
def live(
    qtbot: QtBot, worker: Worker, painting: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Live]:
    folder = Path(shutil.copytree(painting, tmp_path / "painting"))
    (tmp_path / "passing").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "passing"))
    made = page_of(qtbot, studio_of(folder, worker), World())
    yield made
    made.studio.close()
    assert not list((tmp_path / "passing").iterdir())


def test_the_best_frame_comes_onto_the_ledge_laid_flat(qtbot: QtBot, live: Live) -> None:
    came: list[list[int]] = []
    live.page.came.connect(came.append)
    live.follow(qtbot)
    live.give(qtbot, frame(1, code=90))
    live.page.foot.keep_button.click()
    (photo,) = live.studio.canvas_photos
    assert came == [[photo.id]]
    assert photo.found_by == "tabs"
    assert np.array_equal(np.array(photo.corners), CORNERS)
    assert live.said[-1] == "Kept, from the sharpest of 2 frames"
    kept = load_photo(live.studio.painting.photo_file(photo.photo.id))
    assert np.array_equal(kept.codes, frame(1, code=90).codes)  # nothing is lost on the way
    assert photo.name.startswith("Live ")
    assert live.page.foot.keep_button.isEnabled()


@pytest.mark.parametrize(
    "place", [{"by": "held"}, {"by": "edges", "uncertainty_mm": 1.4}], ids=["held", "not told surely"]
)
def test_corners_that_are_not_sure_are_not_kept(qtbot: QtBot, live: Live, place: dict) -> None:
    live.follow(qtbot, **place)
    live.page.keep_this()
    assert live.studio.canvas_photos[0].corners is None


def test_followed_by_edges_the_corners_are_those_given(qtbot: QtBot, live: Live) -> None:
    live.follow(qtbot, by="edges", uncertainty_mm=0.3)
    live.page.keep_this()
    assert live.studio.canvas_photos[0].found_by == "given"


def test_a_camera_that_moves_leaves_the_corners_to_be_found(qtbot: QtBot, live: Live) -> None:
    """The sharpest frame need not be the one whose corners are shown."""
    live.follow(qtbot)
    live.page.feed.follower = KnowingFollower(followed(corners=CORNERS + 3.0))
    live.give(qtbot, frame(1))
    live.page.keep_this()
    assert live.studio.canvas_photos[0].corners is None


def test_nothing_is_kept_before_there_is_a_picture(qtbot: QtBot, live: Live) -> None:
    live.page.keep_this()
    assert live.said == [words.NOTHING_YET]
    live.page.open(CAMERA)
    qtbot.waitUntil(live.is_watched)
    live.page.keep_this()
    assert live.said[-1] == words.NOTHING_YET
    assert live.studio.canvas_photos == ()


def test_what_cannot_be_kept_is_said(qtbot: QtBot, live: Live) -> None:
    live.follow(qtbot)
    live.page._memory.held.clear()
    live.page.keep_this()
    assert live.said == ["No frame has come yet."]
    assert live.page.foot.keep_button.isEnabled()


def test_the_same_frame_twice_is_one_photo(qtbot: QtBot, live: Live) -> None:
    live.follow(qtbot)
    live.page.keep_this()
    live.page.keep_this()
    assert len(live.studio.canvas_photos) == 1
    assert any("on the ledge already" in sentence for sentence in live.said)


def test_a_painting_to_look_at_is_shown_live_but_keeps_nothing(
    qtbot: QtBot, worker: Worker, painting: Path, tmp_path: Path
) -> None:
    folder = Path(shutil.copytree(painting, tmp_path / "painting"))
    live = page_of(qtbot, studio_of(folder, worker, look_only=True), World())
    live.follow(qtbot)
    assert live.shown == ["Live", "Reference"]
    assert not live.page.foot.keep_button.isEnabled()
    live.page.keep_this()
    assert live.said == [words.LOOK_ONLY]
    live.close()


def test_tabs_in_a_held_frame_are_learnt_and_kept(qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
    scene, view = Scene(), View(width=1280, height=960, seed=3)
    Painting.create(tmp_path / "tabbed", "Cups", scene.size, reference_photo(tmp_path)).close()
    live = page_of(qtbot, studio_of(tmp_path / "tabbed", worker), World())
    grey = np.asarray(pixels(scene, view))
    codes = np.ascontiguousarray(np.repeat(grey[..., None], 3, axis=2) if grey.ndim == 2 else grey)
    held, truth = Frame(codes, 0, 0.0), np.array(corners_px(scene, view))
    live.page.open(CAMERA)
    live.give(qtbot, held)
    live.page.place_corners()
    live.page.corners.accepted.emit(Placed(0, truth, "given", 0.0))
    assert live.is_watched()
    assert words.LEARNT in live.said
    kept = live.studio.painting.setting(TABS)
    setup = TabSetup.from_json(kept["setup"])
    assert sorted(setup.tabs) == [0, 1, 2, 3]
    # As they were stuck: each square's nearest corner 12 mm out from its corner of the canvas, both ways.
    assert np.abs(setup.tabs[0][2] - (-12.0, -12.0)).max() < 0.3
    assert np.abs(setup.tabs[2][0] - (scene.size.width_mm + 12.0, scene.size.height_mm + 12.0)).max() < 0.3
    live.give(qtbot, Frame(codes, 1, 0.0))
    assert live.state.startswith("Followed by 4 tabs")
    live.close()


def test_the_window_closes_while_the_camera_runs(qtbot: QtBot, worker: Worker, painting: Path, tmp_path: Path) -> None:
    """The page lies over the desk as the phone's does."""
    folder = Path(shutil.copytree(painting, tmp_path / "painting"))
    easel = make_easel(qtbot, worker, tmp_path)
    easel.window.open_painting(folder)
    placing = easel.desk.placing
    live = page_of(qtbot, easel.desk.studio, World(), placing)
    placing.addWidget(live.page)
    placing.setCurrentWidget(live.page)
    rest = placing.leave
    placing.leave = lambda: (live.page.leave(), rest())
    live.follow(qtbot)
    qtbot.keyPress(live.page, Qt.Key.Key_B)
    easel.window.close()
    assert live.world.source.closed.is_set()
    assert easel.window.desk is None
