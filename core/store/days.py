"""Copies of the painting's file kept by day, in ``days/``: the last seven days of work, and four weeks before them.

One is made at the first opening of a day, before anything is changed, if the file is found sound then and has changed
since the last copy; none is made of a file that had to be put right. Its name carries a running number, the day, and
the beginning of its own checksum: ``0007-2026-12-01-3fa9c1d20b7e.sqlite``. The number gives the order, so that a clock
set wrong throws nothing away; the checksum tells a copy whose bytes have changed where SQLite does not look.
"""

import os
import re
import sqlite3
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from core.errors import PaintingError
from core.store import files
from core.store.database import connect_to_read, copy_to, revision_of
from core.store.faults import DamagedError, told

DAYS = "days"
DAYS_KEPT = 7
WEEKS_KEPT = 4

_IN_THE_MAKING = "painting.day.sqlite"  # in the painting's folder, where what a crash leaves is cleared away
_HASH_LETTERS = 12
_NAME = re.compile(rf"(?P<number>\d{{4,}})-(?P<day>\d{{4}}-\d\d-\d\d)-(?P<hash>[0-9a-f]{{{_HASH_LETTERS}}})\.sqlite")


@dataclass(frozen=True)
class DayCopy:
    """The painting's file as it was at the first opening of ``day``, the painter's own date. ``number``: the order in
    which copies were made. ``bytes``: its length."""

    day: date
    number: int
    file: Path
    bytes: int


def today() -> date:
    """The painter's own date."""
    return datetime.now().astimezone().date()


def copies(folder: Path) -> tuple[DayCopy, ...]:
    """The copies there are, the newest first. OSError when the folder cannot be read."""
    place = folder / DAYS
    if not place.is_dir():
        return ()
    found = [copy for path in place.iterdir() if (copy := _copy_at(path)) is not None]
    return tuple(sorted(found, key=lambda copy: copy.number, reverse=True))


def is_itself(copy: DayCopy) -> bool:
    """Whether a copy still has the bytes it was made with."""
    return files.sha256_of(copy.file).startswith(copy.file.stem.rpartition("-")[2])


def keep(connection: sqlite3.Connection, folder: Path, notices: list[str]) -> None:
    """Keep a copy when one is due; one that cannot be made is a notice, not the end of the work."""
    try:
        with told("the copy of the day was not kept"):
            day, there = today(), copies(folder)
            if _is_due(connection, day, there):
                _make(connection, folder, day, there[0].number + 1 if there else 1)
                _thin_out(folder)
    except DamagedError:
        return  # as it was found sound only just now, the safety copy meets the same damage and says so
    except PaintingError as error:
        notices.append(str(error))


def to_throw_away(there: tuple[DayCopy, ...]) -> tuple[DayCopy, ...]:
    """Those of the copies, the newest first, that are beyond the days and weeks kept. Of a week its last one stays."""
    weeks: set[tuple[int, int]] = set()
    away = []
    for copy in there[DAYS_KEPT:]:
        year, week, _ = copy.day.isocalendar()
        if (year, week) in weeks or len(weeks) == WEEKS_KEPT:
            away.append(copy)
        else:
            weeks.add((year, week))
    return tuple(away)


def _copy_at(path: Path) -> DayCopy | None:
    named = _NAME.fullmatch(path.name)
    if named is None or not path.is_file():
        return None
    try:
        day = date.fromisoformat(named["day"])
    except ValueError:
        return None
    return DayCopy(day, int(named["number"]), path, path.stat().st_size)


def _is_due(connection: sqlite3.Connection, day: date, there: tuple[DayCopy, ...]) -> bool:
    if not there:
        made_at = connection.execute("SELECT made_at FROM painting").fetchone()[0]
        return datetime.fromisoformat(made_at).astimezone().date() != day
    return there[0].day != day and _revision_in(there[0]) != revision_of(connection)


def _revision_in(copy: DayCopy) -> int | None:
    with suppress(DamagedError, sqlite3.Error):
        reading = connect_to_read(copy.file)
        try:
            return revision_of(reading)
        finally:
            reading.close()
    return None


def _make(connection: sqlite3.Connection, folder: Path, day: date, number: int) -> None:
    making = folder / _IN_THE_MAKING
    copy_to(connection, making)
    try:
        place = folder / DAYS
        place.mkdir(exist_ok=True)
        name = f"{number:04d}-{day.isoformat()}-{files.sha256_of(making)[:_HASH_LETTERS]}.sqlite"
        os.replace(making, place / name)
        files.sync_folder(place)
    except BaseException:
        making.unlink(missing_ok=True)
        raise


def _thin_out(folder: Path) -> None:
    for copy in to_throw_away(copies(folder)):
        with suppress(OSError):  # tried again when the next one is made
            copy.file.unlink()
