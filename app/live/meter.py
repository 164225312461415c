"""How many frames a second reach the screen, and how long each took on its way: of the last second or two."""

import statistics
from collections import deque
from collections.abc import Callable
from time import monotonic

KEPT = 90
SPAN_S = 2.0


class Meter:
    """Tell it of every frame once it has been painted."""

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._painted: deque[tuple[float, float]] = deque(maxlen=KEPT)  # when, and how long it took
        self.count = 0

    def painted(self, taken: float) -> None:
        """A frame that was ``taken`` then is on the screen now."""
        now = self._clock()
        self.count += 1
        self._painted.append((now, now - taken))

    def forget(self) -> None:
        self._painted.clear()

    @property
    def rate(self) -> float:
        """Frames a second; 0 while too few came to tell."""
        recent = self._recent()
        if len(recent) < 3:
            return 0.0
        span = recent[-1][0] - recent[0][0]
        return (len(recent) - 1) / span if span > 0.0 else 0.0

    @property
    def latency_s(self) -> float:
        """From the source to the screen, in the median; 0 while nothing came."""
        recent = self._recent()
        return statistics.median(took for _, took in recent) if recent else 0.0

    @property
    def says(self) -> str:
        """In words; empty while nothing can be told."""
        rate = self.rate
        return f"{rate:.0f} frames a second · {1000 * self.latency_s:.0f} ms" if rate else ""

    def _recent(self) -> list[tuple[float, float]]:
        since = self._clock() - SPAN_S
        return [each for each in self._painted if each[0] >= since]
