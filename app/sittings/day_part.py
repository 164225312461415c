"""A day, and an hour where that counts, set with large buttons."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.questions.parts import Stepper, button, flow
from app.sittings.words import weekday

_HALF_HOUR = timedelta(minutes=30)


class DayPart(QWidget):
    """``given``: a moment by the clock on the wall, or None where it is taken away. ``first``: what it begins with."""

    given = Signal(object)

    def __init__(
        self, name: str, give: str, first: Callable[[], datetime], *, hour: bool, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._at: datetime | None = None
        self._hour = hour
        self.give = button(give, lambda: self.given.emit(first()))
        self.take = button("Take the day away", lambda: self.given.emit(None), "quiet")
        self.day, self.clock = Stepper(f"day, {name}"), Stepper(f"hour, {name}")
        self.day.stepped.connect(lambda by: self._step(timedelta(days=by)))
        self.clock.stepped.connect(lambda by: self._step(by * _HALF_HOUR))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        for part in (flow(self.give), self.day, self.clock, flow(self.take)):
            column.addWidget(part)

    def show_day(self, at: datetime | None, today: date, *, enabled: bool, latest: date | None = None) -> None:
        """``latest``: the last day that can be given."""
        self._at = at
        self.give.setVisible(at is None)
        for part in (self.day, self.take):
            part.setVisible(at is not None)
        self.clock.setVisible(at is not None and self._hour)
        self.give.setEnabled(enabled)
        self.take.setEnabled(enabled)
        if at is not None:
            can_more = enabled and (latest is None or at.date() < latest)
            self.day.show_number(weekday(at.date(), today), can_less=enabled, can_more=can_more)
            last = (at + _HALF_HOUR).date() > at.date()
            first = (at - _HALF_HOUR).date() < at.date()
            self.clock.show_number(f"{at:%H:%M}", can_less=enabled and not first, can_more=enabled and not last)

    def _step(self, by: timedelta) -> None:
        if self._at is not None:
            self.given.emit(self._at + by)
