"""The calendar file, read by a small reader that was written from RFC 5545 and not from the writer."""

import re
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import PainterError
from core.sitting.calendar_file import (
    PERHAPS_DRY,
    CalendarEvent,
    calendar_bytes,
    event_uid,
    perhaps_dry_event,
    sitting_event,
    write_calendar,
)

STAMP = datetime(2026, 3, 1, 10, 30, tzinfo=UTC)
Properties = dict[str, tuple[str, str]]


class Berlin2026(tzinfo):
    """Of the spring of 2026: the clocks went from 2:00 to 3:00 on 29 March, the last Sunday (Directive 2000/84/EC)."""

    def utcoffset(self, at: datetime | None) -> timedelta:
        assert at is not None
        return timedelta(hours=1 if at.replace(tzinfo=None) < datetime(2026, 3, 29, 2) else 2)

    def dst(self, at: datetime | None) -> timedelta:
        return self.utcoffset(at) - timedelta(hours=1)

    def tzname(self, at: datetime | None) -> str:
        return "Berlin"


def read(made: bytes) -> list[Properties]:
    """Each event's properties: parameters and value, by name. Fails where the file breaks RFC 5545."""
    assert made.endswith(b"\r\n")
    physical = made[:-2].split(b"\r\n")
    assert all(len(line) <= 75 and b"\n" not in line and b"\r" not in line for line in physical)
    for line in physical:
        line.decode("utf-8")  # each line alone: no sign is cut
    lines = re.sub(rb"\r\n[ \t]", b"", made)[:-2].decode("utf-8").split("\r\n")
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    assert lines.count("VERSION:2.0") == sum(line.startswith("PRODID:") for line in lines) == 1
    events: list[Properties] = []
    inside = False
    for line in lines[1:-1]:
        found = re.fullmatch(r"([A-Z-]+)((?:;[A-Z-]+=[^;:]+)*):(.*)", line)
        assert found, line
        if line in ("BEGIN:VEVENT", "END:VEVENT"):
            assert inside == (line == "END:VEVENT")
            inside = not inside
            if inside:
                events.append({})
        elif inside:
            assert found[1] not in events[-1]
            events[-1][found[1]] = (found[2], found[3])
    assert not inside
    for event in events:
        assert {"UID", "DTSTAMP", "DTSTART"} <= set(event)
    return events


def unescaped(value: str) -> str:
    assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", value)
    return re.sub(r"\\([\\;,nN])", lambda found: "\n" if found[1] in "nN" else found[1], value)


