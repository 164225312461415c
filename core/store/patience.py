"""Waiting for a disk that may not answer: a drive asleep, a share that is gone. What hangs is given a time limit.

A call that hangs in the operating system cannot be broken off, so it is made in a thread of its own, which is left to
itself when the time is up; it does not keep the program from ending.
"""

import errno
import hashlib
import queue
import threading
import time
from collections.abc import Callable, Generator
from contextlib import closing
from pathlib import Path
from typing import Any, TypeVar

from core.store import files

PATIENCE_SECONDS = 20.0  # a sleeping disk needs up to about ten to wake (from memory); twice that
TRUSTED_SECONDS = 2.0  # after an answer the disk is asked without a thread, which costs a tenth
SPARED_SECONDS = 30.0  # after a silence it is not asked again, so that not every photograph costs the whole patience

_AHEAD = 2  # chunks read before they are wanted

T = TypeVar("T")


def silence() -> TimeoutError:
    """What is raised when a disk does not answer in time."""
    return TimeoutError(errno.ETIMEDOUT, "it does not answer")


def answered(work: Callable[[], T]) -> T:
    """What ``work`` answers or raises; TimeoutError when it takes longer than the patience."""
    answer: queue.SimpleQueue[tuple[T | None, BaseException | None]] = queue.SimpleQueue()

    def ask() -> None:
        try:
            answer.put((work(), None))
        except BaseException as error:
            answer.put((None, error))

    threading.Thread(target=ask, name="easelside-disk", daemon=True).start()
    try:
        value, error = answer.get(timeout=PATIENCE_SECONDS)
    except queue.Empty:
        raise silence() from None
    if error is not None:
        raise error
    return value  # type: ignore[return-value]


def chunks_of(path: Path) -> Generator[bytes, None, None]:
    """A file's bytes, a mebibyte at a time, read a little ahead. OSError as the disk says; TimeoutError when nothing
    came for longer than the patience: a slow disk may take as long as it likes as long as it goes on."""
    line: queue.Queue[bytes | BaseException | None] = queue.Queue(_AHEAD)
    left = threading.Event()
    threading.Thread(target=_feed, args=(path, line, left), name="easelside-disk", daemon=True).start()
    try:
        while True:
            try:
                item = line.get(timeout=PATIENCE_SECONDS)
            except queue.Empty:
                raise silence() from None
            if item is None:
                return
            if isinstance(item, BaseException):
                raise item
            yield item
    finally:
        left.set()


def _feed(path: Path, line: "queue.Queue[Any]", left: threading.Event) -> None:
    try:
        with path.open("rb") as file:
            for chunk in files.chunks(file):
                if not _handed(chunk, line, left):
                    return
        _handed(None, line, left)
    except BaseException as error:
        _handed(error, line, left)


def _handed(item: Any, line: "queue.Queue[Any]", left: threading.Event) -> bool:
    while not left.is_set():
        try:
            line.put(item, timeout=0.1)
        except queue.Full:
            continue
        return True
    return False


def sha256_of(path: Path) -> str:
    """SHA-256 of the file's bytes, hexadecimal; TimeoutError as in ``chunks_of``."""
    digest = hashlib.sha256()
    with closing(chunks_of(path)) as reading:
        for chunk in reading:
            digest.update(chunk)
    return digest.hexdigest()


class Patience:
    """Asks one disk again and again. Used from one thread."""

    def __init__(self) -> None:
        self._answered_at = float("-inf")
        self._silent_at = float("-inf")

    @property
    def is_silent(self) -> bool:
        """Whether the disk did not answer when it was asked last."""
        return self._silent_at > self._answered_at

    def ask(self, work: Callable[[], T]) -> T:
        """As ``answered``; at once TimeoutError when the disk has only just been silent."""
        now = time.monotonic()
        if now - self._silent_at < SPARED_SECONDS:
            raise silence()
        if now - self._answered_at < TRUSTED_SECONDS:
            return work()
        try:
            value = answered(work)
        except TimeoutError:
            self._silent_at = time.monotonic()
            raise
        except OSError:
            self._answered_at = time.monotonic()
            raise
        self._answered_at = time.monotonic()
        return value
