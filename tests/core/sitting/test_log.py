"""The log of the sittings: what was really done, what is still to mend, kept as plain data."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings

from core.errors import PaintingError
from core.sitting.coat import Coat
from core.sitting.layer import Medium
from core.sitting.log import LoggedSitting, SittingLog, ToMend, read_log
from core.sitting.plan import usual_plan
from core.sitting.timer import Timer
from tests.core.sitting.sitting_cases import logs

PLAN = usual_plan()
NINE = datetime(2026, 5, 3, 9, tzinfo=UTC)
LATER = NINE + timedelta(hours=2)


def test_a_sitting_is_timed_with_its_paint_as_planned_and_its_day() -> None:
    log = SittingLog().started(PLAN.of(1), NINE)
    assert log.running == log.of(1)
    log = log.stopped(LATER)
    entry = log.of(1)
    assert entry is not None
    assert log.running is None
    assert (entry.coat, entry.day, entry.begun) == (PLAN.of(1).coat, date(2026, 5, 3), True)
    assert entry.timer.length() == timedelta(hours=2)
    assert log.stopped(LATER) == log


def test_a_later_change_of_the_plan_does_not_change_what_was_done() -> None:
    log = SittingLog().started(PLAN.of(1), NINE).stopped(LATER)
    fatter = replace(PLAN.of(1), coat=Coat(Medium.MORE_OIL))
    assert log.entry(fatter).coat == PLAN.of(1).coat
    only_photo = SittingLog().changed(LoggedSitting(1, PLAN.of(1).coat, before=7))
    assert only_photo.entry(fatter) == LoggedSitting(1, fatter.coat, before=7)
    assert SittingLog().entry(fatter) == LoggedSitting(1, fatter.coat)


def test_only_one_timer_runs() -> None:
    log = SittingLog().started(PLAN.of(1), NINE)
    assert log.started(PLAN.of(1), LATER) == log
    with pytest.raises(PaintingError, match="timer of another sitting is running"):
        log.started(PLAN.of(2), LATER)


def test_a_sitting_goes_on_another_day_as_the_same_one() -> None:
    log = SittingLog().started(PLAN.of(1), NINE).stopped(LATER)
    log = log.started(PLAN.of(1), NINE + timedelta(days=1)).stopped(LATER + timedelta(days=1), minutes=30)
    entry = log.of(1)
    assert entry is not None
    assert (entry.began_on, entry.timer.length()) == (date(2026, 5, 3), timedelta(minutes=150))
    assert log.removed(1) == SittingLog()


@pytest.mark.parametrize(
    ("entry", "begun"),
    [
        (LoggedSitting(1), False),
        (LoggedSitting(1, notes="bring the umber", before=3), False),
        (LoggedSitting(1, done=" \n"), False),
        (LoggedSitting(1, done="darks"), True),
        (LoggedSitting(1, day=date(2026, 5, 3)), True),
        (LoggedSitting(1, timer=Timer().started(NINE)), True),
    ],
)
def test_what_tells_that_a_sitting_was_painted(entry: LoggedSitting, begun: bool) -> None:
    assert entry.begun is begun


def test_the_list_to_mend_is_ticked_off() -> None:
    entry = LoggedSitting(1).to_mend_from(["nose too low", "sky too dark", "nose too low"], 7)
    assert entry.still_to_mend == ("nose too low", "sky too dark")
    ticked = entry.ticked(0)
    assert ticked.still_to_mend == ("sky too dark",)
    assert ticked.ticked(0, False) == entry
    for place in (-1, 2):
        with pytest.raises(PaintingError, match="no longer in the list"):
            entry.ticked(place)


def test_the_same_check_taken_again_keeps_its_ticks() -> None:
    entry = LoggedSitting(1).to_mend_from(["nose too low", "sky too dark"], 7).ticked(0)
    assert entry.to_mend_from(["nose too low", "sky too dark"], 7) == entry


def test_a_new_check_opens_what_it_finds_again_and_drops_what_it_no_longer_finds() -> None:
    entry = LoggedSitting(1).to_mend_from(["nose", "sky", "hand"], 7).ticked(0).ticked(2)
    after = entry.to_mend_from(["nose", "chair"], 8)
    assert after.to_mend == (ToMend("nose"), ToMend("chair"), ToMend("hand", True))
    assert after.checked == 8


@given(logs())
@settings(max_examples=40, deadline=None)
def test_what_is_written_is_read_back(log: SittingLog) -> None:
    assert read_log(json.loads(json.dumps(log.to_json(), allow_nan=False))) == (log, ())


FULL = LoggedSitting(
    2, Coat(Medium.ALKYD), date(2026, 5, 3), "darks", Timer().started(NINE), 3, 4, "cold", (ToMend("nose"),), 5
)


@pytest.mark.parametrize(
    ("name", "value", "sentence", "usual"),
    [
        ("day", "yesterday", "The day of entry 1 of the log", {"day": None}),
        ("day", "20260503T09", "The day of entry 1 of the log", {"day": None}),
        ("done", ["darks"], "What was done in entry 1 of the log", {"done": ""}),
        ("timer", 7, "The time of entry 1 of the log", {"timer": Timer()}),
        ("before", "3", "The photo before, of entry 1 of the log,", {"before": None}),
        ("after", 3.5, "The photo after, of entry 1 of the log,", {"after": None}),
        ("notes", 1, "The notes of entry 1 of the log", {"notes": ""}),
        ("to_mend", {}, "What is to mend in entry 1 of the log", {"to_mend": ()}),
        ("to_mend", [{"say": "x", "mended": 1}], "A tick of entry 1 of the log", {"to_mend": (ToMend("x"),)}),
        ("checked", [], "The checked photo of entry 1 of the log", {"checked": None}),
        ("medium", "egg", "The medium of entry 1 of the log", {"coat": Coat()}),
    ],
)
def test_what_cannot_be_read_is_as_usual_and_told(
    name: str, value: object, sentence: str, usual: dict[str, Any]
) -> None:
    kept = SittingLog((FULL,)).to_json()
    kept["entries"][0][name] = value
    kept["entries"][0]["mood"] = "good"
    assert read_log(kept) == (
        SittingLog((replace(FULL, **usual),)),
        (f"{sentence} could not be read. Set it again.",),
    )


def test_entries_of_no_sitting_are_left_out_and_told() -> None:
    kept = SittingLog((FULL, LoggedSitting(3), LoggedSitting(4))).to_json()
    kept["entries"][1]["key"], kept["entries"][2]["key"] = 2, "four"
    log, told = read_log(kept)
    assert log == SittingLog((FULL,))
    assert "Entry 2 of the log belongs to no sitting and was left out. Note it again." in told
    assert "Entry 3 of the log belongs to no sitting and was left out. Note it again." in told


def test_nothing_kept_is_an_empty_log_and_what_is_none_or_newer_is_refused() -> None:
    assert read_log(None) == (SittingLog(), ())
    with pytest.raises(PaintingError, match="log of the sittings cannot be read"):
        read_log([])
    with pytest.raises(PaintingError, match="newer Easelside"):
        read_log({"schema": 2, "entries": []})
