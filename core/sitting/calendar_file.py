"""Sittings for a calendar: an iCalendar file (RFC 5545) of planned sittings and of days when a layer is perhaps dry.

Events in, bytes out; nothing is read from the clock. Each event keeps its UID as long as it belongs to the same sitting
of the same painting, so that a calendar that takes the file in again moves what it has instead of adding to it. The UID
is a name-based UUID (RFC 9562, version 5), as RFC 7986 asks for: it tells nothing of the painting or of the machine.
"""

import unicodedata
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from core.errors import PainterError
from core.whole_file import save_bytes

PERHAPS_DRY = "perhaps dry: test by touch"
LONGEST_LINE = 75
"""Octets of a line without its break (RFC 5545, 3.1)."""
PRODUCT = "-//Easelside//Sittings//EN"
_NAMESPACE = uuid.UUID("b9a3d237-79bf-40fb-acb7-28e350042558")
"""Ours, drawn once: never to be changed, or calendars take every event for a new one."""
_FIRST_YEAR, _LAST_YEAR = 1900, 9998
_BREAK = b"\r\n"


@dataclass(frozen=True)
class CalendarEvent:
    """``uid``: from :func:`event_uid`. ``begins``: a day, or a moment; one without a zone is the time of the place
    where the calendar is read. ``ends``: the last day, which is part of it, or the moment when it is over.
    ``tentative``: not fixed; shown as free time, as a whole day is.

    Raises PainterError where it ends before it begins, where one of the two is a day and the other a moment, and where
    either is before 1900 or after 9998.
    """

    uid: str
    title: str
    begins: date
    ends: date
    about: str = ""
    tentative: bool = False

    def __post_init__(self) -> None:
        moments = [isinstance(each, datetime) for each in (self.begins, self.ends)]
        zones = [getattr(each, "tzinfo", None) is not None for each in (self.begins, self.ends)]
        if moments[0] != moments[1] or zones[0] != zones[1]:
            raise PainterError(f"“{self.title}” begins by the day and ends by the hour. Give both in the same way.")
        if not all(_FIRST_YEAR <= each.year <= _LAST_YEAR for each in (self.begins, self.ends)):
            raise PainterError(f"“{self.title}” lies beyond what calendars know. Give another day.")
        if self.ends < self.begins or (moments[0] and self.ends == self.begins):
            raise PainterError(f"“{self.title}” ends before it begins. Give a later end.")

    @property
    def whole_days(self) -> bool:
        return not isinstance(self.begins, datetime)


def event_uid(painting: str, sitting: str, what: str = "sitting") -> str:
    """The same for the same words. ``painting``, ``sitting``: what each is known by on disk, and not its name, which
    may change."""
    return str(uuid.uuid5(_NAMESPACE, "\n".join((painting, sitting, what))))


def sitting_event(
    painting: str, sitting: str, title: str, begins: date, minutes: float | None = None, about: str = ""
) -> CalendarEvent:
    """A planned sitting: from a moment for so many minutes, or a day where only that is known.

    Raises PainterError where the length is none (0 or less, or more than a day).
    """
    uid = event_uid(painting, sitting)
    if not isinstance(begins, datetime):
        return CalendarEvent(uid, title, begins, begins, about)
    if minutes is None or not 0 < minutes <= 24 * 60:
        raise PainterError(f"“{title}” has no length that fits a day. Give between 1 minute and 24 hours.")
    zoned = begins if begins.tzinfo is None else begins.astimezone(UTC)  # or clocks put forward would shorten it
    return CalendarEvent(uid, title, zoned, zoned + timedelta(minutes=minutes), about)


def perhaps_dry_event(
    painting: str, sitting: str, title: str, first: date, last: date, about: str = ""
) -> CalendarEvent:
    """The days in which the layer of a sitting may become dry to the touch. ``title``: of the painting."""
    uid = event_uid(painting, sitting, "perhaps dry")
    return CalendarEvent(uid, f"{title}: {PERHAPS_DRY}", _day(first), _day(last), about, tentative=True)


def write_calendar(path: Path, events: Sequence[CalendarEvent], *, stamp: datetime) -> None:
    """Write the file, whole or not at all. Raises PainterError with a sentence."""
    save_bytes(path, calendar_bytes(events, stamp=stamp))


def calendar_bytes(events: Sequence[CalendarEvent], *, stamp: datetime) -> bytes:
    """The file. ``stamp``: when it is made, with its zone.

    Raises PainterError where there are no events (RFC 5545 has no empty calendar), ValueError for a stamp without a
    zone and for two events of one UID, which a calendar would take for one.
    """
    if not events:
        raise PainterError("No sitting has a day yet, so there is nothing for a calendar. Give one a day first.")
    if stamp.tzinfo is None:
        raise ValueError("the stamp has no zone")
    if len({event.uid for event in events}) < len(events):
        raise ValueError("two events have the same UID")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    for event in events:
        lines += _event(event, _moment(stamp))
    lines.append("END:VCALENDAR")
    return b"".join(_folded(line) for line in lines)


def _event(event: CalendarEvent, stamp: str) -> list[str]:
    begins, ends = _span(event)
    free = event.tentative or event.whole_days
    return [
        "BEGIN:VEVENT",
        f"UID:{event.uid}",
        f"DTSTAMP:{stamp}",
        f"DTSTART{begins}",
        f"DTEND{ends}",
        f"SUMMARY:{escaped(event.title)}",
        *([f"DESCRIPTION:{escaped(event.about)}"] if event.about else []),
        *(["STATUS:TENTATIVE"] if event.tentative else []),
        f"TRANSP:{'TRANSPARENT' if free else 'OPAQUE'}",
        "END:VEVENT",
    ]


def _span(event: CalendarEvent) -> tuple[str, str]:
    """The values of DTSTART and DTEND with what stands before them; a span of days ends on the day after its last."""
    if isinstance(event.begins, datetime) and isinstance(event.ends, datetime):
        return f":{_moment(event.begins)}", f":{_moment(event.ends)}"
    after = event.ends + timedelta(days=1)
    return f";VALUE=DATE:{_figures(event.begins)}", f";VALUE=DATE:{_figures(after)}"


def _moment(at: datetime) -> str:
    """In UTC where it has a zone, else as the time of the place."""
    if at.tzinfo is None:
        return f"{_figures(at.date())}T{at:%H%M%S}"
    utc = at.astimezone(UTC)
    return f"{_figures(utc.date())}T{utc:%H%M%S}Z"


def _figures(day: date) -> str:
    return day.isoformat().replace("-", "")


def _day(given: date) -> date:
    return given.date() if isinstance(given, datetime) else given


def escaped(text: str) -> str:
    """A text as RFC 5545, 3.3.11 has it. Signs that do not show and are no line break are left out."""
    text = "\n".join(text.replace("\t", " ").splitlines())
    shown = "".join(sign for sign in text if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cs"))
    for sign, told in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        shown = shown.replace(sign, told)
    return shown


def _folded(line: str) -> bytes:
    """A line with its break, in pieces of 75 octets at most, each but the first after a blank. No sign is cut."""
    pieces, piece = [], b""
    for sign in line:
        octets = sign.encode()
        if len(piece) + len(octets) > LONGEST_LINE:
            pieces.append(piece)
            piece = b" "
        piece += octets
    pieces.append(piece)
    return _BREAK.join(pieces) + _BREAK