def test_a_planned_sitting_is_a_span_of_time() -> None:
    at = datetime(2026, 3, 7, 9, 0, tzinfo=timezone(timedelta(hours=2)))
    made = calendar_bytes([sitting_event("p1", "s1", "Jug: the darks", at, 90, "Thin, let down")], stamp=STAMP)
    assert made.startswith(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Easelside//Sittings//EN\r\n")
    assert read(made) == [
        {
            "UID": ("", event_uid("p1", "s1")),
            "DTSTAMP": ("", "20260301T103000Z"),
            "DTSTART": ("", "20260307T070000Z"),
            "DTEND": ("", "20260307T083000Z"),
            "SUMMARY": ("", "Jug: the darks"),
            "DESCRIPTION": ("", "Thin\\, let down"),
            "TRANSP": ("", "OPAQUE"),
        }
    ]


def test_a_moment_without_a_zone_is_the_time_of_the_place() -> None:
    (event,) = read(calendar_bytes([sitting_event("p", "s", "Jug", datetime(2026, 3, 7, 9, 5, 7), 60)], stamp=STAMP))
    assert event["DTSTART"] == ("", "20260307T090507")
    assert event["DTEND"] == ("", "20260307T100507")


def test_a_sitting_over_the_change_of_clocks_keeps_its_length() -> None:
    at = datetime(2026, 3, 29, 1, 30, tzinfo=Berlin2026())
    (event,) = read(calendar_bytes([sitting_event("p", "s", "Jug", at, 60)], stamp=STAMP))
    assert (event["DTSTART"][1], event["DTEND"][1]) == ("20260329T003000Z", "20260329T013000Z")


def test_perhaps_dry_is_whole_days_of_free_time_and_ends_on_the_day_after_the_last() -> None:
    """RFC 5545, 3.6.1: the end of a span of days is not part of it."""
    window = perhaps_dry_event("p1", "s1", "Jug", date(2026, 2, 26), date(2026, 2, 28), "A forecast.")
    (event,) = read(calendar_bytes([window], stamp=STAMP))
    assert event["DTSTART"] == (";VALUE=DATE", "20260226")
    assert event["DTEND"] == (";VALUE=DATE", "20260301")
    assert event["TRANSP"] == ("", "TRANSPARENT")
    assert event["STATUS"] == ("", "TENTATIVE")
    assert event["SUMMARY"] == ("", f"Jug: {PERHAPS_DRY}")
    moments = [datetime(2026, 2, day, 23, 59, tzinfo=UTC) for day in (26, 28)]
    assert perhaps_dry_event("p1", "s1", "Jug", *moments, "A forecast.") == window


def test_a_sitting_of_which_only_the_day_is_known_leaves_the_day_free() -> None:
    (event,) = read(calendar_bytes([sitting_event("p", "s", "Jug", date(2026, 12, 31))], stamp=STAMP))
    assert (event["DTSTART"][1], event["DTEND"][1]) == ("20261231", "20270101")
    assert event["TRANSP"] == ("", "TRANSPARENT")
    assert "STATUS" not in event
    assert "DESCRIPTION" not in event


def test_the_uid_stays_with_the_sitting() -> None:
    first = sitting_event("p1", "s1", "Jug", date(2026, 3, 7))
    moved = sitting_event("p1", "s1", "Jug, renamed", datetime(2026, 4, 2, 9, 0), 30)
    dry = perhaps_dry_event("p1", "s1", "Jug", date(2026, 3, 9), date(2026, 3, 12))
    assert first.uid == moved.uid
    # never to change, or calendars would take what they have for something else
    assert first.uid == "f4bbf413-e3ee-5120-b414-a2645dfdecd3"
    others = [sitting_event("p1", "s2", "Jug", date(2026, 3, 7)), sitting_event("p2", "s1", "Jug", date(2026, 3, 7))]
    assert len({each.uid for each in (first, dry, *others)}) == 4
    assert len(read(calendar_bytes([first, dry, *others], stamp=STAMP))) == 4
    with pytest.raises(ValueError, match="same UID"):
        calendar_bytes([first, moved], stamp=STAMP)


@settings(max_examples=60, deadline=None)
@given(title=st.text(max_size=120), about=st.text(max_size=300))
def test_any_text_comes_through(title: str, about: str) -> None:
    """Line breaks become plain ones; signs that do not show are left out."""
    (event,) = read(calendar_bytes([sitting_event("p", "s", title, date(2026, 3, 7), about=about)], stamp=STAMP))
    for name, given_text in (("SUMMARY", title), ("DESCRIPTION", about)):
        lines = "\n".join(given_text.replace("\t", " ").splitlines())
        shown = "".join(sign for sign in lines if sign == "\n" or sign.isprintable() or ord(sign) > 0x9F)
        assert unescaped(event.get(name, ("", ""))[1]) == re.sub("[\ud800-\udfff]", "", shown)


@pytest.mark.parametrize("shift", range(4))
@pytest.mark.parametrize("sign", ["a", "é", "畫", "🎨"])
def test_long_lines_are_folded_between_signs_and_as_full_as_can_be(sign: str, shift: int) -> None:
    title = "x" * shift + sign * 200
    made = calendar_bytes([sitting_event("p", "s", title, date(2026, 3, 7))], stamp=STAMP)
    (event,) = read(made)
    assert event["SUMMARY"] == ("", title)
    rows = made.split(b"\r\n")
    first = next(at for at, row in enumerate(rows) if row.startswith(b"SUMMARY"))
    last = next(at for at, row in enumerate(rows) if at > first and not row.startswith(b" "))
    assert last - first > 2
    assert all(75 - len(sign.encode()) < len(row) <= 75 for row in rows[first : last - 1])


def test_signs_of_the_format_are_escaped() -> None:
    """The example of RFC 5545, 3.3.11."""
    told = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    (event,) = read(
        calendar_bytes([sitting_event("p", "s", told, date(2026, 3, 7), about="a\\n; b\r\nc\t,")], stamp=STAMP)
    )
    assert event["SUMMARY"][1] == "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
    assert event["DESCRIPTION"][1] == "a\\\\n\\; b\\nc \\,"


@pytest.mark.parametrize("minutes", [None, 0, -5, float("nan"), 24 * 60 + 1])
def test_a_length_that_fits_no_day_is_refused(minutes: float | None) -> None:
    with pytest.raises(PainterError, match="between 1 minute and 24 hours"):
        sitting_event("p", "s", "Jug", datetime(2026, 3, 7, 9, 0), minutes)


@pytest.mark.parametrize(
    ("begins", "ends", "why"),
    [
        (date(2026, 3, 7), date(2026, 3, 6), "ends before it begins"),
        (datetime(2026, 3, 7, 9), datetime(2026, 3, 7, 9), "ends before it begins"),
        (date(2026, 3, 7), datetime(2026, 3, 8), "in the same way"),
        (datetime(2026, 3, 7), datetime(2026, 3, 8, tzinfo=UTC), "in the same way"),
        (date(2026, 3, 7), date.max, "Give another day"),
        (date.min, date(2026, 3, 7), "Give another day"),
    ],
)
def test_spans_that_are_none_are_refused(begins: date, ends: date, why: str) -> None:
    with pytest.raises(PainterError, match=why):
        CalendarEvent("u", "Jug", begins, ends)


def test_nothing_to_write_is_said_and_a_stamp_needs_its_zone(tmp_path: Path) -> None:
    with pytest.raises(PainterError, match="Give one a day first"):
        calendar_bytes([], stamp=STAMP)
    event = sitting_event("p", "s", "Jug", date(2026, 3, 7))
    with pytest.raises(ValueError, match="zone"):
        calendar_bytes([event], stamp=datetime(2026, 3, 1))
    write_calendar(tmp_path / "jug.ics", [event], stamp=STAMP)
    assert (tmp_path / "jug.ics").read_bytes() == calendar_bytes([event], stamp=STAMP)
    with pytest.raises(PainterError, match="no folder"):
        write_calendar(tmp_path / "none" / "jug.ics", [event], stamp=STAMP)
