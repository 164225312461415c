"""A film played at its own pace by the clock. Frames are left out when the computer cannot keep up."""

import math
import threading
import time
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from core.errors import CameraError
from core.frames.pixels import red_first

_USUAL_RATE, _FASTEST_RATE = 25.0, 480.0
_BREAKS_OFF = 0.9
"""A film that ends before this part of the frames it is said to hold is damaged."""


class Film:
    """A :class:`core.frames.newest.Grabber` over an opened ``cv2.VideoCapture``. A film turned by its maker's note is
    given upright."""

    def __init__(self, capture: Any, name: str) -> None:
        self._capture, self._name = capture, name
        self._stopped = threading.Event()
        capture.set(cv2.CAP_PROP_ORIENTATION_AUTO, 1)
        rate = float(capture.get(cv2.CAP_PROP_FPS))
        self.rate = rate if math.isfinite(rate) and 0 < rate <= _FASTEST_RATE else _USUAL_RATE
        self._promised = float(capture.get(cv2.CAP_PROP_FRAME_COUNT))
        self._count, self._told_s, self._began = 0, 0.0, math.nan

    def grab(self) -> tuple[NDArray[np.uint8], int]:
        passed = 0
        while True:
            if not self._capture.grab():
                raise CameraError(self._why_over())
            passed += 1
            early_s = self._due() - time.monotonic()
            self._count += 1
            if early_s > -1.0 / self.rate:
                break
        if early_s > 0:
            self._stopped.wait(early_s)
        come, given = self._capture.retrieve()
        return red_first(given if come else None), passed

    def release(self) -> None:
        self._capture.release()

    def wake(self) -> None:
        self._stopped.set()

    def _due(self) -> float:
        """When the frame that was grabbed last is to be shown. The film's own times are gone by where they rise."""
        if math.isnan(self._began):
            self._began = time.monotonic()
        told_s = float(self._capture.get(cv2.CAP_PROP_POS_MSEC)) / 1000
        rises = math.isfinite(told_s) and 0 < told_s - self._told_s < 10.0
        self._told_s = told_s if rises else self._told_s + (1.0 / self.rate if self._count else 0.0)
        return self._began + self._told_s

    def _why_over(self) -> str:
        if self._count == 0:
            return _broken(self._name)
        if math.isfinite(self._promised) and self._count < _BREAKS_OFF * self._promised:
            return f"The film “{self._name}” breaks off: the file is damaged. Copy it again from where it came from."
        return f"The film “{self._name}” has ended. Open it again to see it from its beginning."


def _broken(name: str) -> str:
    return f"“{name}” is damaged, or is no film that can be read here. Save it anew as MP4, and open that."


def opened_film(path: Path) -> Film:
    """Raises CameraError with a sentence."""
    name = path.name
    try:
        if path.is_dir():
            raise CameraError(f"“{name}” is a folder. Choose a film inside it.")
        if not path.exists():
            raise CameraError(f"There is no file “{name}”. It may have been moved or renamed: choose it again.")
        with path.open("rb") as file:
            empty = not file.read(1)
    except PermissionError:
        raise CameraError(
            f"“{name}” may not be opened: this computer does not allow it. Change the file's permissions, or copy it "
            "to a folder of your own."
        ) from None
    except (OSError, ValueError):
        raise CameraError(f"“{name}” could not be opened. Check that its disk or card is still connected.") from None
    if empty:
        raise CameraError(f"“{name}” is empty. Copy it again from where it came from.")
    capture = cv2.VideoCapture(str(path), cv2.CAP_FFMPEG)
    if not capture.isOpened():
        capture.release()
        raise CameraError(_broken(name))
    return Film(capture, name)
