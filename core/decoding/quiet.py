"""The decoders' own alarms about odd or large files are kept quiet: what is wrong is said in our own words."""

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

from PIL import Image, PngImagePlugin

_lock = threading.Lock()
_users = 0
_filters = warnings.catch_warnings()
_largest: int | None = None
_longest = PngImagePlugin.MAX_TEXT_CHUNK
_LONGEST = 16_000_000  # bytes of a profile or a text, unpacked


@contextmanager
def quietly() -> Iterator[None]:
    """Run a decoder without Python warnings and without Pillow's limit on pixels (sizes are checked before decoding),
    and with room for the profile of a printer in a PNG, for which Pillow has 1 MB.

    All are one for all threads: the first reader in sets them aside, and the last one out puts them back.
    """
    global _users, _filters, _largest, _longest  # noqa: PLW0603
    with _lock:
        if _users == 0:
            _filters, _largest = warnings.catch_warnings(), Image.MAX_IMAGE_PIXELS
            _filters.__enter__()
            warnings.simplefilter("ignore")
            Image.MAX_IMAGE_PIXELS = None
            _longest, PngImagePlugin.MAX_TEXT_CHUNK = PngImagePlugin.MAX_TEXT_CHUNK, _LONGEST
        _users += 1
    try:
        yield
    finally:
        with _lock:
            _users -= 1
            if _users == 0:
                _filters.__exit__(None, None, None)
                Image.MAX_IMAGE_PIXELS = _largest
                PngImagePlugin.MAX_TEXT_CHUNK = _longest
