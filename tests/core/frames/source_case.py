"""What the tests of sources share: captures in the test's hands, and a look for threads left behind."""

import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.frames.frame import Frame, FrameSource

LIMIT_S = 0.25


def plain(code: int, shape: tuple[int, ...] = (8, 12, 3)) -> NDArray[np.uint8]:
    """Blue first: its red is ``code``, its green 20, its blue 10."""
    picture = np.empty(shape, np.uint8)
    picture[:] = (10, 20, code)
    return picture


class FakeCapture:
    """In the place of ``cv2.VideoCapture``: gives ``pictures`` in turn; a callable among them is called for it."""

    def __init__(self, pictures: Sequence[Any], *, is_open: bool = True, opening: Callable[[], Any] = bool) -> None:
        self.pictures, self.is_open, self.opening = list(pictures), is_open, opening
        self.asked: dict[int, float] = {}
        self.order: list[int] = []
        self.arguments: tuple[Any, ...] = ()
        self.released = threading.Event()

    def __call__(self, *arguments: Any) -> "FakeCapture":
        self.arguments = arguments
        self.opening()
        return self

    def isOpened(self) -> bool:  # noqa: N802 - the library's name
        return self.is_open

    def set(self, what: int, value: float) -> bool:
        self.asked[what] = value
        self.order.append(what)
        return True

    def read(self) -> tuple[bool, Any]:
        if not self.pictures:
            return False, None
        picture = self.pictures.pop(0)
        if callable(picture):
            picture = picture()
        return picture is not None, picture

    def release(self) -> None:
        self.released.set()


@contextmanager
def no_thread_left() -> Iterator[None]:
    """Threads of sources that were begun in it have ended a second after it."""
    before = set(threading.enumerate())
    yield
    begun = [each for each in set(threading.enumerate()) - before if each.name == "frames"]
    for thread in begun:
        thread.join(1.0)
    assert not [thread for thread in begun if thread.is_alive()]


def read_on(source: FrameSource, seen: list[Frame] | None = None) -> None:
    """Until it raises."""
    while True:
        frame = source.read()
        if seen is not None:
            seen.append(frame)


def took(work: Callable[[], Any]) -> float:
    began = time.monotonic()
    work()
    return time.monotonic() - began


def write_film(
    path: Any, count: int, *, rate: float = 100.0, size: tuple[int, int] = (64, 48), fourcc: str = "mp4v"
) -> None:
    """Frame k is grey of code 10 k + 40; its left upper quarter is white."""
    writer = cv2.VideoWriter(str(path), cv2.VideoWriter.fourcc(*fourcc), rate, size)
    assert writer.isOpened()
    for k in range(count):
        picture = np.full((size[1], size[0], 3), 10 * k + 40, np.uint8)
        picture[: size[1] // 2, : size[0] // 2] = 255
        writer.write(picture)
    writer.release()
