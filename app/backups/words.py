"""How backups and earlier days are named and told."""

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from PySide6.QtCore import QDate, QLocale

from app.places import file_name

MOST_NOTICES = 3
"""How many sentences a message has room for."""
_DATED = re.compile(r" \d{4}-\d\d-\d\d$")


def backup_name(title: str, day: date) -> str:
    """``Enamel jug 2026-12-01.zip``."""
    return f"{file_name(title)} {day.isoformat()}.zip"


def folder_suggested(backup: Path) -> str:
    """The folder that a backup becomes: its name without the day it was made."""
    return file_name(_DATED.sub("", backup.stem))


def count_and_size(files: int, size: str) -> str:
    """``214 files, 1.3 GB``."""
    return f"{files} file{'' if files == 1 else 's'}, {size}"


def whole_words(backup: Path, files: int) -> str:
    """What came of reading a backup from end to end."""
    what = "its one file is as it was" if files == 1 else f"all {files} files in it are as they were"
    return f"“{backup.name}” is whole: {what} put in."


def notice_lines(notices: Sequence[str]) -> str:
    """The notices, a line each; of many, the first ones and how many more there are."""
    shown = list(notices[:MOST_NOTICES])
    more = len(notices) - len(shown)
    if more:
        shown.append(f"{more} more file{' is' if more == 1 else 's are'} missing from it, or not as brought in.")
    return "\n".join(shown)


def morning_words(day: date, today: date, locale: QLocale | None = None) -> str:
    """``Morning of Tuesday 1 December``; the year only when it is not this one."""
    from app.ledge.sittings import day_words

    locale = locale or QLocale()
    weekday = locale.toString(QDate(day.year, day.month, day.day), "dddd")
    return f"Morning of {weekday} {day_words(day, today, locale, month='MMMM')}"
