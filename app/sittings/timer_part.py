"""The timer of a sitting: started, stopped and gone on with; stretches that cannot be right are put right by hand."""

from PySide6.QtCore import QSignalBlocker, QTimer
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QSpinBox, QVBoxLayout, QWidget

from app.questions.parts import button, flow, text
from app.sittings.forecast import name_of
from app.sittings.reads import SittingReads
from app.sittings.words import hours
from app.studio import Studio
from core.errors import PainterError
from core.sitting.timer import LONGEST_MINUTES

_TICK_MS = 5000
_START, _STOP, _GO_ON = "Start the timer", "Stop the timer", "Go on"


class TimerPart(QWidget):
    """Follows the reads. What is shown while it runs is brought up to date every few seconds."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.key: int | None = None
        self._doubt: int | None = None
        self.shows, self.press = text("0:00", "figure"), button(_START, self._press, "primary")
        self.other, self.doubt = text(), text()
        self.stop_other = button("Stop that one", self._stop)
        self.minutes = QSpinBox()
        self.minutes.setRange(0, LONGEST_MINUTES)
        self.minutes.setSuffix(" min")
        self.minutes.setAccessibleName("Minutes by hand")
        self.by_hand = button("Add the minutes", self._by_hand)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        self.hand = flow(self.minutes, self.by_hand)
        for part in (self.shows, flow(self.press), self.other, flow(self.stop_other), self.doubt, self.hand):
            column.addWidget(part)
        self._tick = QTimer(self)
        self._tick.setInterval(_TICK_MS)
        self._tick.timeout.connect(self.refresh)

    @property
    def _reads(self) -> SittingReads:
        return self._studio.sittings

    def show_timer(self, key: int) -> None:
        self.key = key
        self.refresh()

    def refresh(self) -> None:
        if self.key is None:
            return
        reads, now = self._reads, self._reads.now()
        free, timer, running = not reads.read_only, reads.entry(self.key).timer, reads.log.running
        told = hours(timer.length(now))
        self.shows.setText(told)
        self.shows.setAccessibleName(f"Time painted, hours and minutes: {told}")
        self.press.setText(_STOP if timer.runs else _GO_ON if timer.first is not None else _START)
        other = running is not None and running.key != self.key
        self.press.setEnabled(free and not other and (timer.runs or reads.planned(self.key) is not None))
        for part in (self.other, self.stop_other):
            part.setVisible(other)
        self.stop_other.setEnabled(free)
        if other and running is not None:
            self.other.setText(f"The timer of {name_of(running, reads.plan).lower()} is running.")
        doubts = timer.doubts(now)
        self._doubt = doubts[0][0] if doubts else None
        self.doubt.setText(doubts[0][1] if doubts else "")
        self.doubt.setVisible(bool(doubts))
        self.by_hand.setText("So long it was" if doubts else "Add the minutes")
        for field in (self.minutes, self.by_hand):
            field.setEnabled(free)
        if timer.runs and self.isVisible():
            self._tick.start()
        else:
            self._tick.stop()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self._tick.stop()

    def _press(self) -> None:
        reads = self._reads
        if self.key is None:
            return
        if reads.entry(self.key).timer.runs:
            self._stop()
            return
        sitting = reads.planned(self.key)
        try:
            if sitting is not None:
                reads.keep_log(reads.log.started(sitting, reads.now()), "started the timer")
        except PainterError as trouble:
            reads.say(str(trouble))

    def _stop(self) -> None:
        reads = self._reads
        reads.keep_log(reads.log.stopped(reads.now()), "stopped the timer")

    def _by_hand(self) -> None:
        """The minutes are those of the stretch in doubt, else come on top."""
        reads, minutes = self._reads, self.minutes.value()
        if self.key is None:
            return
        entry, now = reads.entry(self.key), reads.now()
        label = "set the time of a sitting right"
        if self._doubt is None:
            if not minutes:
                return
            timer, label = entry.timer.added(minutes, now), "added minutes to a sitting"
        elif self._doubt < len(entry.timer.stretches):
            timer = entry.timer.corrected(self._doubt, minutes)
        else:
            timer = entry.timer.stopped(now, minutes=minutes)
        if reads.keep_timer(entry, timer, label):
            with QSignalBlocker(self.minutes):
                self.minutes.setValue(0)
