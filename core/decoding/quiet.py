"""The decoders' own warnings about odd files are kept off the console."""

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

_lock = threading.Lock()
_users = 0
_filters = warnings.catch_warnings()


@contextmanager
def quietly() -> Iterator[None]:
    """Keep the decoders' own warnings about odd files to ourselves. Python's warning filters are one for all threads:
    the first reader in sets them aside, and the last one out puts them back."""
    global _users, _filters  # noqa: PLW0603
    with _lock:
        if _users == 0:
            _filters = warnings.catch_warnings()
            _filters.__enter__()
            warnings.simplefilter("ignore")
        _users += 1
    try:
        yield
    finally:
        with _lock:
            _users -= 1
            if _users == 0:
                _filters.__exit__(None, None, None)
