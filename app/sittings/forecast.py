"""When each painted layer will be dry: the log, the room and the touch tests, put together for core's forecast.

A sitting without a timer, or of another day than its timer tells, is taken to have ended at noon of its day (ours).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from core.sitting.coat import Lies
from core.sitting.dates import day
from core.sitting.drying import TouchDry, foretell
from core.sitting.drying_record import DryingRecord
from core.sitting.layer import Layer
from core.sitting.log import LoggedSitting, SittingLog
from core.sitting.next_sitting import Drying, NextSitting, Standing, next_sitting, standing
from core.sitting.painter_drying import PainterFactor, Watched, forecasts
from core.sitting.plan import SittingPlan
from core.sitting.touch_tests import read_tests
from core.sitting.varnish import VarnishWindow, varnish_window

_NOON = time(12)


@dataclass(frozen=True, eq=False)
class LayerDrying:
    """``name``: such as ``Sitting 2``. ``told``: sentences on its touch tests. ``limits``: on its forecast."""

    key: int
    name: str
    entry: LoggedSitting
    finished: datetime
    dry: TouchDry
    told: tuple[str, ...]
    limits: tuple[str, ...]

    @property
    def drying(self) -> Drying:
        return Drying(self.finished, self.dry)

    def standing(self, now: datetime) -> Standing:
        return standing([self.drying], now)


@dataclass(frozen=True, eq=False)
class Forecast:
    """``layers``: painted and left on the canvas, the first first. ``dayless``: names of painted ones without a day."""

    layers: tuple[LayerDrying, ...]
    painter: PainterFactor
    dayless: tuple[str, ...] = ()

    @property
    def over(self) -> tuple[LayerDrying, ...]:
        """Those that lie where work goes on."""
        return tuple(each for each in self.layers if each.entry.coat.lies is Lies.OVER)

    @property
    def next_sitting(self) -> NextSitting | None:
        """Upon all of them that lie where work goes on."""
        return next_sitting([each.drying for each in self.over])

    @property
    def varnish(self) -> VarnishWindow | None:
        """Counted from the last one; None where nothing was painted."""
        if not self.layers:
            return None
        layers: Sequence[Layer] = [each.entry.coat.layer for each in self.layers]
        return varnish_window(self.layers[-1].finished.date(), layers)

    def of(self, key: int | None) -> LayerDrying | None:
        return next((each for each in self.layers if each.key == key), None)


def forecast(plan: SittingPlan, log: SittingLog, drying: DryingRecord, now: datetime) -> Forecast:
    """Of every sitting that was painted and not wiped off. ``now``: with its time zone."""
    painted = [each for each in log.entries if each.begun and each.coat.lies is not Lies.WIPED]
    told = sorted(
        ((finished_at(each, began, now), each) for each in painted if (began := each.began_on) is not None),
        key=lambda pair: pair[0],
    )
    watched, bounds = [], []
    for place, (finished, entry) in enumerate(told):
        ground = drying.ground if place == 0 else None
        bounds.append(read_tests(finished, drying.of(str(entry.key))))
        watched.append(Watched(foretell(entry.coat.layer, drying.room, ground), bounds[-1]))
    painter, dry = forecasts(watched)
    layers = tuple(
        LayerDrying(
            entry.key, name_of(entry, plan), entry, finished, dry[place], bounds[place].told,
            watched[place].expected.limits,
        )
        for place, (finished, entry) in enumerate(told)
    )  # fmt: skip
    return Forecast(layers, painter, tuple(name_of(each, plan) for each in painted if each.began_on is None))


def finished_at(entry: LoggedSitting, began: date, now: datetime) -> datetime:
    """When the last stroke was made, as far as it is told; never later than now."""
    timer = entry.timer
    if timer.first is not None and timer.first.date() == began:
        return now if timer.last is None else min(timer.last, now)
    return min(datetime.combine(began, _NOON).astimezone(), now)


def name_of(entry: LoggedSitting, plan: SittingPlan) -> str:
    """``Sitting 2``, or by its day where it is planned no longer."""
    if any(each.key == entry.key for each in plan.sittings):
        return f"Sitting {plan.number(entry.key)}"
    return "A sitting no longer planned" if entry.began_on is None else f"The sitting of {day(entry.began_on)}"
