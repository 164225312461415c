"""One planned sitting, opened: its aim, its paint, its length and day, and what can be done with it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.questions.parts import Stepper, button, flow, text
from app.sittings.coat_part import CoatPart
from app.sittings.day_part import DayPart
from app.sittings.days import at_usual_hour
from app.sittings.fields import NoteField
from app.sittings.reads import SittingReads
from app.sittings.words import length_words
from app.studio import Studio
from core.errors import PainterError
from core.sitting.coat import Coat
from core.sitting.plan import PlannedSitting, SittingPlan
from core.sitting.timer import LONGEST_MINUTES

_STEP_MINUTES = 15


class SittingPart(QWidget):
    """Follows the reads; shown under the line of its sitting."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.key: int | None = None
        self.aim = NoteField("Aim of the sitting", "its aim, such as: the lights of the jug")
        self.aim.written.connect(self._write)
        self.coat, self.length = CoatPart(studio), Stepper("length of the sitting")
        self.coat.changed.connect(self._lay)
        self.length.stepped.connect(self._lengthen)
        self.painted = text("It is painted: its paint is noted under “This sitting”.", "note")
        self.day = DayPart("planned", "Give it a day", self._first_day, hour=True)
        self.day.given.connect(self._give_day)
        self.up, self.down = button("Move up", lambda: self._move(-1)), button("Move down", lambda: self._move(1))
        self.split, self.remove = button("Split in two", self._split), button("Remove", self._remove)
        self.parts = (self.up, self.down, self.split, self.remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 0, 0, 10)
        column.setSpacing(6)
        for part in (
            text("Aim", "note"), self.aim, text("Paint", "note"), self.painted, self.coat,
            text("Expected length", "note"), self.length, text("Day, for the calendar", "note"),
            self.day, flow(*self.parts),
        ):  # fmt: skip
            column.addWidget(part)

    @property
    def _reads(self) -> SittingReads:
        return self._studio.sittings

    def show_sitting(self, sitting: PlannedSitting) -> None:
        reads, self.key = self._reads, sitting.key
        free, number, count = not reads.read_only, reads.plan.number(sitting.key), len(reads.plan.sittings)
        self.aim.show_words(sitting.key, sitting.aim, read_only=reads.read_only)
        begun = reads.entry(sitting.key).begun
        self.painted.setVisible(begun)
        self.coat.setVisible(not begun)
        if not begun:
            self.coat.show_coat(sitting.coat, enabled=free)
        minutes = sitting.minutes
        self.length.show_number(
            length_words(minutes),
            can_less=free and minutes > _STEP_MINUTES,
            can_more=free and minutes + _STEP_MINUTES <= LONGEST_MINUTES,
        )
        self.day.show_day(reads.kept.days.of(sitting.key), reads.now().date(), enabled=free)
        for part in self.parts:
            part.setEnabled(free)
        self.up.setEnabled(free and number > 1)
        self.down.setEnabled(free and number < count)

    def _first_day(self) -> datetime:
        """The day on which it may well be dry, else tomorrow."""
        now = self._reads.now()
        after = self._reads.forecast().next_sitting
        return at_usual_hour(max(now + timedelta(days=1), now if after is None else after.latest.astimezone()).date())

    def _write(self, key: int, words: str) -> None:
        self._change(lambda plan: plan.changed(replace(plan.of(key), aim=words)), "changed the aim of a sitting")

    def _lay(self, coat: Coat) -> None:
        self._with(lambda plan, key: plan.changed(replace(plan.of(key), coat=coat)), "changed the paint of a sitting")

    def _lengthen(self, by: int) -> None:
        def longer(plan: SittingPlan, key: int) -> SittingPlan:
            sitting = plan.of(key)
            minutes = (sitting.minutes // _STEP_MINUTES + by) * _STEP_MINUTES
            if by < 0 and sitting.minutes % _STEP_MINUTES:
                minutes += _STEP_MINUTES
            return plan.changed(replace(sitting, minutes=min(max(minutes, 1), LONGEST_MINUTES)))

        self._with(longer, "changed the length of a sitting")

    def _give_day(self, begins: datetime | None) -> None:
        if self.key is not None:
            days = self._reads.kept.days
            days = days.without(self.key) if begins is None else days.given(self.key, begins)
            self._reads.keep_days(days, "changed the day of a sitting")

    def _move(self, by: int) -> None:
        self._with(lambda plan, key: plan.moved(key, plan.number(key) + by), "moved a sitting")

    def _split(self) -> None:
        self._with(lambda plan, key: plan.split(key), "split a sitting in two")

    def _remove(self) -> None:
        self._with(lambda plan, key: plan.removed(key), "removed a sitting")

    def _with(self, change: Callable[[SittingPlan, int], SittingPlan], label: str) -> None:
        self.aim.commit()
        key = self.key
        if key is not None:
            self._change(lambda plan: change(plan, key), label)

    def _change(self, change: Callable[[SittingPlan], SittingPlan], label: str) -> None:
        try:
            self._reads.keep_plan(change(self._reads.plan), label)
        except PainterError as trouble:
            self._reads.say(str(trouble))
