"""The timer of a sitting: it goes on after a crash, and tells when the clock cannot be right."""

import json
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Any

import pytest
from hypothesis import given, settings

from core.errors import PaintingError
from core.sitting.record import Reading
from core.sitting.timer import Stretch, Timer, in_words, read_timer
from tests.core.sitting.sitting_cases import timers

NINE = datetime(2026, 5, 3, 9, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return NINE + timedelta(minutes=minutes)


def again(timer: Timer) -> Timer:
    """Written and read back, as after a crash."""
    reading = Reading()
    read = read_timer(json.loads(json.dumps(timer.to_json())), "sitting 1", reading)
    assert reading.told == []
    return read


def test_it_is_started_stopped_and_gone_on_with() -> None:
    timer = Timer().started(at(0)).stopped(at(40))
    assert not timer.runs
    assert timer.length() == timedelta(minutes=40)
    timer = timer.started(at(60))
    assert timer.runs
    assert (timer.length(), timer.length(at(65.5))) == (timedelta(minutes=40), timedelta(minutes=45, seconds=30))
    timer = timer.stopped(at(80))
    assert (timer.length(at(500)), timer.first, timer.last) == (timedelta(minutes=60), at(0), at(80))
    assert timer.doubts(at(500)) == ()


def test_starting_twice_and_stopping_twice_change_nothing() -> None:
    timer = Timer().started(at(0))
    assert timer.started(at(5)) == timer
    stopped = timer.stopped(at(10))
    assert stopped.stopped(at(20)) == stopped
    assert Timer().stopped(at(1)) == Timer()
    assert (Timer().first, Timer().last, timer.last) == (None, None, None)


def test_a_crash_costs_no_time() -> None:
    timer = again(Timer().started(at(0)))
    assert timer.runs
    assert timer.stopped(at(90)).length() == timedelta(minutes=90)


def test_a_clock_that_went_back_is_told_and_not_counted_until_corrected() -> None:
    timer = Timer().started(at(0)).stopped(at(30)).started(at(60)).stopped(at(-20))
    ((place, told),) = timer.doubts()
    assert place == 1
    assert "started at 3 May 2026 at 10:00, and the clock then told an earlier time" in told
    assert timer.length() == timedelta(minutes=30)
    mended = timer.corrected(place, 45)
    assert (mended.length(), mended.doubts()) == (timedelta(minutes=75), ())


def test_a_clock_that_went_back_is_told_while_the_timer_runs() -> None:
    timer = Timer().started(at(0))
    assert timer.length(at(-1)) == timedelta(0)
    assert [place for place, _ in timer.doubts(at(-1))] == [0]
    assert timer.stopped(at(-1), minutes=20).length() == timedelta(minutes=20)


def test_a_clock_put_back_between_two_stretches_is_told() -> None:
    timer = Timer().started(at(0)).stopped(at(30)).started(at(10)).stopped(at(50))
    ((place, told),) = timer.doubts()
    assert place == 1
    assert "before it had been stopped at 3 May 2026 at 09:30" in told
    assert timer.length() == timedelta(minutes=70)
    assert timer.corrected(1, 20).doubts() == ()


def test_a_forgotten_timer_is_told_and_not_counted_until_corrected() -> None:
    timer = Timer().started(at(0))
    assert timer.doubts(at(12 * 60)) == ()
    ((_, told),) = timer.doubts(at(12 * 60 + 1))
    assert "run for 12 h 01 min since 3 May 2026 at 09:00, and was perhaps forgotten" in told
    assert timer.length(at(20 * 60)) == timedelta(0)
    assert timer.stopped(at(20 * 60), minutes=150).length() == timedelta(minutes=150)
    assert timer.stopped(at(20 * 60)).corrected(0, 120).length() == timedelta(hours=2)


def test_minutes_without_the_timer_are_added() -> None:
    timer = Timer().added(25, at(0)).started(at(30)).stopped(at(40))
    assert timer.length() == timedelta(minutes=35)
    assert timer.doubts() == ()


@pytest.mark.parametrize("minutes", [-1, 1441])
def test_minutes_that_no_day_has_are_refused(minutes: int) -> None:
    with pytest.raises(PaintingError, match=f"{minutes} minutes is not within that"):
        Timer().added(minutes, at(0))
    with pytest.raises(PaintingError, match="no such stretch"):
        Timer().corrected(0, 10)


class Berlin(tzinfo):
    """The night of 25 October 2026, when clocks go from 3 back to 2 (EU Directive 2000/84: last Sunday of October)."""

    def utcoffset(self, moment: datetime | None) -> timedelta:
        assert moment is not None
        summer = moment.replace(tzinfo=None) < datetime(2026, 10, 25, 3 - moment.fold)
        return timedelta(hours=2 if summer else 1)

    def dst(self, moment: datetime | None) -> timedelta:
        return self.utcoffset(moment) - timedelta(hours=1)


def test_the_hour_that_is_put_back_in_autumn_is_counted() -> None:
    berlin = Berlin()
    before, after = datetime(2026, 10, 25, 1, 30, tzinfo=berlin), datetime(2026, 10, 25, 3, 30, tzinfo=berlin)
    assert after - before == timedelta(hours=2)  # what Python says of one zone
    assert Timer().started(before).stopped(after).length() == timedelta(hours=3)


def test_a_moment_without_its_zone_is_a_defect() -> None:
    naive = NINE.replace(tzinfo=None)
    with pytest.raises(ValueError, match="time zone"):
        Timer().started(naive)
    with pytest.raises(ValueError, match="time zone"):
        Stretch(naive, NINE)


@given(timers)
@settings(max_examples=40, deadline=None)
def test_what_is_written_is_read_back(timer: Timer) -> None:
    assert again(timer) == timer


@pytest.mark.parametrize(
    ("kept", "sentence"),
    [
        ({"stretches": 3}, "The time of sitting 1"),
        ({"stretches": [3]}, "An entry of the time of sitting 1"),
        ({"stretches": [{"began": "now", "ended": "now"}]}, "A stretch of the time of sitting 1"),
        ({"stretches": [{"began": "2026-05-03T09:00"}]}, "A stretch of the time of sitting 1"),
        ({"since": "2026-05-03T09:00"}, "When the timer of sitting 1 began"),
        ({"since": "0001-01-01T00:00+14:00"}, "When the timer of sitting 1 began"),
    ],
)
def test_what_cannot_be_read_is_left_out_and_told(kept: dict[str, Any], sentence: str) -> None:
    reading = Reading()
    assert read_timer(kept, "sitting 1", reading) == Timer()
    assert reading.told == [f"{sentence} could not be read. Set it again."]


@pytest.mark.parametrize(
    ("minutes", "words"), [(0, "0 min"), (59.4, "59 min"), (59.6, "1 h 00 min"), (125, "2 h 05 min")]
)
def test_lengths_in_words(minutes: float, words: str) -> None:
    assert in_words(timedelta(minutes=minutes)) == words
