"""The log: of each sitting what was really done, with which paint, how long, and what is still to mend.

An entry begins with the paint as it was planned then, and is its own from there on: a later change of the plan does not
change what was done.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from core.errors import PaintingError
from core.sitting.coat import USUAL_COAT, Coat, read_coat
from core.sitting.plan import PlannedSitting
from core.sitting.record import SCHEMA, Reading, as_day, as_text, as_whole, as_yes_or_no, opened, or_none
from core.sitting.timer import NEVER_STARTED, Timer, read_timer

SITTING_LOG = "sitting_log"
"""The plan of the painting that holds it."""
_WHAT = "log of the sittings"


@dataclass(frozen=True)
class ToMend:
    """A line of the list to mend, and whether the painter has ticked it off."""

    say: str
    mended: bool = False


@dataclass(frozen=True)
class LoggedSitting:
    """``key``: of the planned sitting, which may be in the plan no longer. ``day``: when it was, None where not told.

    ``before``, ``after``: ids of canvas photos, or None. ``checked``: id of the canvas photo that ``to_mend`` is from.
    """

    key: int
    coat: Coat = USUAL_COAT
    day: date | None = None
    done: str = ""
    timer: Timer = NEVER_STARTED
    before: int | None = None
    after: int | None = None
    notes: str = ""
    to_mend: tuple[ToMend, ...] = ()
    checked: int | None = None

    @property
    def begun(self) -> bool:
        """Whether anything tells that it was painted: then its paint counts in place of the planned one."""
        return self.day is not None or self.timer.first is not None or bool(self.done.strip())

    @property
    def began_on(self) -> date | None:
        """The day told, else that on which its timer was first started."""
        return self.day or (None if self.timer.first is None else self.timer.first.date())

    @property
    def still_to_mend(self) -> tuple[str, ...]:
        """The lines that are not ticked off."""
        return tuple(each.say for each in self.to_mend if not each.mended)

    def to_mend_from(self, lines: Sequence[str], photo: int | None) -> "LoggedSitting":
        """With the lines of a check's list, of the canvas photo of this id.

        Those ticked off stay with their tick. A line that another photo shows again is open again; an open one that
        is no longer found is dropped.
        """
        same = photo is not None and photo == self.checked
        ticked = {each.say for each in self.to_mend if each.mended}
        lines = tuple(dict.fromkeys(lines))
        found = [ToMend(line, same and line in ticked) for line in lines]
        past = [each for each in self.to_mend if each.mended and each.say not in lines]
        return replace(self, to_mend=(*found, *past), checked=photo)

    def ticked(self, place: int, mended: bool = True) -> "LoggedSitting":
        """With the line at this place, from 0, ticked off, or open again. PaintingError where there is none."""
        if not 0 <= place < len(self.to_mend):
            raise PaintingError("This line is no longer in the list to mend. Choose another.")
        line = replace(self.to_mend[place], mended=mended)
        return replace(self, to_mend=(*self.to_mend[:place], line, *self.to_mend[place + 1 :]))


@dataclass(frozen=True)
class SittingLog:
    """``entries``: one for each sitting that has one, in the order they were begun to be written."""

    entries: tuple[LoggedSitting, ...] = ()

    def of(self, key: int) -> LoggedSitting | None:
        """The entry of the sitting of this key, if it has one."""
        return next((each for each in self.entries if each.key == key), None)

    def entry(self, sitting: PlannedSitting) -> LoggedSitting:
        """The entry of a sitting; a new one with its paint as planned where there is none that was begun."""
        held = self.of(sitting.key)
        if held is None:
            return LoggedSitting(sitting.key, sitting.coat)
        return held if held.begun else replace(held, coat=sitting.coat)

    def changed(self, entry: LoggedSitting) -> "SittingLog":
        """With this entry, in place of that of the same key if there is one."""
        if self.of(entry.key) is None:
            return SittingLog((*self.entries, entry))
        return SittingLog(tuple(entry if each.key == entry.key else each for each in self.entries))

    def removed(self, key: int) -> "SittingLog":
        """Without the entry of this key."""
        return SittingLog(tuple(each for each in self.entries if each.key != key))

    @property
    def running(self) -> LoggedSitting | None:
        """The entry whose timer runs, if one does."""
        return next((each for each in self.entries if each.timer.runs), None)

    def started(self, sitting: PlannedSitting, now: datetime) -> "SittingLog":
        """With the timer of this sitting running, and its day told. ``now``: with its time zone.

        Raises PaintingError while the timer of another sitting runs.
        """
        running = self.running
        if running is not None and running.key != sitting.key:
            raise PaintingError("The timer of another sitting is running. Stop that one first.")
        entry = self.entry(sitting)
        return self.changed(replace(entry, day=entry.began_on or now.date(), timer=entry.timer.started(now)))

    def stopped(self, now: datetime, *, minutes: int | None = None) -> "SittingLog":
        """With the timer that runs stopped; ``minutes``: how long the stretch really was, where the painter says so."""
        running = self.running
        if running is None:
            return self
        return self.changed(replace(running, timer=running.timer.stopped(now, minutes=minutes)))

    def to_json(self) -> dict[str, Any]:
        """Plain data that :func:`read_log` reads back."""
        return {"schema": SCHEMA, "entries": [_told(each) for each in self.entries]}


def read_log(data: Any) -> tuple[SittingLog, tuple[str, ...]]:
    """What was kept, and a sentence for everything in it that could not be read.

    None, where nothing was kept yet, is an empty log. Raises PaintingError for a log of a newer program, and for what
    is no log at all.
    """
    if data is None:
        return SittingLog(), ()
    kept = opened(data, _WHAT)
    reading = Reading()
    log = SittingLog()
    for number, held in enumerate(reading.entries(kept, "entries", f"the {_WHAT}"), start=1):
        entry = _entry(held, f"entry {number} of the log", reading)
        if entry.key < 1 or log.of(entry.key) is not None:
            reading.told.append(f"Entry {number} of the log belongs to no sitting and was left out. Note it again.")
            continue
        log = log.changed(entry)
    return log, tuple(reading.told)


def _told(entry: LoggedSitting) -> dict[str, Any]:
    return {
        "key": entry.key,
        **entry.coat.to_json(),
        "day": None if entry.day is None else entry.day.isoformat(),
        "done": entry.done,
        "timer": entry.timer.to_json(),
        "before": entry.before,
        "after": entry.after,
        "notes": entry.notes,
        "to_mend": [{"say": each.say, "mended": each.mended} for each in entry.to_mend],
        "checked": entry.checked,
    }


def _entry(held: Mapping[str, Any], where: str, reading: Reading) -> LoggedSitting:
    take, number_or_none = reading.take, or_none(as_whole)
    lines = []
    for line in reading.entries(held, "to_mend", f"what is to mend in {where}"):
        say = take(line, "say", f"a line to mend of {where}", as_text, "")
        lines += [ToMend(say, take(line, "mended", f"a tick of {where}", as_yes_or_no, False))] if say else []
    return LoggedSitting(
        take(held, "key", f"the sitting of {where}", as_whole, 0),
        read_coat(held, where, reading),
        take(held, "day", f"the day of {where}", or_none(as_day), None),
        take(held, "done", f"what was done in {where}", as_text, ""),
        take(
            held, "timer", f"the time of {where}", lambda timer: read_timer(dict(timer), where, reading), NEVER_STARTED
        ),
        take(held, "before", f"the photo before, of {where},", number_or_none, None),
        take(held, "after", f"the photo after, of {where},", number_or_none, None),
        take(held, "notes", f"the notes of {where}", as_text, ""),
        tuple(lines),
        take(held, "checked", f"the checked photo of {where}", number_or_none, None),
    )
