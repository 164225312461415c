"""Sittings and their days: which sitting a photo belongs to, and how a day is written."""

import re
from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import QDate, QLocale

from core.painting import CanvasPhotoRecord
from core.store.ledge import moment

_DAY, _MONTH, _YEAR = re.compile(r"(?<!d)d{1,2}(?!d)[.日일]?"), re.compile(r"M{1,4}[月월]?"), re.compile(r"y+[年년]?")


def sitting_for(photos: Sequence[CanvasPhotoRecord], day: date) -> int:
    """The sitting that a photo taken on ``day`` belongs to, beside ``photos``: that of the same day, else a new one
    when it is later than all, else the last that began before it."""
    days: dict[int, set[date]] = {}
    for photo in photos:
        days.setdefault(photo.sitting, set()).add(moment(photo).date())
    same = [sitting for sitting, its_days in days.items() if day in its_days]
    if same or not days:
        return max(same, default=1)
    if day > max(max(its_days) for its_days in days.values()):
        return max(days) + 1
    return max((sitting for sitting, its_days in days.items() if min(its_days) <= day), default=min(days))


def sitting_words(sitting: int, photos: Sequence[CanvasPhotoRecord], today: date) -> tuple[str, str]:
    """``Sitting 3`` and the day it was, ``12 Nov``; or from its first day to its last."""
    days = sorted(moment(photo).date() for photo in photos if photo.sitting == sitting)
    if not days:
        return f"Sitting {sitting}", ""
    first, last = (day_words(day, today) for day in (days[0], days[-1]))
    return f"Sitting {sitting}", first if first == last else f"{first} – {last}"


def day_words(day: date, today: date, locale: QLocale | None = None, *, month: str = "MMM") -> str:
    """A day as it is written where the painter lives, such as ``12 Nov``; the year only when it is not this one.

    ``month``: how it is written, as Qt names it: MMM short, MMMM in full.
    """
    locale = locale or QLocale()
    # Qt knows a long and a short form only: the long one without the day of the week is taken, its month made short.
    form = re.sub("d{3,4}", "", locale.dateFormat(QLocale.FormatType.LongFormat))
    plain = re.sub("'[^']*'", lambda quoted: " " * len(quoted[0]), form)
    parts = [found for pattern in (_DAY, _MONTH, _YEAR) if (found := pattern.search(plain)) is not None]
    if len(parts) < 3:
        return locale.toString(QDate(day.year, day.month, day.day), QLocale.FormatType.ShortFormat)
    if day.year == today.year:
        parts.pop()
    wanted = form[min(part.start() for part in parts) : max(part.end() for part in parts)]
    return locale.toString(QDate(day.year, day.month, day.day), wanted.replace("MMMM", month))


def size_words(length: int) -> str:
    """A file's length in bytes as file managers tell it: ``4.2 MB``."""
    if length < 1_000_000:
        return f"{length / 1000:.1f} kB"
    return f"{length / 1e6:.1f} MB"
