"""Cameras, streams and films opened as sources of frames. None of these calls takes longer than its limit."""

import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.errors import CameraError
from core.frames import camera_troubles as troubles
from core.frames.address import HTTP, StreamAddress, stream_address
from core.frames.cameras import CameraPlace
from core.frames.films import opened_film
from core.frames.frame import FrameSource
from core.frames.http_pictures import HttpPictures, why_no_link
from core.frames.newest import Grabber, NewestSource
from core.frames.pixels import red_first

FILM_LIMIT_S = 15.0
_EMPTY_IN_A_ROW, _EMPTY_WAIT_S = 10, 0.03
_SOONER_S = 0.5
"""The library's own time limit is so much sooner than ours, so that its thread ends by itself."""

Capturing = Callable[..., Any]
"""``cv2.VideoCapture``, or what a test puts in its place."""


class Capture:
    """A :class:`core.frames.newest.Grabber` over an opened ``cv2.VideoCapture``. ``why``: a sentence for none coming,
    given whether pictures had come."""

    def __init__(self, capture: Any, why: Callable[[bool], str]) -> None:
        self._capture, self._why = capture, why
        self._stopped = threading.Event()
        self._came = False

    def grab(self) -> tuple[NDArray[np.uint8], int]:
        for _ in range(_EMPTY_IN_A_ROW):
            come, given = self._capture.read()
            if come and given is not None and given.size:
                self._came = True
                return red_first(given), 1
            if not self._capture.isOpened() or self._stopped.wait(_EMPTY_WAIT_S):
                break
        raise CameraError(self._why(self._came))

    def release(self) -> None:
        self._capture.release()

    def wake(self) -> None:
        self._stopped.set()


def open_camera(
    place: CameraPlace,
    *,
    size: tuple[int, int] = (1920, 1080),
    limit_s: float = 10.0,
    capturing: Capturing = cv2.VideoCapture,
) -> FrameSource:
    """A camera of this machine. ``size``: width and height that are asked for; the camera gives the nearest it has.

    Raises CameraError with a sentence: it is gone, busy, not allowed, asleep, or does not answer.
    """

    def why(was_open: bool) -> str:
        return troubles.why_none(place.name, place.path, was_open=was_open)

    def begin() -> Grabber:
        backend = cv2.CAP_V4L2 if sys.platform.startswith("linux") else cv2.CAP_ANY
        capture = capturing(place.index, backend)
        if not capture.isOpened():
            capture.release()
            raise CameraError(why(False))
        # The form first: many cameras give 1080p at full pace only as MJPG, and offer sizes by the form.
        capture.set(cv2.CAP_PROP_FOURCC, cv2.VideoWriter.fourcc(*"MJPG"))
        capture.set(cv2.CAP_PROP_FRAME_WIDTH, size[0])
        capture.set(cv2.CAP_PROP_FRAME_HEIGHT, size[1])
        capture.set(cv2.CAP_PROP_BUFFERSIZE, 1)
        return Capture(capture, why)

    return NewestSource(
        place.name,
        begin,
        limit_s=limit_s,
        asleep=troubles.ASLEEP.format(name=place.name),
        silent=troubles.HANGS.format(name=place.name),
    )


def open_stream(address: str, *, limit_s: float = 10.0, capturing: Capturing = cv2.VideoCapture) -> FrameSource:
    """MJPEG over HTTP, or RTSP; an address without a scheme is one over HTTP. Named by its machine.

    Raises CameraError with a sentence, in which no password ever stands.
    """
    place = stream_address(address)
    silent = (
        f"“{place.shown}” does not answer. Check the address, and that the camera is awake and in the same network."
    )

    def begin() -> Grabber:
        if place.scheme == HTTP:
            return HttpPictures(place, limit_s)
        return _opened_rtsp(place, limit_s, capturing)

    asleep = f"Nothing comes from “{place.shown}” any more. Check that it is awake and in the network."
    return NewestSource(place.shown, begin, limit_s=limit_s, asleep=asleep, silent=silent)


def open_film(path: Path) -> FrameSource:
    """A film at its own pace; frames are left out rather than shown late. At its end, and for a film that is missing,
    damaged or not allowed: CameraError with a sentence."""
    asleep = f"“{path.name}” cannot be read on. Check that its disk or card is still connected."
    return NewestSource(path.name, lambda: opened_film(path), limit_s=FILM_LIMIT_S, asleep=asleep)


def _opened_rtsp(place: StreamAddress, limit_s: float, capturing: Capturing) -> Grabber:
    """The library only says that it failed: whether the machine can be reached at all is tried first."""
    import socket

    until = time.monotonic() + limit_s
    try:
        socket.create_connection((place.host, place.port), timeout=limit_s).close()
    except OSError as error:
        raise CameraError(why_no_link(error, place.shown)) from None
    left_ms = max(200, round(1000 * (until - time.monotonic() - _SOONER_S)))
    limits = [cv2.CAP_PROP_OPEN_TIMEOUT_MSEC, left_ms, cv2.CAP_PROP_READ_TIMEOUT_MSEC, max(200, round(1000 * limit_s))]
    capture = capturing(place.whole, cv2.CAP_FFMPEG, limits)
    if not capture.isOpened():
        capture.release()
        raise CameraError(_no_rtsp(place, gave_up=time.monotonic() >= until - _SOONER_S - 0.1))

    def why(was_open: bool) -> str:
        if was_open:
            return f"“{place.shown}” has stopped sending. Check that it is switched on, then open it again."
        return _no_rtsp(place, gave_up=False)

    return Capture(capture, why)


def _no_rtsp(place: StreamAddress, *, gave_up: bool) -> str:
    if gave_up:
        return f"“{place.shown}” does not answer. Check the address, and that the camera is awake."
    return (
        f"“{place.shown}” gives no pictures at this address. Check the name and password, and what stands after the "
        "machine's name."
    )
