"""When a finished painting may be varnished: 6 to 12 months later as a rule, later where it is thick or slow.

Not under six months: Parkhurst, The Painter in Oil, 1898. Six to twelve: Mayer, The Artist's Handbook, 5th ed. 1991,
and Gottsegen, The Painter's Handbook, 2nd ed. 2006 (both from memory). That thick and slow layers ask for more is
common practice; how many months more is ours, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from core.sitting.dates import day, days_between, months_later
from core.sitting.drying_classes import DryingClass, drying_class
from core.sitting.layer import Layer, Medium, Thickness

MONTHS = (6, 12)
SOURCES = (
    "Not under 6 months: Parkhurst 1898. 6 to 12 months: Mayer 1991 and Gottsegen 2006, both from memory. "
    "More for thick and slow layers: common practice, no source."
)
LATER: dict[str, int] = {"a thick layer": 6, "more oil": 3, "slow pigments": 3}
"""Months that both ends move by; only the greatest counts."""
LIMIT = "This is a rule of practice and no measurement: thickness, light and air decide, and a conservator knows more."
TOUCH_DRY = "Touch-dry is not cured: the paint goes on taking up oxygen, and changes its volume, under its skin."
FINAL = "It holds for a final varnish. A retouching varnish may come sooner, as thin as its label says."


class VarnishState(StrEnum):
    """How a day stands to the window: before, within, after."""

    TOO_EARLY = "too early"
    PERHAPS = "perhaps"
    READY = "likely ready"


@dataclass(frozen=True)
class VarnishWindow:
    """``earliest``: not before this day; ``latest``: by then likely ready. ``later_by``: months beyond the usual 6 to
    12. ``told``: sentences, the window first."""

    earliest: date
    latest: date
    later_by: int
    told: tuple[str, ...]

    def state(self, when: date) -> VarnishState:
        """How a day stands to the window."""
        if when < self.earliest:
            return VarnishState.TOO_EARLY
        return VarnishState.PERHAPS if when < self.latest else VarnishState.READY


def varnish_window(finished: date, layers: Sequence[Layer]) -> VarnishWindow:
    """``finished``: the day of the last stroke. ``layers``: all that stayed on the canvas."""
    reasons = {why: months for why, months in LATER.items() if any(_is(why, layer) for layer in layers)}
    later_by = max(reasons.values(), default=0)
    earliest, latest = (months_later(finished, months + later_by) for months in MONTHS)
    first, last = (months + later_by for months in MONTHS)
    window = f"A final varnish is too early before {day(earliest)}; it is usual from {days_between(earliest, latest)}"
    told = [f"{window}, {first} to {last} months after the last stroke."]
    if reasons:
        told.append(f"That is {later_by} months later than usual, for {_listed(list(reasons))}.")
    return VarnishWindow(earliest, latest, later_by, (*told, TOUCH_DRY, FINAL, LIMIT))


def _is(why: str, layer: Layer) -> bool:
    if why == "a thick layer":
        return layer.thickness is Thickness.THICK
    if why == "more oil":
        return layer.medium is Medium.MORE_OIL
    return any(drying_class(name) is DryingClass.SLOW for name in layer.pigments)


def _listed(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]
