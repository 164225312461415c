"""The live page with real sources: films, a network camera that sends pictures, and what is not there."""

import re
import shutil
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.corners import Placed
from app.ledge.tabs import SETTING as TABS
from app.live.outside import real_outside
from app.live.settings import SETTING, Kind, Wanted
from app.work import Worker
from core.canvas.tabs import set_up_measured
from core.painting import Painting
from core.photo import load_photo
from tests.app.live_case import CAMERA, Live, World, frame, page_of, studio_of
from tests.app.window_case import make_painting, reference_photo
from tests.studio.mjpeg_server import Sending, jpeg, serving
from tests.studio.moving import drifting, frames
from tests.studio.tabbed import Scene, Stuck


@pytest.fixture(scope="module")
def painting(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_painting(tmp_path_factory.mktemp("live"))


@pytest.fixture
def live(qtbot: QtBot, worker: Worker, painting: Path, tmp_path: Path) -> Live:
    folder = Path(shutil.copytree(painting, tmp_path / "painting"))
    made = page_of(qtbot, studio_of(folder, worker), World())
    made.page._outside = replace(made.world.outside(), open=real_outside().open)
    return made


def film(file: Path, count: int = 24) -> Path:
    """Red first left half, as the frames of the other tests; MJPG at 30 frames a second."""
    codes = frame().codes
    writer = cv2.VideoWriter(str(file), cv2.VideoWriter_fourcc(*"MJPG"), 30.0, (codes.shape[1], codes.shape[0]))
    for _ in range(count):
        writer.write(np.ascontiguousarray(codes[..., ::-1]))
    writer.release()
    return file


def test_a_film_is_shown_to_its_end(qtbot: QtBot, live: Live, tmp_path: Path) -> None:
    file, seen = film(tmp_path / "sitting.avi"), []
    show = live.page.show_on.show_shot
    live.page.show_on.show_shot = lambda shot: (seen.append(shot), show(shot))
    live.page.open(Wanted(Kind.FILM, file.name, str(file)))
    qtbot.waitUntil(lambda: bool(seen))
    shot = seen[0]
    left, right = (shot.image.pixelColor(x, 240) for x in (100, 500))
    assert abs(left.red() - 180) < 6 > abs(left.blue() - 120)  # red first, as it was filmed
    assert abs(right.red() - 120) < 6
    qtbot.waitUntil(lambda: "has ended" in live.page.chooser.says.text())
    assert live.page.chooser.again.text() == "Try again"
    shown = len(seen)
    live.page.chooser.again.click()
    qtbot.waitUntil(lambda: len(seen) > shown)
    live.close()


@pytest.mark.parametrize("content", [None, b"", b"no film at all"], ids=["missing", "empty", "another thing"])
def test_a_film_that_is_none(qtbot: QtBot, live: Live, tmp_path: Path, content: bytes | None) -> None:
    file = tmp_path / "sitting.mp4"
    if content is not None:
        file.write_bytes(content)
    live.page.open(Wanted(Kind.FILM, file.name, str(file)))
    qtbot.waitUntil(lambda: "sitting.mp4" in live.page.chooser.says.text() and not live.page.feed.is_open)
    assert live.page.chooser.again.text() == "Try again"
    live.close()


def test_a_network_camera_sends_its_pictures(qtbot: QtBot, live: Live) -> None:
    sending = Sending([jpeg(frame().codes)], pace_s=0.01, times=500, password="me:secret")
    with serving(sending) as place:
        live.page.open(Wanted(Kind.STREAM, place, place))
        qtbot.waitUntil(lambda: not live.page.feed.is_open)
        refused = live.page.chooser.says.text()
        live.page.chooser.network.click()
        live.page.chooser.address.setText(f"me:secret@{place}")
        live.page.chooser.connect_button.click()
        qtbot.waitUntil(lambda: live.page.show_on.meter.count > 2)
        assert abs(live.page.show_on.shot.image.pixelColor(100, 240).red() - 180) < 6
        assert "secret" not in str(live.studio.painting.setting(SETTING))
        assert "secret" not in live.page.chooser.says.text()
        live.close()
    assert "password" in refused


def test_a_network_camera_that_stops(qtbot: QtBot, live: Live) -> None:
    with serving(Sending([jpeg(frame().codes)], times=3, pace_s=0.02)) as place:
        live.page.open(Wanted(Kind.STREAM, place, place))
        qtbot.waitUntil(lambda: not live.page.feed.is_open)
    assert place.split(":")[0] in live.page.chooser.says.text()
    live.close()


def test_a_camera_that_is_not_there(qtbot: QtBot, live: Live) -> None:
    live.page.open(Wanted(Kind.CAMERA, "Studio camera", "/dev/video97", 97))
    qtbot.waitUntil(lambda: not live.page.feed.is_open)
    assert "Studio camera" in live.page.chooser.says.text()
    live.close()


TABBED = Scene()
BARE = Scene(tabs=tuple(Stuck(corner, shown=False) for corner in range(4)))


@pytest.fixture
def before_canvas(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Live:
    """The page on a painting of that canvas; everything but the camera is real."""
    Painting.create(tmp_path / "cups", "Cups", TABBED.size, reference_photo(tmp_path)).close()
    made = page_of(qtbot, studio_of(tmp_path / "cups", worker), World())
    made.page._outside = made.page._keeper._outside = replace(real_outside(), open=made.world.outside().open)
    return made


def test_followed_by_tabs_and_kept(qtbot: QtBot, before_canvas: Live) -> None:
    live = before_canvas
    setup = set_up_measured(dict.fromkeys(range(4), (12.0, 12.0)), TABBED.size)
    live.studio.painting.set_setting(TABS, {"setup": setup.to_json(), "lens_k1": 0.0})
    live.page.open(CAMERA)
    for shown, truth in frames(TABBED, drifting(6)):
        live.give(qtbot, shown)
        shot = live.page.show_on.shot
        assert shot.is_flat
        assert np.abs(shot.followed.corners_px - truth).max() < 1.0
    assert re.match(r"Followed by [34] tabs, ±0\.\d mm\.", live.state)
    live.page.keep_this()
    (photo,) = live.studio.canvas_photos
    assert live.said[-1].startswith("Kept")
    assert load_photo(live.studio.painting.photo_file(photo.photo.id)).codes.shape == (720, 1280, 3)
    live.close()


def test_followed_by_edges_from_corners_that_were_placed(qtbot: QtBot, before_canvas: Live) -> None:
    live, (first, *others) = before_canvas, list(frames(BARE, drifting(6)))
    live.page.open(CAMERA)
    live.give(qtbot, first[0])
    live.page.place_corners()
    live.page.corners.accepted.emit(Placed(0, first[1], "given", 0.0))
    assert live.is_watched()
    for shown, truth in others:
        live.give(qtbot, shown)
        assert np.abs(live.page.show_on.shot.followed.corners_px - truth).max() < 2.0
    assert live.state.startswith("Followed by the canvas’s edges, ±")
    live.close()
