"""The sittings as the panel works with them: what is kept, read anew when it changes, and every change of it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from app.sittings.days import DAYS, PlannedDays
from app.sittings.forecast import Forecast, forecast
from app.sittings.kept import Kept, documents, read_kept
from core.errors import PainterError
from core.sitting.cautions import Work
from core.sitting.drying_record import SITTING_DRYING, DryingRecord
from core.sitting.laid import laid
from core.sitting.layering import LayerWarning, layer_warnings, not_weighed
from core.sitting.log import SITTING_LOG, LoggedSitting, SittingLog
from core.sitting.plan import SITTING_PLAN, PlannedSitting, SittingPlan, usual_plan
from core.sitting.timer import Timer

if TYPE_CHECKING:
    from app.studio import Studio

LOOK_ONLY = "This painting is open only to look, so its sittings stay as they are. Open it to work in it."
_NOTHING = SittingPlan((), 1)


class SittingReads(QObject):
    """``now``: the clock, with its time zone. ``chosen``: key of the sitting at hand, or None for the likeliest."""

    changed = Signal()

    def __init__(self, studio: "Studio", now: Callable[[], datetime] | None = None) -> None:
        super().__init__(studio)
        self._studio = studio
        self.now = now or (lambda: datetime.now().astimezone())
        self.chosen: int | None = None
        self._data = documents(studio.painting)
        self.kept: Kept = read_kept(self._data)
        self._foretold: tuple[tuple[Kept, datetime], Forecast] | None = None
        studio.history_changed.connect(self._read_again)

    @property
    def read_only(self) -> bool:
        return self._studio.painting.read_only

    @property
    def plan(self) -> SittingPlan:
        """The plan; without sittings where there is none yet."""
        return self.kept.plan or _NOTHING

    @property
    def empty_plan(self) -> SittingPlan:
        """Without sittings, its next key one that nothing in the log has."""
        return SittingPlan((), max(self.plan.next_key - 1, *(each.key for each in self.log.entries), 0) + 1)

    @property
    def log(self) -> SittingLog:
        return self.kept.log

    @property
    def keys(self) -> tuple[int, ...]:
        """Of all sittings there are: those planned, then those painted that are planned no longer."""
        planned = tuple(each.key for each in self.plan.sittings)
        return planned + tuple(each.key for each in self.log.entries if each.begun and each.key not in planned)

    @property
    def at_hand(self) -> int | None:
        """Key of the sitting that is shown: the one chosen, that whose timer runs, the last of today, else the next
        that is not painted yet."""
        keys = self.keys
        if self.chosen in keys:
            return self.chosen
        if self.log.running is not None and self.log.running.key in keys:
            return self.log.running.key
        today = self.now().date()
        of_today = [key for key in keys if self.entry(key).began_on == today]
        if of_today:
            return of_today[-1]
        return next((key for key in keys if not self.entry(key).begun), keys[-1] if keys else None)

    def planned(self, key: int) -> PlannedSitting | None:
        return next((each for each in self.plan.sittings if each.key == key), None)

    def entry(self, key: int) -> LoggedSitting:
        """What the log holds of a sitting; a new entry with its paint as planned where there is none."""
        planned = self.planned(key)
        return self.log.entry(planned) if planned is not None else self.log.of(key) or LoggedSitting(key)

    def warnings(self) -> tuple[LayerWarning, ...]:
        """Fat over lean and fast over slow, of what was painted and what is planned."""
        return layer_warnings(self._laid())

    def not_weighed(self) -> str:
        return not_weighed(self._laid())

    def forecast(self) -> Forecast:
        """When each painted layer is dry, as far as can be foretold now; the same within a minute."""
        now = self.now()
        key = self.kept, now.replace(second=0, microsecond=0)
        if self._foretold is None or self._foretold[0] != key:
            self._foretold = key, forecast(self.plan, self.log, self.kept.drying, now)
        return self._foretold[1]

    def work(self, *, sanding: bool = False, varnishing: bool = False) -> Work:
        """What is done, as far as it asks for care: with the paint that was used, and that is planned."""
        coats = [self.entry(key).coat for key in self.keys]
        tubes = dict.fromkeys((tube.name, tube.pigments) for coat in coats for tube in coat.tubes)
        layers = [replace(coat.layer, pigments=()) for coat in coats]
        return Work.of_layers(layers, tuple(tubes), sanding=sanding, varnishing=varnishing)

    def begin(self) -> bool:
        """Plan the usual four, with keys that nothing in the log has."""
        plan = self.plan if self.plan.sittings else self.empty_plan
        for each in usual_plan().sittings:
            plan = plan.added(aim=each.aim, coat=each.coat, minutes=each.minutes)
        return self.keep_plan(plan, "began with the usual four sittings")

    def keep_plan(self, plan: SittingPlan, label: str) -> bool:
        return self._keep(SITTING_PLAN, plan.to_json(), label)

    def keep_log(self, log: SittingLog, label: str) -> bool:
        return self._keep(SITTING_LOG, log.to_json(), label)

    def keep_entry(self, entry: LoggedSitting, label: str) -> bool:
        return self.keep_log(self.log.changed(entry), label)

    def keep_timer(self, entry: LoggedSitting, timer: Timer, label: str) -> bool:
        """The entry with this timer, and a day."""
        day = entry.began_on or self.now().date()
        return self.keep_entry(replace(entry, timer=timer, day=day), label)

    def keep_drying(self, drying: DryingRecord, label: str) -> bool:
        return self._keep(SITTING_DRYING, drying.to_json(), label)

    def keep_days(self, days: PlannedDays, label: str) -> bool:
        return self._keep(DAYS, days.within(self.plan).to_json(), label)

    def choose(self, key: int | None) -> None:
        """Have another sitting at hand."""
        if key != self.chosen:
            self.chosen = key
            self.changed.emit()

    def say(self, sentence: str) -> None:
        self._studio.said.emit(sentence)

    def _laid(self) -> Any:
        found = {each.key for each in self.forecast().layers if each.dry.found}
        return laid(self.plan, self.log, found_dry=found)

    def _keep(self, name: str, value: dict[str, Any], label: str) -> bool:
        """As one step that can be undone; what keeps that from being done is said."""
        why_not = LOOK_ONLY if self.read_only else self.kept.locked.get(name, "")
        if why_not:
            self.say(why_not)
            return False
        if value == self._data[name]:
            return True
        try:
            self._studio.painting.set_plan(name, value, label=label)
        except PainterError as trouble:
            self.say(str(trouble))
            return False
        return True

    def _read_again(self) -> None:
        data = documents(self._studio.painting)
        if data != self._data:
            self._data = data
            self.kept = read_kept(data)
            self.changed.emit()
