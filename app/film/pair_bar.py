"""Which two photos stand before and after, in words beneath the picture, each to be chosen."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from app.film.settings import drop_down
from core.progress_film.film import FilmShot


class PairBar(QWidget):
    """``before`` and ``after`` are places on the ledge; ``changed`` when another is chosen."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shots: tuple[FilmShot, ...] = ()
        self.first, self.second = drop_down("Before: left of the line"), drop_down("After: right of the line")
        line = QHBoxLayout(self)
        line.setContentsMargins(12, 6, 12, 8)
        line.setSpacing(8)
        for words, box in (("Before", self.first), ("After", self.second)):
            label = QLabel(words)
            label.setBuddy(box)
            line.addWidget(label)
            line.addWidget(box, 1)
            box.currentIndexChanged.connect(lambda _: self.changed.emit())

    @property
    def before(self) -> FilmShot:
        return self._shots[self.first.currentIndex()]

    @property
    def after(self) -> FilmShot:
        return self._shots[self.second.currentIndex()]

    def show_shots(self, shots: tuple[FilmShot, ...]) -> None:
        """Offer these; what was chosen stays while its photo is among them, else it is the first and the last."""
        held = (self.before.photo, self.after.photo) if self._shots else (None, None)
        self._shots = shots
        photos = [shot.photo for shot in shots]
        with QSignalBlocker(self):
            for box, photo, else_at in ((self.first, held[0], 0), (self.second, held[1], len(shots) - 1)):
                box.clear()
                box.addItems([shot_words(shot) for shot in shots])
                box.setCurrentIndex(photos.index(photo) if photo in photos else else_at)

    def turn(self, by: int) -> None:
        """Another photo after."""
        at = self.second.currentIndex() + by
        if 0 <= at < len(self._shots):
            self.second.setCurrentIndex(at)


def shot_words(shot: FilmShot) -> str:
    """A photo's name, its sitting and its day; a name that says the sitting itself is not said twice."""
    return shot.title if shot.title.startswith(f"{shot.called} ") else f"{shot.called} · {shot.title}"
