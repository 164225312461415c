"""Which canvas photos show the painting before a sitting and after it."""

from datetime import UTC, date, datetime, timedelta

import pytest

from core.sitting.log import LoggedSitting
from core.sitting.sitting_photos import BeforeAfter, PhotoTaken, photos_of
from core.sitting.timer import Timer

TEN = datetime(2026, 5, 3, 10, tzinfo=UTC)


def at(hours: float) -> datetime:
    return datetime(2026, 5, 3, 10) + timedelta(hours=hours)  # as the ledge has it: without a zone


def photo(number: int, hours: float | None, sitting: int = 1) -> PhotoTaken:
    return PhotoTaken(number, None if hours is None else at(hours), sitting)


TIMED = LoggedSitting(2, timer=Timer().started(TEN).stopped(TEN + timedelta(hours=2)))
BY_DAY = LoggedSitting(2, day=date(2026, 5, 3))


@pytest.mark.parametrize(
    ("hours", "before", "after"),
    [
        ([-24, -0.1, 1, 2.1, 5], 2, 4),  # the last until the start, the first since the end
        ([-24, 0, 2, 3], 2, 3),  # on the very second
        ([-24, 0.5, 1.5], 1, 3),  # none since the end: the last one while it ran
        ([0.5, 3], None, 2),
        ([-1], 1, None),
        ([], None, None),
        ([5, -24], 2, 1),  # in whatever order
    ],
)
def test_by_the_timer(hours: list[float], before: int | None, after: int | None) -> None:
    photos = [photo(number, each) for number, each in enumerate(hours, start=1)]
    assert photos_of(TIMED, photos) == BeforeAfter(before, after)


def test_what_is_taken_since_the_next_sitting_was_begun_shows_that_one() -> None:
    photos = [photo(1, -1), photo(2, 30)]
    assert photos_of(TIMED, photos) == BeforeAfter(1, 2)
    assert photos_of(TIMED, photos, next_began=TEN + timedelta(hours=29)) == BeforeAfter(1, None)


def test_while_the_timer_runs_there_is_no_photo_after_it() -> None:
    running = LoggedSitting(2, timer=Timer().started(TEN))
    assert photos_of(running, [photo(1, -1), photo(2, 1)]) == BeforeAfter(1, None)


@pytest.mark.parametrize(
    ("hours", "before", "after"),
    [
        ([-24, -1, 1, 4], 2, 4),  # two or more of the day: its first and its last
        ([-24, 3], 1, 2),  # one of the day
        ([-24, 30], 1, None),
        ([30], None, None),
    ],
)
def test_by_the_day_alone(hours: list[float], before: int | None, after: int | None) -> None:
    photos = [photo(number, each) for number, each in enumerate(hours, start=1)]
    assert photos_of(BY_DAY, photos) == BeforeAfter(before, after)


def test_a_day_told_otherwise_than_by_the_timer_counts() -> None:
    moved = LoggedSitting(2, day=date(2026, 5, 4), timer=TIMED.timer)
    photos = [photo(1, -1), photo(2, 3), photo(3, 24), photo(4, 26)]
    assert photos_of(moved, photos) == BeforeAfter(3, 4)


def test_photos_without_a_time_go_by_the_ledge() -> None:
    photos = [photo(1, None, 1), photo(2, None, 1), photo(3, None, 2), photo(4, None, 2), photo(5, None, 3)]
    assert photos_of(BY_DAY, photos, number=2) == BeforeAfter(2, 4)
    assert photos_of(BY_DAY, photos, number=1) == BeforeAfter(None, 2)
    assert photos_of(BY_DAY, photos) == BeforeAfter(None, None)
    assert photos_of(LoggedSitting(2), photos, number=2) == BeforeAfter(2, 4)


def test_a_time_counts_more_than_the_ledge() -> None:
    assert photos_of(TIMED, [photo(1, None, 1), photo(2, -1, 2), photo(3, None, 2)], number=2) == BeforeAfter(2, 3)
