"""Cameras are listed by name; only nodes that give pictures count."""

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from core.frames.cameras import CameraPlace, System, cameras, captures, run_command


def _node(root: Path, number: int, name: str, index: str = "0") -> None:
    folder = root / f"video{number}"
    folder.mkdir()
    (folder / "name").write_text(name + "\n")
    (folder / "index").write_text(index + "\n")


def _linux(root: Path, gives: dict[str, bool]) -> System:
    return System("linux", root, Path("/dev"), can_capture=gives.get)


def _other(platform: str, answer: str | OSError) -> System:
    def run(command: Sequence[str]) -> str:
        if isinstance(answer, OSError):
            raise answer
        return answer

    return System(platform, run=run)


def test_linux_lists_the_nodes_that_give_pictures_in_order(tmp_path: Path) -> None:
    _node(tmp_path, 10, "Overhead  camera")
    _node(tmp_path, 2, "Studio camera")
    _node(tmp_path, 3, "Studio camera", "1")
    found = cameras(_linux(tmp_path, {"/dev/video2": True, "/dev/video3": False, "/dev/video10": True}))
    assert found == (CameraPlace(2, "Studio camera", "/dev/video2"), CameraPlace(10, "Overhead camera", "/dev/video10"))


def test_a_node_that_does_not_tell_is_judged_by_its_index(tmp_path: Path) -> None:
    _node(tmp_path, 0, "One")
    _node(tmp_path, 1, "One", "1")
    assert [place.index for place in cameras(_linux(tmp_path, {}))] == [0]


def test_two_of_the_same_make_are_told_apart_and_one_without_a_name_is_numbered(tmp_path: Path) -> None:
    for k, name in enumerate(("Same", "Same", "")):
        _node(tmp_path, k, name)
    assert [place.name for place in cameras(_linux(tmp_path, {}))] == ["Same (1)", "Same (2)", "Camera 3"]


def test_no_camera_is_none(tmp_path: Path) -> None:
    assert cameras(_linux(tmp_path / "none", {})) == ()
    assert cameras(_other("darwin", json.dumps({"SPCameraDataType": []}))) == ()
    assert cameras(_other("win32", "\r\n")) == ()


def test_macos_and_windows_tell_names_but_not_their_order() -> None:
    one = json.dumps({"SPCameraDataType": [{"_name": "FaceTime HD Camera", "spcamera_unique-id": "0x1"}]})
    assert cameras(_other("darwin", one)) == (CameraPlace(0, "FaceTime HD Camera"),)
    two = cameras(_other("win32", "HD Webcam\r\nStudio caméra\r\n"))
    assert [place.name for place in two] == ["Camera 1, perhaps HD Webcam", "Camera 2, perhaps Studio caméra"]


@pytest.mark.parametrize("answer", ["", "[]", "{}", '{"SPCameraDataType": [{}]}', '{"SPCameraDataType": 3}', OSError()])
def test_a_system_that_does_not_tell_leaves_one_to_be_tried(answer: str | OSError) -> None:
    assert cameras(_other("darwin", answer)) == (CameraPlace(0, "Camera 1"),)


def test_capture_nodes_are_told_from_others_by_their_own_set_of_abilities() -> None:
    """Laid out as struct v4l2_capability of linux/videodev2.h: its abilities at byte 84, the node's own at 88."""

    def answer(whole: int, own: int) -> bytes:
        return b"".join([bytes(84), whole.to_bytes(4, sys.byteorder), own.to_bytes(4, sys.byteorder), bytes(12)])

    metadata = 0x00800000
    assert captures(answer(0x84A00001, 0x04200001))
    assert not captures(answer(0x84A00001, 0x04200000 | metadata))
    assert captures(answer(0x04000001, 0))
    assert not captures(answer(0x04000002, 1))


def test_a_command_that_fails_or_is_missing_is_an_oserror(monkeypatch: pytest.MonkeyPatch) -> None:
    assert run_command([sys.executable, "-c", "print('é')"]).strip() == "é"
    with pytest.raises(OSError, match="failed"):
        run_command([sys.executable, "-c", "raise SystemExit(1)"])
    with pytest.raises(OSError):  # noqa: PT011 - whatever the system calls it
        run_command(["no such command here"])

    def late(*_: object, **__: object) -> None:
        raise subprocess.TimeoutExpired("slow", 4)

    monkeypatch.setattr(subprocess, "run", late)
    with pytest.raises(OSError, match="failed"):
        run_command(["slow"])


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="asks a Linux node")
def test_a_file_that_is_no_camera_does_not_tell() -> None:
    from core.frames.cameras import can_capture

    assert can_capture("/dev/null") is None
    assert can_capture("/dev/no such node") is None
