"""A camera opened: what is asked of it, and each way it may fail. None is real: the library's class is faked."""

import os
import sys
import threading
from pathlib import Path

import cv2
import numpy as np
import pytest

from core.errors import CameraError
from core.frames.camera_troubles import user_of, why_none
from core.frames.cameras import CameraPlace
from core.frames.opening import open_camera
from tests.core.frames.source_case import LIMIT_S, FakeCapture, no_thread_left, plain

PLACE = CameraPlace(3, "Studio camera")
linux_only = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="nodes are Linux's")


def test_a_camera_is_asked_for_quick_pictures_of_the_size_with_no_queue() -> None:
    capture = FakeCapture([plain(200)] * 3)
    with no_thread_left():
        source = open_camera(PLACE, size=(1280, 720), capturing=capture)
        assert source.name == "Studio camera"
        assert source.read().codes[0, 0].tolist() == [200, 20, 10]
        source.close()
    assert capture.arguments[0] == 3
    assert capture.order[0] == cv2.CAP_PROP_FOURCC
    assert capture.asked[cv2.CAP_PROP_FRAME_WIDTH] == 1280
    assert capture.asked[cv2.CAP_PROP_FRAME_HEIGHT] == 720
    assert capture.asked[cv2.CAP_PROP_BUFFERSIZE] == 1


def test_a_size_that_changes_midway_is_followed() -> None:
    hold = threading.Event()
    small, grey = np.full((1, 1, 3), 7, np.uint8), np.full((20, 10), 9, np.uint8)
    seen = []
    capture = FakeCapture([plain(1), lambda: hold.wait(5) and small])
    source = open_camera(PLACE, capturing=capture, limit_s=5)
    seen.append(source.read().codes.shape)
    hold.set()
    seen.append(source.read().codes.shape)
    source.close()
    assert seen == [(8, 12, 3), (1, 1, 3)]
    source = open_camera(PLACE, capturing=FakeCapture([grey]))
    assert source.read().codes.shape == (20, 10, 3)
    source.close()


def test_single_pictures_that_fail_are_passed_over() -> None:
    source = open_camera(PLACE, capturing=FakeCapture([None, None, plain(5)]))
    assert source.read().number == 0
    source.close()


def test_a_camera_that_will_not_open_is_released_and_told() -> None:
    capture = FakeCapture([], is_open=False)
    with no_thread_left(), pytest.raises(CameraError, match="could not be opened"):
        open_camera(PLACE, capturing=capture)
    assert capture.released.is_set()


def test_a_camera_that_opens_but_gives_nothing_is_told(tmp_path: Path) -> None:
    node = tmp_path / "video3"
    node.touch()
    with no_thread_left(), pytest.raises(CameraError, match="could not be opened"):
        open_camera(CameraPlace(3, "Studio camera", str(node)), capturing=FakeCapture([]))


def test_a_camera_that_is_silent_is_asleep() -> None:
    hold = threading.Event()
    with no_thread_left():
        with pytest.raises(CameraError, match="No picture comes from “Studio camera”"):
            open_camera(PLACE, capturing=FakeCapture([lambda: hold.wait(10) and None]), limit_s=LIMIT_S)
        hold.set()


def test_a_camera_that_hangs_in_opening_does_not_answer() -> None:
    hold = threading.Event()
    with no_thread_left():
        with pytest.raises(CameraError, match="does not answer"):
            open_camera(PLACE, capturing=FakeCapture([], opening=lambda: hold.wait(10)), limit_s=LIMIT_S)
        hold.set()


@linux_only
def test_a_camera_that_is_pulled_out_is_told_apart(tmp_path: Path) -> None:
    node = tmp_path / "video3"
    node.touch()
    with no_thread_left():
        source = open_camera(CameraPlace(3, "Studio camera", str(node)), capturing=FakeCapture([plain(1), node.unlink]))
        source.read()
        with pytest.raises(CameraError, match=r"pulled out.*Plug it in again"):
            source.read()
        source.close()


@linux_only
def test_a_camera_that_another_program_uses_is_told_with_its_name(tmp_path: Path) -> None:
    node, process = tmp_path / "video3", tmp_path / "proc" / "4711"
    node.touch()
    (process / "fd").mkdir(parents=True)
    (process / "fd" / "7").symlink_to(node)
    (process / "comm").write_text("meeting\n")
    (tmp_path / "proc" / str(os.getpid()) / "fd").mkdir(parents=True)
    (tmp_path / "proc" / str(os.getpid()) / "fd" / "3").symlink_to("/dev/other")
    assert user_of(str(node), tmp_path / "proc") == "meeting"
    assert user_of("/dev/other", tmp_path / "proc") is None  # this program itself
    told = why_none("Studio camera", str(node), was_open=False, processes=tmp_path / "proc")
    assert "another program (meeting)" in told


@linux_only
@pytest.mark.parametrize(
    ("number", "word"), [(13, "group “video”"), (16, "another program"), (19, "pulled out"), (6, "pulled out")]
)
def test_what_the_system_says_of_a_node_is_told(number: int, word: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """errno of asm-generic: 13 EACCES, 16 EBUSY, 19 ENODEV, 6 ENXIO."""

    def refuses(*_: object) -> int:
        raise OSError(number, "")

    monkeypatch.setattr(os, "open", refuses)
    assert word in why_none("Studio camera", "/dev/video3", was_open=False)


def test_a_system_that_tells_nothing_gets_what_is_likely() -> None:
    assert "privacy settings" in why_none("Studio camera", "", was_open=False)
    assert "pulled out" in why_none("Studio camera", "", was_open=True)
