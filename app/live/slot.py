"""Where one thread lays down the newest it has made, and another takes it: one at most waits, older ones are gone."""

import threading
from typing import Generic, TypeVar

T = TypeVar("T")


class Slot(Generic[T]):
    """Closed, it gives nothing any more, and lets go whoever waits at it."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._held: T | None = None
        self._closed = False
        self.dropped = 0  # that were replaced before anyone took them

    def put(self, thing: T) -> bool:
        """Lay it down in place of what may still lie there; whether nothing lay there."""
        with self._changed:
            was_free = self._held is None
            if not self._closed:
                self.dropped += not was_free
                self._held = thing
                self._changed.notify_all()
            return was_free

    def take(self, wait_s: float = 0.0) -> T | None:
        """What lies there, at once or within ``wait_s``; None when nothing came."""
        with self._changed:
            self._changed.wait_for(lambda: self._held is not None or self._closed, wait_s)
            held, self._held = self._held, None
            return held

    def close(self) -> None:
        with self._changed:
            self._closed, self._held = True, None
            self._changed.notify_all()
