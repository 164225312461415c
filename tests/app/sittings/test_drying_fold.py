"""Drying and cautions in the window, checked against core's own answers."""

from datetime import timedelta

import pytest
from pytestqt.qtbot import QtBot

from app.sittings.drying_chart import Bar, DryingChart
from app.sittings.forecast import finished_at
from core.sitting.cautions import DEFER, cautions_for
from core.sitting.drying import foretell
from core.sitting.layer import Ground, Medium, Room
from core.sitting.log import LoggedSitting
from core.sitting.painter_drying import Watched, forecasts
from core.sitting.timer import Timer
from core.sitting.touch_tests import Touch
from tests.app.sittings.sitting_case import MORNING, Clock, panel, reads, reopen
from tests.app.window_case import Easel


@pytest.fixture
def painted(easel: Easel, clock: Clock) -> Easel:
    """The first of four sittings was painted, from nine to ten."""
    panel(easel).plan.begin.click()
    panel(easel).this.timer.press.click()
    clock.on(hours=1)
    panel(easel).this.timer.press.click()
    panel(easel).refresh()
    return easel


def test_before_anything_is_painted_it_says_what_to_do(easel: Easel) -> None:
    fold = panel(easel).drying
    assert fold.says.isVisible()
    assert not any(part.isVisible() for part in (*fold.touches.values(), fold.chart, fold.next))
    assert "only a touch tells" in fold.limits.text()
    fold.warmth.setValue(24.0)
    assert reads(easel).kept.drying.room == Room(24.0, 50.0)


def test_the_range_is_cores_and_a_touch_moves_it(painted: Easel, clock: Clock) -> None:
    fold = panel(painted).drying
    fold.ground.picked.emit(Ground.CHALK)
    layer = reads(painted).entry(1).coat.layer
    _, (dry,) = forecasts([Watched(foretell(layer, Room(), Ground.CHALK))])
    (bar,) = fold.chart.bars
    done = MORNING + timedelta(hours=1)
    assert bar.finished == done
    assert (bar.low - done) / timedelta(days=1) == pytest.approx(dry.after(0.1))
    assert (bar.high - done) / timedelta(days=1) == pytest.approx(dry.after(0.9))
    assert [line.say for line in fold.lines.lines] == ["Sitting 1: too early (under 1 %)"]
    assert fold.lines.lines[0].kind == dry.say()
    assert "No layer has been touched yet" in fold.painter.text()
    clock.on(days=6)
    fold.touches[Touch.WET].click()
    assert "Found so far: wet 10 May 10:00." in fold.found.text()
    assert fold.chart.bars[0].low > bar.low
    assert "longer by" in fold.painter.text()
    clock.on(days=9)
    panel(painted).refresh()
    fold.touches[Touch.DRY].click()
    assert fold.lines.lines[0].say == "Sitting 1: likely touch-dry, found by touch"
    assert "All layers were found touch-dry" in fold.next.text()
    reopen(painted, clock)
    fold = panel(painted).drying
    assert [test.found for test in reads(painted).kept.drying.of("1")] == [Touch.WET, Touch.DRY]
    fold.take_back.click()
    assert [test.found for test in reads(painted).kept.drying.of("1")] == [Touch.WET]
    painted.press("undo", "undo")
    assert [test.found for test in reads(painted).kept.drying.of("1")] == [Touch.WET]


def test_next_sitting_varnish_and_limits_are_said(painted: Easel, clock: Clock) -> None:
    fold = panel(painted).drying
    assert "4 May 2026: too early" in fold.next.text()
    assert "The next sitting can begin at some time from " in fold.next.text()
    assert "A final varnish is too early before 4 November 2026" in fold.varnish.text()
    assert "The tubes of this layer are not told" in fold.limits.text()
    reopen(painted, clock, look_only=True)
    fold = panel(painted).drying
    assert not any(each.isEnabled() for each in (*fold.touches.values(), fold.warmth, fold.damp, fold.ground))


def test_a_sitting_without_its_timer_ended_at_noon_and_none_in_the_future() -> None:
    day = MORNING.date()
    entry = LoggedSitting(1, day=day)
    evening = MORNING.replace(hour=20)
    assert finished_at(entry, day, evening).astimezone().hour == 12
    assert finished_at(entry, day, MORNING) <= MORNING
    late = Timer().started(MORNING.replace(hour=23)).stopped(MORNING + timedelta(hours=16))
    assert finished_at(LoggedSitting(1, day=day, timer=late), day, evening + timedelta(days=9)) == late.last


def test_the_scale_reaches_from_the_first_stroke_to_the_last_range(qtbot: QtBot) -> None:
    chart = DryingChart()
    qtbot.addWidget(chart)
    chart.resize(300, 100)
    days = [MORNING + timedelta(days=each) for each in (0, 2, 4, 10)]
    chart.show_bars([Bar("Sitting 1", *days)], days[1], "words")
    assert chart.accessibleName() == "words"
    xs = [chart.x_of(each) for each in days]
    assert xs == sorted(xs)
    assert xs[0] == pytest.approx(4.0)
    assert xs[-1] < 300
    assert (xs[2] - xs[0]) / (xs[1] - xs[0]) == pytest.approx(2.0)
    assert 2 <= len(chart.ticks()) <= 4
    chart.show_bars([], days[0], "nothing")
    assert not chart.grab().isNull()


def test_cautions_are_those_of_the_plan(painted: Easel) -> None:
    fold = panel(painted).cautions
    assert fold.defer.text() == DEFER
    assert fold.shown == cautions_for(reads(painted).work())
    assert "alkyd" not in {each.key for each in fold.shown}
    assert "sanding" not in {each.key for each in fold.shown}
    fold.sanding.click()
    assert "sanding" in {each.key for each in fold.shown}
    plan = panel(painted).plan
    plan.lines[3].click()
    plan.part.coat.medium.picked.emit(Medium.ALKYD)
    assert "alkyd" in {each.key for each in fold.shown}
    painted.press("undo")
    assert "alkyd" not in {each.key for each in fold.shown}
