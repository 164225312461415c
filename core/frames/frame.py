"""One frame of a moving picture, and the protocol that every source of frames keeps to."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.develop import srgb_curve
from core.photo import Photo, Source


@dataclass(frozen=True, eq=False)
class Frame:
    """``codes``: ``(H, W, 3)`` uint8 sRGB, red first, never written to again. ``number``: counts the frames of its
    source from 0, those that were dropped too. ``taken``: ``time.monotonic()`` seconds when the source gave it."""

    codes: NDArray[np.uint8]
    number: int
    taken: float

    @property
    def width(self) -> int:
        return int(self.codes.shape[1])

    @property
    def height(self) -> int:
        return int(self.codes.shape[0])

    def photo(self, name: str = "") -> Photo:
        """The same pixels as a photograph; nothing is copied."""
        return Photo(self.codes, srgb_curve(256), Source(name=name, format="frame"))


class FrameSource(Protocol):
    """Gives frames from one thread of its caller's. ``name``: as the painter knows it.

    A source is open once it has been made; making it may take seconds and raises CameraError.
    """

    name: str

    def read(self) -> Frame:
        """The newest frame that has not been given yet; waits for it. Older ones are dropped.

        Raises CameraError with a sentence when none comes within the source's time limit or it has ended.
        """

    def close(self) -> None:
        """Let the camera go; may be called twice, and from another thread to end a ``read`` that waits."""
