"""The soonest sensible next sitting: from when to when, and how any other day stands to it.

All layers that lie there must be dry, so each share is that of the layer that is latest: what makes one dry late, the
room, makes the others late as well.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from core.sitting.dates import day, days_between
from core.sitting.drying import HIGH, LOW, TouchDry
from core.sitting.touch_tests import DAY_SECONDS
from core.words import as_share

TOUCH_FIRST = (
    "Touch it first: a clean finger, laid lightly on an unimportant place where the paint is thickest, "
    "comes away clean and does not cling. What the labels of paint and medium say comes before this forecast."
)
NOT_CURED = "Touch-dry is not cured: beneath its skin oil paint goes on drying for months."


class DayState(StrEnum):
    """How a time stands to the forecast: before the range, within it, after it."""

    TOO_EARLY = "too early"
    PERHAPS = "perhaps"
    LIKELY = "likely touch-dry"


@dataclass(frozen=True)
class Drying:
    """A layer on the canvas. ``finished``: with its time zone."""

    finished: datetime
    dry: TouchDry

    def at(self, share: float) -> datetime:
        """When it is dry with this likelihood, 0-1."""
        return self.finished + timedelta(days=self.dry.after(share))

    def share_at(self, when: datetime) -> float:
        """How likely it is dry then, 0-1. ``when``: with its time zone."""
        return self.dry.by((when - self.finished).total_seconds() / DAY_SECONDS)


@dataclass(frozen=True)
class Standing:
    """``share``: how likely all layers are dry then, 0-1."""

    when: datetime
    state: DayState
    share: float

    def say(self) -> str:
        """Such as ``6 May 2026: perhaps (70 % that it is touch-dry).`` with advice; too early is never left out."""
        told = f"{day(self.when)}: {self.state} ({_likely(self.share)} that it is touch-dry)."
        return told if self.state is DayState.LIKELY else f"{told} {_ADVICE[self.state]}"


_ADVICE = {
    DayState.TOO_EARLY: "Paint laid on now may lift, sink in or crack.",
    DayState.PERHAPS: "Only a touch can tell; be ready to wait.",
}


@dataclass(frozen=True)
class NextSitting:
    """``earliest``, ``even``, ``latest``: when all layers are dry with 10, 50 and 90 %. ``ruled_by``: place in the
    layers given of that which is latest; ``told``: sentences, the range first."""

    earliest: datetime
    even: datetime
    latest: datetime
    ruled_by: int
    told: tuple[str, ...]


def standing(layers: Sequence[Drying], when: datetime) -> Standing:
    """How a time stands to the layers that lie where work goes on; nothing there is dry. ``when``: with its zone."""
    share = min((layer.share_at(when) for layer in layers), default=1.0)
    state = DayState.TOO_EARLY if share < LOW else DayState.PERHAPS if share < HIGH else DayState.LIKELY
    return Standing(when, state, share)


def next_sitting(layers: Sequence[Drying]) -> NextSitting | None:
    """The soonest sensible next sitting upon these layers, the last one last; None where none has been laid."""
    if not layers:
        return None
    low, even, high = (max(layer.at(share) for layer in layers) for share in (LOW, 0.5, HIGH))
    ruled_by = max(range(len(layers)), key=lambda place: (layers[place].at(HIGH), place))
    found = all(layer.dry.found for layer in layers)
    told = [_range(low, max(layer.at(1.0) for layer in layers) if found else high, found=found), TOUCH_FIRST, NOT_CURED]
    if ruled_by != len(layers) - 1:
        told.insert(1, "An earlier layer is likely to be dry later than the last one, and decides.")
    return NextSitting(low, even, high, ruled_by, tuple(told))


def _range(low: datetime, high: datetime, *, found: bool) -> str:
    if found:
        return f"All layers were found touch-dry, by {day(high)} at the latest."
    days = days_between(low, high)
    return f"The next sitting can begin at some time from {days} (eight cases in ten). Before that it is too early."


def _likely(share: float) -> str:
    if share > 0.99:
        return "over 99 %"
    return "under 1 %" if share < 0.01 else as_share(share)
