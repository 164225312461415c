"""The sitting at hand in the window: timer, log, photos, and what is to mend."""

from datetime import date, datetime

import pytest

from app.findings import stored
from core.sitting.layer import Medium
from tests.app.sittings.sitting_case import Clock, panel, reads, reopen
from tests.app.test_questions import CHECK, SURE
from tests.app.window_case import Easel, drop, reference_photo


@pytest.fixture
def planned(easel: Easel) -> Easel:
    panel(easel).plan.begin.click()
    return easel


def test_the_timer_runs_on_while_the_painting_is_closed(planned: Easel, clock: Clock) -> None:
    timer = panel(planned).this.timer
    assert timer.shows.text() == "0:00"
    timer.press.click()
    clock.on(minutes=65)
    timer.refresh()
    assert timer.shows.text() == "1:05"
    assert timer.press.text() == "Stop the timer"
    reopen(planned, clock)
    clock.on(minutes=10)
    timer = panel(planned).this.timer
    timer.refresh()
    assert timer.shows.text() == "1:15"
    timer.press.click()
    clock.on(hours=1)
    timer.refresh()
    assert timer.shows.text() == "1:15"
    timer.press.click()  # and on it goes
    clock.on(minutes=5)
    timer.refresh()
    assert timer.shows.text() == "1:20"
    timer.press.click()
    planned.press("undo")
    assert reads(planned).entry(1).timer.runs


def test_one_timer_at_a_time_and_a_forgotten_one_is_put_right(planned: Easel, clock: Clock) -> None:
    fold = panel(planned).this
    fold.timer.press.click()
    fold.which.more.click()
    assert fold.timer.key == 2
    assert not fold.timer.press.isEnabled()
    assert "The timer of sitting 1 is running" in fold.timer.other.text()
    clock.on(hours=20)
    fold.timer.stop_other.click()
    assert fold.timer.press.isEnabled()
    fold.which.less.click()
    assert "perhaps forgotten" in fold.timer.doubt.text()
    assert fold.timer.shows.text() == "0:00"
    fold.timer.minutes.setValue(95)
    fold.timer.by_hand.click()
    assert fold.timer.shows.text() == "1:35"
    assert not fold.timer.doubt.isVisible()
    fold.timer.minutes.setValue(10)
    fold.timer.by_hand.click()
    assert fold.timer.shows.text() == "1:45"


def test_what_was_done_is_noted_undone_and_kept(planned: Easel, clock: Clock) -> None:
    fold = panel(planned).this
    fold.done.setPlainText("The jug and its shadow")
    fold.done.commit()
    fold.day.give.click()
    assert reads(planned).entry(1).day == date(2026, 5, 4)
    assert not fold.day.day.more.isEnabled()  # no sitting was painted tomorrow
    fold.day.day.less.click()
    fold.paint_button.click()
    fold.coat.medium.picked.emit(Medium.MORE_OIL)
    assert fold.paint.text() == "Thin, with more oil."
    assert reads(planned).plan.of(1).coat.medium is Medium.SOLVENT  # what was planned stays
    fold.notes.setPlainText("softer edges")
    reopen(planned, clock)  # what is not kept yet is kept when the painting is closed
    entry = reads(planned).entry(1)
    assert (entry.day, entry.done, entry.notes) == (date(2026, 5, 3), "The jug and its shadow", "softer edges")
    reads(planned).choose(1)
    assert panel(planned).this.done.toPlainText() == "The jug and its shadow"
    planned.press("undo")
    assert panel(planned).this.notes.toPlainText() == ""
    assert reads(planned).entry(1).done == "The jug and its shadow"


def test_a_pause_in_writing_keeps_it_and_leaves_the_cursor(planned: Easel) -> None:
    field = panel(planned).this.notes
    field.setPlainText("cooler ")
    field._waiting.timeout.emit()
    assert reads(planned).entry(1).notes == "cooler"
    assert field.toPlainText() == "cooler "  # the space that was typed last is still there
    panel(planned).this.which.more.click()
    assert field.toPlainText() == ""
    assert reads(planned).entry(2).notes == ""


def test_photos_are_suggested_by_their_time_and_what_is_to_mend_is_ticked_off(planned: Easel, clock: Clock) -> None:
    fold, studio = panel(planned).this, planned.desk.studio
    drop(planned.desk.ledge, [reference_photo(planned.folder, width=200, height=150)])
    clock.at = datetime.now().astimezone()  # the photo was brought in just now
    fold.day.give.click()
    photo = studio.canvas_photos[0].id
    assert "none before, my cat.jpg, " in fold.photos.suggestion.text()
    fold.photos.take.click()
    assert (reads(planned).entry(1).before, reads(planned).entry(1).after) == (None, photo)
    assert not fold.photos.take.isVisible()
    fold.photos.before.picked.emit(photo)
    assert reads(planned).entry(1).before == photo
    assert not fold.take_mend.isEnabled()
    assert "A check of the canvas photo comes first" in fold.mends.text()
    studio.painting.set_check_result(photo, stored(CHECK, SURE, ()))
    studio.read_check()
    fold.take_mend.click()
    told = [mend.say for mend in studio.checked.findings.mend]
    assert len(told) == 2
    assert [label.text() for label in fold.mend.labels()] == told
    assert (reads(planned).entry(1).checked, fold.mends.text()) == (photo, "2 of 2 still to mend.")
    fold.mend.ticks[0].box.click()
    assert reads(planned).entry(1).still_to_mend == (told[1],)
    planned.press("undo")
    assert not fold.mend.ticks[0].box.isChecked()
