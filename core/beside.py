"""A piece of work done on another processor while the caller goes on; numpy and OpenCV let it."""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import TypeVar

T = TypeVar("T")


@contextmanager
def beside(work: Callable[[], T]) -> Iterator[Callable[[], T]]:
    """Begin ``work``; what is given waits for its answer, or raises what it raised. On leaving it has ended."""
    with ThreadPoolExecutor(1, thread_name_prefix="easelside-beside") as other:
        yield other.submit(work).result
