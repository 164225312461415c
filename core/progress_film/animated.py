"""A progress film as one animated picture, for a page or a message that shows no films.

It is a WebP. The demo painting's three sittings at 720 pixels, 21 frames, as Pillow writes them: WebP of quality 80
222 kB, 0.5 s of processor time, CIEDE2000 from what was to be shown 1.3 on average; quality 90 359 kB, 0.7 s, 1.1;
without loss 8.0 MB; GIF 3.9 MB, 4.2 s, 0.8, its 256 colours dithered anew in each frame; PNG 7.1 MB, 3.8 s, 0. AVIF
would be 44 kB, 0.8 s, 1.7, but fewer programs show it moving (common practice, no source).
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from core.errors import PainterError
from core.whole_file import why_not_written, write_whole

Pixels = NDArray[np.uint8]

QUALITY, _EFFORT = 80, 2


class _Lazy(Image.Image):
    """Frames made one by one as the writer asks for them, so that they are never all held."""

    def __init__(self, frames: Iterator[Pixels], count: int, size: tuple[int, int]) -> None:
        super().__init__()
        self.n_frames, self.is_animated = count, count > 1
        self._frames, self._at = frames, -1
        self._mode, self._size = "RGB", size

    def seek(self, frame: int) -> None:
        while self._at < frame:
            self.im = Image.fromarray(next(self._frames)).im
            self._at += 1

    def tell(self) -> int:
        return max(self._at, 0)


def save_animated(path: Path, frames: Iterator[Pixels], durations_ms: list[int], size: tuple[int, int]) -> None:
    """An animated WebP of as many ``frames`` ``(height, width, 3)`` as ``durations_ms``, which plays for ever.

    Raises PainterError with a sentence when it cannot be written; what ``frames`` raises passes through.
    """
    lazy = _Lazy(frames, len(durations_ms), size)
    lazy.seek(0)
    options: dict[str, Any] = {"quality": QUALITY, "method": _EFFORT, "loop": 0, "duration": durations_ms}
    try:
        write_whole(path, lambda file: lazy.save(file, "WEBP", save_all=True, minimize_size=False, **options))
    except (OSError, ValueError) as error:
        raise PainterError(why_not_written(path, error)) from error
