"""A source that reads in a thread of its own and keeps only the newest frame: a live picture must not lag.

Opening and reading may hang in a driver for as long as it pleases. Whoever waits here waits no longer than the limit;
a thread that hangs is left to itself, and lets go of what it opens once it comes back.
"""

import threading
import time
from collections.abc import Callable
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.errors import CameraError
from core.frames.frame import Frame

CLOSING_S = 1.0
"""How long a close waits for the thread to let go."""
_CLOSED = "The camera was closed. Open it again."
_FAULT = "The camera cannot be used: its driver failed. Plug it in anew, and choose it again."


class Grabber(Protocol):
    """What gives pictures; all but ``wake`` is called from one thread."""

    def grab(self) -> tuple[NDArray[np.uint8], int]:
        """The next picture, ``(H, W, 3)`` sRGB codes red first, and how many have passed with it (1: none was left
        out). May block. Raises CameraError when there are no more."""

    def release(self) -> None:
        """Let go of it."""

    def wake(self) -> None:
        """From another thread: end a ``grab`` that waits, if that can be done."""


class NewestSource:
    """A :class:`core.frames.frame.FrameSource`. ``begin`` opens, in the thread; ``asleep``: the sentence for nothing
    that comes within ``limit_s``, ``silent``: for an opening that takes longer than that.

    Made only once a first frame has come. Raises CameraError, within ``limit_s`` in all.
    """

    def __init__(
        self, name: str, begin: Callable[[], Grabber], *, limit_s: float, asleep: str, silent: str | None = None
    ) -> None:
        self.name = name
        self._begin, self._limit_s, self._asleep = begin, limit_s, asleep
        self._changed = threading.Condition()
        self._newest: Frame | None = None
        self._trouble: CameraError | None = None
        self._grabber: Grabber | None = None
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="frames", daemon=True)
        self._thread.start()
        with self._changed:
            self._changed.wait_for(lambda: self._newest is not None or self._trouble is not None, limit_s)
            trouble = None if self._newest is not None else self._trouble
            if self._newest is None and trouble is None:
                trouble = CameraError(asleep if self._grabber is not None or silent is None else silent)
        if trouble is not None:
            # One that failed is about to end; one that hangs is not waited for.
            self._let_go(wait_s=CLOSING_S if self._trouble is not None else 0.0)
            raise trouble

    def read(self) -> Frame:
        """The newest frame that has not been given yet; waits for it. What stopped the source is told once its last
        frame has been given. Raises CameraError."""
        with self._changed:
            come = self._changed.wait_for(
                lambda: self._ended.is_set() or self._newest is not None or self._trouble is not None, self._limit_s
            )
            if self._ended.is_set():
                raise CameraError(_CLOSED)
            if not come:
                raise CameraError(self._asleep)
            frame, self._newest = self._newest, None
            if frame is not None:
                return frame
            assert self._trouble is not None
            # A new error each time: one that is raised twice would gather tracebacks.
            raise CameraError(str(self._trouble))

    def close(self) -> None:
        self._let_go(wait_s=CLOSING_S)

    def _let_go(self, *, wait_s: float) -> None:
        with self._changed:
            again = self._ended.is_set()
            self._ended.set()
            self._newest = None
            grabber = self._grabber
            self._changed.notify_all()
        if grabber is not None:
            grabber.wake()
        if not again and self._thread is not threading.current_thread():
            self._thread.join(wait_s)

    def _run(self) -> None:
        grabber = None
        try:
            grabber = self._begin()
            with self._changed:
                self._grabber = grabber
            self._read_on(grabber)
        except CameraError as trouble:
            self._stop(trouble)
        except Exception:
            self._stop(CameraError(_FAULT))
        finally:
            with self._changed:
                self._grabber = None
            if grabber is not None:
                grabber.release()

    def _read_on(self, grabber: Grabber) -> None:
        number = -1
        while not self._ended.is_set():
            codes, passed = grabber.grab()
            number += passed
            with self._changed:
                if self._ended.is_set():
                    return
                self._newest = Frame(codes, number, time.monotonic())
                self._changed.notify_all()

    def _stop(self, trouble: CameraError) -> None:
        with self._changed:
            self._trouble = trouble
            self._changed.notify_all()
