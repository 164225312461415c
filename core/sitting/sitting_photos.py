"""Which canvas photos show the painting before a sitting and after it: suggested by when they were taken."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from core.sitting.log import LoggedSitting


@dataclass(frozen=True)
class PhotoTaken:
    """``taken_at``: local time without a zone, as the ledge has it, or None. ``sitting``: its number on the ledge."""

    id: int
    taken_at: datetime | None
    sitting: int


@dataclass(frozen=True)
class BeforeAfter:
    """Ids of canvas photos, or None where none fits."""

    before: int | None = None
    after: int | None = None


def photos_of(
    entry: LoggedSitting, photos: Iterable[PhotoTaken], *, number: int | None = None, next_began: datetime | None = None
) -> BeforeAfter:
    """What fits an entry of the log. ``photos``: in the ledge's order, without blanks. ``number``: of the sitting on
    the ledge, for photos that do not tell their time. ``next_began``: when the next sitting was begun, if it was: what
    is taken from then on shows that one.

    Before is the last photo until the timer was started; after, the first one since it was stopped, else the last one
    while it ran. Where only the day is told, before is the first of that day if it has two or more, else the last one
    until then; after, the last of that day.
    """
    photos = list(photos)
    until = None if next_began is None else _local(next_began)
    dated = sorted(((each.taken_at, each.id) for each in photos if each.taken_at is not None), key=lambda each: each[0])
    before = after = None
    first, last, day = entry.timer.first, entry.timer.last, entry.began_on
    if first is not None and (entry.day is None or entry.day == first.date()):
        began = _local(first)
        ended = None if last is None else max(_local(last), began)
        before = _latest(dated, before=began + timedelta(seconds=1))
        after = _after(dated, began, ended, until)
    elif day is not None:
        before, after = _by_day(dated, day, until)
    undated = [each for each in photos if each.taken_at is None]
    if number is not None:
        before = before or _latest_of(each for each in undated if each.sitting < number)
        after = after or _latest_of(each for each in undated if each.sitting == number)
    return BeforeAfter(before, after)


_Dated = list[tuple[datetime, int]]


def _after(dated: _Dated, began: datetime, ended: datetime | None, until: datetime | None) -> int | None:
    if ended is None:
        return None
    since = [each for each in dated if each[0] > began and (until is None or each[0] < until)]
    follows = next((each[1] for each in since if each[0] >= ended), None)
    return follows or (since[-1][1] if since else None)


def _by_day(dated: _Dated, day: date, until: datetime | None) -> tuple[int | None, int | None]:
    morning = datetime.combine(day, time())
    on_day = [each for each in dated if each[0].date() == day and (until is None or each[0] < until)]
    if len(on_day) > 1:
        return on_day[0][1], on_day[-1][1]
    return _latest(dated, before=morning), on_day[0][1] if on_day else None


def _latest(dated: _Dated, *, before: datetime) -> int | None:
    return next((number for taken, number in reversed(dated) if taken < before), None)


def _latest_of(photos: Iterable[PhotoTaken]) -> int | None:
    return max(((each.sitting, place, each.id) for place, each in enumerate(photos)), default=(0, 0, None))[2]


def _local(moment: datetime) -> datetime:
    """What the clock on the wall showed."""
    return moment.replace(tzinfo=None)
