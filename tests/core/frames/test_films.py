"""Films at their own pace, upright, to their end."""

import os
import struct
import sys
import time
from pathlib import Path

import cv2
import numpy as np
import pytest

from core.errors import CameraError
from core.frames.films import Film
from core.frames.opening import open_film
from tests.core.frames.source_case import no_thread_left, read_on, write_film


@pytest.mark.parametrize(("name", "fourcc"), [("a.mp4", "mp4v"), ("ä ö.avi", "MJPG")])
def test_a_film_is_seen_to_its_end(tmp_path: Path, name: str, fourcc: str) -> None:
    write_film(tmp_path / name, 12, rate=100.0, fourcc=fourcc)
    seen = []
    with no_thread_left():
        source = open_film(tmp_path / name)
        assert source.name == name
        with pytest.raises(CameraError, match="has ended"):
            read_on(source, seen)
        source.close()
    numbers = [frame.number for frame in seen]
    assert numbers == sorted(set(numbers))
    assert numbers[-1] == 11
    for frame in seen:
        assert frame.codes.shape == (48, 64, 3)
        assert np.abs(frame.codes[30:40, 40:50].astype(int) - (10 * frame.number + 40)).max() <= 6


def test_the_clock_sets_the_pace(tmp_path: Path) -> None:
    write_film(tmp_path / "a.mp4", 11, rate=50.0)
    source = open_film(tmp_path / "a.mp4")
    frames = [source.read()]
    with pytest.raises(CameraError):
        read_on(source, frames)
    source.close()
    lasted = frames[-1].taken - frames[0].taken
    assert lasted >= (frames[-1].number - frames[0].number) / 50.0 - 0.01


class _Slow:
    """A capture of 50 frames at 100 a second in which each retrieve takes 5 frames' time, by a clock of its own."""

    def __init__(self) -> None:
        self.at, self.now = -1, 100.0

    def monotonic(self) -> float:
        return self.now

    def set(self, *_: float) -> bool:
        return True

    def get(self, what: int) -> float:
        told = {cv2.CAP_PROP_FPS: 100.0, cv2.CAP_PROP_FRAME_COUNT: 50.0, cv2.CAP_PROP_POS_MSEC: self.at * 10.0}
        return told[what]

    def grab(self) -> bool:
        self.at += 1
        return self.at < 50

    def retrieve(self) -> tuple[bool, np.ndarray]:
        self.now += 0.05
        return True, np.zeros((2, 2, 3), np.uint8)

    def release(self) -> None: ...


def test_frames_are_left_out_when_they_are_late_and_all_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    capture = _Slow()
    monkeypatch.setattr("core.frames.films.time", capture)
    film, passed = Film(capture, "slow"), []
    began = capture.now
    for _ in range(4):
        passed.append(film.grab()[1])
    assert passed[0] == 1
    assert min(passed[1:]) >= 4
    # What is shown is the frame of that moment, within one frame and the time of retrieving it.
    assert sum(passed) / 100 <= capture.now - began + 0.011


@pytest.mark.parametrize("rate", [0.0, float("nan"), float("inf"), -5.0, 90000.0])
def test_a_rate_that_no_film_has_is_taken_as_the_usual(rate: float) -> None:
    capture = _Slow()
    capture.get = lambda what: rate if what == cv2.CAP_PROP_FPS else float("nan")  # type: ignore[method-assign]
    assert Film(capture, "odd").rate == 25.0


def test_a_film_held_on_its_side_is_given_upright(tmp_path: Path) -> None:
    """Its note of turning is written into the track's matrix (ISO/IEC 14496-12, 8.3.2): 90° clockwise."""
    path = tmp_path / "a.mp4"
    write_film(path, 3)
    data = bytearray(path.read_bytes())
    at = data.index(b"tkhd") + 4 + 40
    one = 0x10000
    assert struct.unpack(">9i", data[at : at + 36]) == (one, 0, 0, 0, one, 0, 0, 0, 0x40000000)
    data[at : at + 36] = struct.pack(">9i", 0, one, 0, -one, 0, 0, 48 * one, 0, 0x40000000)
    path.write_bytes(data)
    source = open_film(path)
    codes = source.read().codes
    source.close()
    assert codes.shape == (64, 48, 3)
    assert codes[5:25, 30:44].min() > 240  # the white quarter was left above: now it is right above
    assert codes[5:25, 5:18].max() < 90


def test_a_film_that_breaks_off_is_told_from_one_that_has_ended() -> None:
    class Cut(_Slow):
        def retrieve(self) -> tuple[bool, np.ndarray]:
            return True, np.zeros((2, 2, 3), np.uint8)

        def grab(self) -> bool:
            self.at += 1
            return self.at < 3

    film = Film(Cut(), "cut")
    for _ in range(3):
        film.grab()
    with pytest.raises(CameraError, match="breaks off"):
        film.grab()


def test_a_film_whose_file_is_cut_off_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.mp4"
    write_film(path, 20)
    path.write_bytes(path.read_bytes()[:-400])
    with no_thread_left(), pytest.raises(CameraError, match="is damaged"):
        open_film(path)


def test_what_is_no_film_is_told(tmp_path: Path) -> None:
    for name, data, word in [
        ("a.mp4", b"", "is empty"),
        ("b.mp4", b"nothing of a film" * 50, "damaged"),
        ("c.mp4", None, "There is no file"),
    ]:
        if data is not None:
            (tmp_path / name).write_bytes(data)
        with no_thread_left(), pytest.raises(CameraError, match=word):
            open_film(tmp_path / name)
    with pytest.raises(CameraError, match="is a folder"):
        open_film(tmp_path)


@pytest.mark.skipif(sys.platform == "win32" or (hasattr(os, "geteuid") and os.geteuid() == 0), reason="root may all")
def test_a_film_that_may_not_be_read_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.mp4"
    path.write_bytes(b"x")
    path.chmod(0)
    with pytest.raises(CameraError, match="may not be opened"):
        open_film(path)


def test_a_film_is_closed_while_it_waits_for_its_next_frame(tmp_path: Path) -> None:
    write_film(tmp_path / "a.mp4", 5, rate=1.0)
    with no_thread_left():
        source = open_film(tmp_path / "a.mp4")
        source.read()
        began = time.monotonic()
        source.close()
        assert time.monotonic() - began < 0.9
