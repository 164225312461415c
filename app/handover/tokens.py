"""Who may come in: a code that opens the page once, and the mark by which that one phone is known afterwards."""

import hmac
import secrets
import threading
import time
from collections.abc import Callable

BYTES = 16
"""128 bits from the operating system: beyond guessing (OWASP Session Management asks for 64 bits at least)."""

LENGTH = 22
"""Characters of a code: 16 bytes in base 64 without padding."""


class Pass:
    """One code and one phone at a time. Asked in the server's thread, renewed in the window's."""

    def __init__(self, code_s: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._code_s = code_s
        self._clock = clock
        self._lock = threading.Lock()
        self._code, self._phone, self._made_at, self._spent = _fresh(clock)

    @property
    def code(self) -> str:
        """What the address ends in."""
        with self._lock:
            return self._code

    @property
    def is_spent(self) -> bool:
        """Whether a phone has opened the page with the code."""
        with self._lock:
            return self._spent

    def renew(self) -> str:
        """Another code; the old one and the phone that came with it are forgotten."""
        with self._lock:
            self._code, self._phone, self._made_at, self._spent = _fresh(self._clock)
            return self._code

    def come_in(self, code: str, phone: str) -> str | None:
        """The mark for a phone that shows ``code``, or None when it is wrong, too old, or used by another phone.

        ``phone``: the mark it has already, or ""; the phone that used the code may open the page again with it.
        """
        with self._lock:
            right, known = _same(code, self._code), _same(phone, self._phone)
            in_time = self._clock() - self._made_at < self._code_s
            if not right or not (known if self._spent else in_time):
                return None
            self._spent = True
            return self._phone

    def knows(self, phone: str) -> bool:
        """Whether this is the mark of the phone that opened the page."""
        with self._lock:
            return _same(phone, self._phone) and self._spent


def _fresh(clock: Callable[[], float]) -> tuple[str, str, float, bool]:
    """A code, the mark for the phone that will come with it, when they were made, and that none has come."""
    return secrets.token_urlsafe(BYTES), secrets.token_urlsafe(BYTES), clock(), False


def _same(one: str, other: str) -> bool:
    """Compared in the same time wherever they differ."""
    return hmac.compare_digest(one.encode("utf-8", "replace"), other.encode("utf-8", "replace"))
