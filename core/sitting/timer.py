"""How long a sitting took: a timer that is started, stopped and gone on with.

It keeps when it was started, so that a crash costs no time. A stretch that cannot be right, because the clock went
back or the timer was forgotten, is told and not counted until the painter says how long it was.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, timezone
from typing import Any

from core.errors import PaintingError
from core.sitting.dates import day_and_hour
from core.sitting.record import Reading, as_moment, as_whole, or_none

FORGOTTEN = timedelta(hours=12)
"""No stretch of painting is longer: the timer was forgotten (ours, no source)."""
LONGEST_MINUTES = 24 * 60


@dataclass(frozen=True)
class Stretch:
    """From when to when, both with a time zone. ``by_hand``: whole minutes that the painter says it was, or None.

    Raises PaintingError for minutes below 0 or above a day, ValueError for a moment without a time zone.
    """

    began: datetime
    ended: datetime
    by_hand: int | None = None

    def __post_init__(self) -> None:
        _checked(self.began)
        _checked(self.ended)
        if self.by_hand is not None and not 0 <= self.by_hand <= LONGEST_MINUTES:
            raise PaintingError(f"Give from 0 minutes to 24 hours; {self.by_hand} minutes is not within that.")

    @property
    def doubt(self) -> str:
        """Why it cannot be right, and what to do; empty where it can be, or where the painter has said how long."""
        return "" if self.by_hand is not None else _doubt(self.began, self.ended)

    @property
    def length(self) -> timedelta:
        """By hand, else by the clock; nothing where the clock is in doubt."""
        if self.by_hand is not None:
            return timedelta(minutes=self.by_hand)
        return timedelta(0) if self.doubt else self.ended - self.began


@dataclass(frozen=True)
class Timer:
    """``stretches``: those that ended, in the order of painting. ``since``: when the one that runs began, or None."""

    stretches: tuple[Stretch, ...] = ()
    since: datetime | None = None

    @property
    def runs(self) -> bool:
        return self.since is not None

    @property
    def first(self) -> datetime | None:
        """When it was first started; None where it never was."""
        return self.stretches[0].began if self.stretches else self.since

    @property
    def last(self) -> datetime | None:
        """When it was last stopped; None while it runs, and where it never was."""
        return None if self.runs or not self.stretches else self.stretches[-1].ended

    def started(self, now: datetime) -> "Timer":
        """Running since ``now``; as it was if it runs already."""
        return self if self.runs else replace(self, since=_fixed(now))

    def stopped(self, now: datetime, *, minutes: int | None = None) -> "Timer":
        """Stopped at ``now``; ``minutes``: how long it really was, where the painter says so. As it was if it rests."""
        if self.since is None:
            return self
        return Timer((*self.stretches, Stretch(self.since, _fixed(now), minutes)))

    def corrected(self, place: int, minutes: int) -> "Timer":
        """The stretch at this place, from 0, took so many minutes. PaintingError where there is none."""
        if not 0 <= place < len(self.stretches):
            raise PaintingError("There is no such stretch of time to correct. Add the minutes by hand.")
        mended = replace(self.stretches[place], by_hand=minutes)
        return replace(self, stretches=(*self.stretches[:place], mended, *self.stretches[place + 1 :]))

    def added(self, minutes: int, now: datetime) -> "Timer":
        """With minutes that were painted without the timer."""
        at = _fixed(now)
        return replace(self, stretches=(*self.stretches, Stretch(at, at, minutes)))

    def length(self, now: datetime | None = None) -> timedelta:
        """Of all stretches that are not in doubt, and of the one that runs up to ``now`` where that is given."""
        told = sum((each.length for each in self.stretches), timedelta(0))
        if self.since is None or now is None:
            return told
        return told + Stretch(self.since, _fixed(now)).length

    def doubts(self, now: datetime | None = None) -> tuple[tuple[int, str], ...]:
        """The places of stretches that are not counted, each with a sentence; the one that runs comes after the last.

        Where the timer was started on before it was stopped, the clock went back as well: that is told of the later
        stretch, though its own length still counts.
        """
        told = []
        ends: datetime | None = None
        running = [Stretch(self.since, _fixed(now))] if self.since is not None and now is not None else []
        for place, each in enumerate((*self.stretches, *running)):
            doubt = each.doubt
            if not doubt and each.by_hand is None and ends is not None and each.began < ends:
                doubt = (
                    f"The timer was started at {day_and_hour(each.began)}, before it had been stopped at "
                    f"{day_and_hour(ends)}: the clock was put back. See whether the time is right, or give the minutes."
                )
            if doubt:
                told.append((place, doubt))
            ends = each.ended
        return tuple(told)

    def to_json(self) -> dict[str, Any]:
        """Plain data that :func:`read_timer` reads back."""
        return {
            "stretches": [
                {"began": each.began.isoformat(), "ended": each.ended.isoformat(), "by_hand": each.by_hand}
                for each in self.stretches
            ],
            "since": None if self.since is None else self.since.isoformat(),
        }


NEVER_STARTED = Timer()


def read_timer(entry: Mapping[str, Any], where: str, reading: Reading) -> Timer:
    """``where`` such as ``sitting 2``. A stretch that cannot be read is left out and told. Never raises."""
    stretches = []
    for held in reading.entries(entry, "stretches", f"the time of {where}"):
        read = reading.take({"it": held}, "it", f"a stretch of the time of {where}", _stretch, None)
        stretches += [read] if read is not None else []
    return Timer(
        tuple(stretches), reading.take(entry, "since", f"when the timer of {where} began", or_none(as_moment), None)
    )


def in_words(length: timedelta) -> str:
    """``2 h 05 min``, or ``45 min`` below an hour, to the minute."""
    hours, minutes = divmod(round(length.total_seconds() / 60), 60)
    return f"{hours} h {minutes:02} min" if hours else f"{minutes} min"


def _stretch(held: Mapping[str, Any]) -> Stretch | None:
    by_hand = or_none(as_whole)(held.get("by_hand"))
    return Stretch(as_moment(held["began"]), as_moment(held["ended"]), by_hand)


def _doubt(began: datetime, ended: datetime) -> str:
    if ended < began:
        return (
            f"The timer was started at {day_and_hour(began)}, and the clock then told an earlier time: it was put "
            "back. This stretch is not counted; give its minutes by hand."
        )
    if ended - began > FORGOTTEN:
        return (
            f"The timer has run for {in_words(ended - began)} since {day_and_hour(began)}, and was perhaps forgotten. "
            "This stretch is not counted; give its minutes by hand."
        )
    return ""


def _checked(moment: datetime) -> None:
    if moment.utcoffset() is None:
        raise ValueError("a moment needs its time zone")


def _fixed(moment: datetime) -> datetime:
    """To the second, at a fixed distance from UTC: within one zone of the year Python subtracts what clocks show, which
    is an hour off where summer time begins or ends."""
    _checked(moment)
    offset = moment.utcoffset() or timedelta(0)
    return moment.astimezone(timezone(offset)).replace(microsecond=0)
