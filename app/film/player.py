"""The film played: its picture, a button that plays and stops it, and its time line."""

import math
import time
from collections.abc import Callable

from PySide6.QtCore import QSignalBlocker, Qt, QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSlider, QVBoxLayout, QWidget

from app.actions import KeyButton
from app.film.film_view import NONE_YET, FilmView, Reel
from app.film.jobs import Stills
from core.progress_film.film import FilmSettings, FilmShot

_PLAY, _STOP = "Play", "Stop"


class Player(QWidget):
    """Once through, then it stands; played again it begins anew. ``clock``: seconds, whatever they are counted from."""

    def __init__(self, parent: QWidget | None = None, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(parent)
        self._clock = clock
        self._reel: Reel | None = None
        self._shots: tuple[FilmShot, ...] = ()
        self._began, self._from = 0.0, 0
        self._ticking = QTimer(self)
        self._ticking.setTimerType(Qt.TimerType.PreciseTimer)
        self._ticking.timeout.connect(self.tick)
        self.view = FilmView(self)
        self.play_button = KeyButton(_PLAY, "Space", self)
        self.play_button.clicked.connect(lambda _=False: self.toggle())
        self.line = QSlider(Qt.Orientation.Horizontal, self)
        self.line.setAccessibleName("Time line of the film")
        self.line.valueChanged.connect(self._sought)
        self.says = QLabel(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.view, 1)
        foot = QHBoxLayout()
        foot.setContentsMargins(12, 6, 12, 8)
        foot.setSpacing(10)
        foot.addWidget(self.play_button)
        foot.addWidget(self.line, 1)
        foot.addWidget(self.says)
        column.addLayout(foot)
        self.clear()

    @property
    def is_playing(self) -> bool:
        return self._ticking.isActive()

    @property
    def frame(self) -> int:
        return self.line.value()

    @property
    def reel(self) -> Reel | None:
        return self._reel

    def load(self, stills: Stills, settings: FilmSettings, shots: tuple[FilmShot, ...]) -> None:
        """Show these pictures in their times; ``shots`` in the order of the film. It stays at its share of the way."""
        share = 0.0 if self._reel is None else self.frame / max(self._reel.count - 1, 1)
        self._reel, self._shots = Reel(stills, settings), shots
        with QSignalBlocker(self.line):
            self.line.setRange(0, self._reel.count - 1)
            self.line.setPageStep(settings.rate)
            self.line.setValue(round(share * (self._reel.count - 1)))
        self.line.setEnabled(True)
        self.play_button.setEnabled(True)
        self._ticking.setInterval(max(1, round(1000 / settings.rate)))
        self._begin_here()
        self._show()

    def clear(self, says: str = NONE_YET) -> None:
        """Nothing to play; ``says``: why."""
        self.stop()
        self._reel = None
        with QSignalBlocker(self.line):
            self.line.setRange(0, 0)
        self.line.setEnabled(False)
        self.play_button.setEnabled(False)
        self.says.setText("")
        self.view.show_image(None, says)

    def toggle(self) -> None:
        """Play, or stop."""
        if self.is_playing:
            self.stop()
        elif self._reel is not None:
            if self.frame >= self._reel.count - 1:
                self.line.setValue(0)
            self._begin_here()
            self._ticking.start()
            self.play_button.set_word(_STOP)

    def stop(self) -> None:
        self._ticking.stop()
        self.play_button.set_word(_PLAY)

    def turn(self, by: int) -> None:
        """Go to where the photo before or after stands still."""
        if self._reel is not None:
            starts = self._reel.starts()
            at = max(number for number, start in enumerate(starts) if start <= self.frame)
            back = by < 0 and self.frame > starts[at]
            self.line.setValue(starts[min(max(at if back else at + by, 0), len(starts) - 1)])

    def tick(self) -> None:
        """Show what is to be seen by now."""
        if self._reel is None:
            return
        due = self._from + math.floor((self._clock() - self._began) * self._reel.rate + 1e-6)
        with QSignalBlocker(self.line):
            self.line.setValue(due)
        self._show()
        if due >= self._reel.count - 1:
            self.stop()

    def _sought(self) -> None:
        self._begin_here()
        self._show()

    def _begin_here(self) -> None:
        self._began, self._from = self._clock(), self.frame

    def _show(self) -> None:
        if self._reel is None:
            return
        moment = self._reel.moment(self.frame)
        shot = self._shots[moment.photo + (moment.share >= 0.5)]
        rate = self._reel.rate
        self.says.setText(f"{self.frame / rate:.1f} of {self._reel.count / rate:.1f} s")
        self.line.setAccessibleDescription(self.says.text())
        self.view.show_image(self._reel.image(self.frame), shot.title)
