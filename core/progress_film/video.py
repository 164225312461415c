"""A film written to a WebM (VP8) or MP4 (MPEG-4) file: whole or not at all, and read back before it is kept.

H.264 cannot be written by the library that the program carries; these two can, and are read back within 4 codes of
flat colours. 192 frames of 1280 × 1026 take 15 s of processor time and 3.5 MB as WebM, 5 s and 1.6 MB as MP4. The
library tells nothing of a disk that is full while it writes, so the frames that arrived are counted at the end.
"""

import errno
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.errors import PainterError
from core.whole_file import why_not_written

Pixels = NDArray[np.uint8]

_LEAST_FREE = 4_000_000
_EACH = 24  # frames between two looks at the room on the disk


class Video(StrEnum):
    """The kinds of film file, by their endings."""

    WEBM = ".webm"
    MP4 = ".mp4"

    @property
    def called(self) -> str:
        return "WebM" if self is Video.WEBM else "MP4"

    @property
    def other(self) -> "Video":
        return Video.MP4 if self is Video.WEBM else Video.WEBM

    @property
    def codec(self) -> str:
        return "VP80" if self is Video.WEBM else "mp4v"


class VideoFile:
    """Frames go in by :meth:`add`; made by :func:`video_file`."""

    def __init__(self, path: Path, kind: Video, rate: int, size: tuple[int, int]) -> None:
        self.path, self.count, self._size = path, 0, size
        self._writer = _opened(path, kind, rate, size)

    def add(self, picture: Pixels, frames: int = 1) -> None:
        """``picture``: ``(height, width, 3)`` sRGB codes of the film's size, seen for so many frames."""
        if picture.shape[1::-1] != self._size:
            raise ValueError(f"a picture of {picture.shape[1::-1]} in a film of {self._size}")
        blue_first = np.ascontiguousarray(picture[..., ::-1])
        for _ in range(frames):
            if self.count % _EACH == 0 and shutil.disk_usage(self.path.parent).free < _LEAST_FREE:
                raise OSError(errno.ENOSPC, "no room")
            self._writer.write(blue_first)
            self.count += 1

    def finish(self) -> None:
        """End the file and read it back. Raises OSError when a frame is missing."""
        self._writer.release()
        with self.path.open("rb+") as file:
            os.fsync(file.fileno())
        if (arrived := frames_in(self.path)) != self.count:
            full = shutil.disk_usage(self.path.parent).free < _LEAST_FREE + self.path.stat().st_size // 10
            raise OSError(errno.ENOSPC if full else errno.EIO, f"{arrived} of {self.count} frames")

    def drop(self) -> None:
        self._writer.release()
        self.path.unlink(missing_ok=True)


@contextmanager
def video_file(path: Path, rate: int, size: tuple[int, int]) -> Iterator[VideoFile]:
    """A film of ``rate`` frames a second and ``size`` (width, height; even) that takes the place of ``path``
    on leaving.

    What is raised within leaves an older file as it was. Raises PainterError with a sentence when it cannot be written.
    """
    kind = kind_of(path)
    unfinished = path.with_name(f".{path.stem[:40]}.{secrets.token_hex(4)}.part{kind}")
    try:
        _look_at(path)
        with unfinished.open("xb"):
            pass  # says in words what stands in the way, which the library does not
    except (OSError, ValueError) as error:
        raise PainterError(why_not_written(path, error)) from error
    file = VideoFile(unfinished, kind, rate, size)
    try:
        yield file
        file.finish()
        unfinished.replace(path)
    except OSError as error:
        raise PainterError(why_not_written(path, error)) from error
    finally:
        file.drop()


def _look_at(path: Path) -> None:
    """Raises OSError or ValueError for a name that no file can have here: told before the film is made, not after."""
    try:
        path.stat()
    except FileNotFoundError:
        return
    if path.is_dir():
        raise IsADirectoryError(errno.EISDIR, "a folder")


def kind_of(path: Path) -> Video:
    """By the file's ending; raises PainterError with a sentence."""
    try:
        return Video(path.suffix.lower())
    except ValueError:
        raise PainterError(
            f"A film cannot be written as “{path.suffix or path.name}”. End its name in .webm or .mp4."
        ) from None


def frames_in(path: Path) -> int:
    """How many frames of a film can be read, from its first to its last."""
    capture = cv2.VideoCapture(str(path), cv2.CAP_FFMPEG)
    count = 0
    while capture.grab():
        count += 1
    capture.release()
    return count


def _four(letters: str) -> int:
    """The codec's number: its four letters, the first in the lowest byte."""
    return int.from_bytes(letters.encode("ascii"), "little")


def _opened(path: Path, kind: Video, rate: int, size: tuple[int, int]) -> Any:
    writer = _writer(path, kind, rate, size)
    if writer.isOpened():
        return writer
    writer.release()
    path.unlink(missing_ok=True)
    probe = path.with_name(f"{path.stem}.probe{kind.other}")
    other = _writer(probe, kind.other, rate, size)
    offered = other.isOpened()
    other.release()
    probe.unlink(missing_ok=True)
    do = (
        f"Save the film as {kind.other.called} instead" if offered else "Save it as an animated picture (.webp) instead"
    )
    raise PainterError(f"A film cannot be written as {kind.called} on this computer. {do}.")


def _writer(path: Path, kind: Video, rate: int, size: tuple[int, int]) -> Any:
    return cv2.VideoWriter(str(path), cv2.CAP_FFMPEG, _four(kind.codec), float(rate), size)
