"""When a layer will be dry to the touch: never a day alone, always from when to when, and what that rests on."""

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from core.sitting.drying_factors import TOLD_TEMPERATURES, Factor, factors_of
from core.sitting.layer import Ground, Layer, Room

Floats = NDArray[np.float64]

LOW, HIGH = 0.1, 0.9
"""The range that is told: of ten layers one is dry sooner, and one later."""
PAINTER_SPREAD = 0.35
"""How far painters differ from one another, by light, air, makers and hand: one standard deviation of the logarithm of
the days (ours, no source). The touch tests find the painter's own."""
LIMIT = (
    "A forecast from pigment classes and rules of thumb: light, air, makers and driers change it, "
    "and only a touch tells."
)
_HOURS_TO = 2.0
_DAY = 24.0


@dataclass(frozen=True)
class Expected:
    """A layer before anything is known of the painter. ``log_days``, ``spread``: mean and standard deviation of the
    natural logarithm of the days until it is touch-dry, the painter's own factor not counted. ``limits``: sentences."""

    log_days: float
    spread: float
    factors: tuple[Factor, ...]
    limits: tuple[str, ...]

    def days(self, share: float) -> float:
        """Days until it is dry in this share (0-1, ends excluded) of layers, among all painters."""
        return math.exp(NormalDist(self.log_days, math.hypot(self.spread, PAINTER_SPREAD)).inv_cdf(share))


@dataclass(frozen=True, eq=False)
class TouchDry:
    """``log_days``: ``(n,)`` float64, rising, natural logarithms of days; ``share``: ``(n,)``, rising from 0 to 1, how
    likely the layer is dry by then. ``found``: a touch test has found it dry."""

    log_days: Floats
    share: Floats
    found: bool = False

    def after(self, share: float) -> float:
        """Days after which it is dry with this likelihood, 0-1."""
        return float(np.exp(np.interp(share, self.share, self.log_days)))

    def by(self, days: float) -> float:
        """How likely it is dry so many days after it was finished, 0-1."""
        if days <= 0.0:
            return 0.0
        return float(np.interp(math.log(days), self.log_days, self.share, left=0.0, right=1.0))

    def say(self) -> str:
        """Such as ``Touch-dry after 3 to 12 days; 6 days is an even bet.``"""
        if self.found:
            return f"It was touch-dry after {span(self.after(0.0), self.after(1.0))}, by your touch tests."
        middle = length_of_time(self.after(0.5))
        return f"Touch-dry after {span(self.after(LOW), self.after(HIGH))}; {middle} is an even bet."


def foretell(layer: Layer, room: Room | None = None, ground: Ground | None = None) -> Expected:
    """What is to be expected of a layer. ``room``: 20 °C and 50 % where not told. ``ground``: what the layer lies on,
    None where that is dry paint. PaintError where the room cannot be."""
    room = Room() if room is None else room
    factors = factors_of(layer, room, ground)
    limits = [LIMIT]
    if not TOLD_TEMPERATURES[0] <= room.temperature_c <= TOLD_TEMPERATURES[1]:
        limits.append("So far from room temperature oil paint hardly behaves as usual: take the forecast as a guess.")
    if not layer.pigments:
        limits.append("The tubes of this layer are not told, so the range is as wide as that of all pigments.")
    return Expected(
        sum(math.log(each.times) for each in factors),
        math.sqrt(sum(each.spread**2 for each in factors)),
        factors,
        tuple(limits),
    )


def length_of_time(days: float) -> str:
    """``9 hours`` below two days, else ``6 days``."""
    if days < _HOURS_TO:
        return _number(days * _DAY, "hour")
    return _number(days, "day")


def span(low: float, high: float) -> str:
    """``9 to 30 hours``, ``30 hours to 4 days`` or ``3 to 11 days``, of days that rise."""
    first, last = length_of_time(low), length_of_time(high)
    if first == last:
        return first
    number, unit = first.split(" ")
    return f"{number} to {last}" if last.split(" ")[1].startswith(unit.rstrip("s")) else f"{first} to {last}"


def _number(of: float, unit: str) -> str:
    whole = max(1, round(of))
    return f"{whole} {unit}" + ("s" if whole != 1 else "")
