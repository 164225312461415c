"""Days in words, and whole months later."""

import calendar
from datetime import date, datetime

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def day(when: date) -> str:
    """``3 May 2026``."""
    return f"{when.day} {_MONTHS[when.month - 1]} {when.year}"


def day_and_hour(when: datetime) -> str:
    """``3 May 2026 at 14:05``, as its own time zone has it."""
    return f"{day(when)} at {when:%H:%M}"


def days_between(first: date, last: date) -> str:
    """``3 May 2026``, ``3 to 9 May 2026`` or ``28 April 2026 to 3 May 2026``, of days that rise."""
    if (first.year, first.month, first.day) == (last.year, last.month, last.day):
        return day(first)
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day(last)}"
    return f"{day(first)} to {day(last)}"


def months_later(when: date, months: int) -> date:
    """The same day of the month, or the month's last where it has none such."""
    year, month = divmod(when.year * 12 + when.month - 1 + months, 12)
    return date(year, month + 1, min(when.day, calendar.monthrange(year, month + 1)[1]))
