"""The temperature panel: what is under the pointer, and folds for pins, white balance, pictures, light and shadow, and
what has strayed."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.questions.parts import Panel, text
from app.studio import Studio
from app.temperatures.balance_fold import BalanceFold
from app.temperatures.compare_fold import CompareFold
from app.temperatures.families_fold import FamiliesFold
from app.temperatures.picture_fold import PictureFold
from app.temperatures.pins_fold import PinsFold
from app.temperatures.reading_fold import ReadingFold
from app.view import Subject

WarmFold = ReadingFold | PinsFold | BalanceFold | PictureFold | FamiliesFold | CompareFold


class TemperaturePanel(Panel):
    """Follows the studio."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Temperature", parent)
        self._studio = studio
        self.note = text(role="sentence")
        self.reading, self.pins = ReadingFold(studio, actions), PinsFold(studio, actions)
        self.balance, self.picture = BalanceFold(studio), PictureFold(studio, actions)
        self.families, self.compare = FamiliesFold(studio, actions), CompareFold(studio, actions)
        self.column.addWidget(self.note)
        for fold in self.folds:
            self.column.addWidget(fold)
            fold.opened.connect(partial(self.bring_up, fold))
        for going in (self.pins, self.compare):
            going.go_to.connect(self.go_to)
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.ledge_changed.connect(self.refresh)
        studio.shares_changed.connect(self.refresh)
        studio.findings_changed.connect(self.refresh_findings)
        self.refresh_findings()

    @property
    def folds(self) -> tuple[WarmFold, ...]:
        return self.reading, self.pins, self.balance, self.picture, self.families, self.compare

    def show_at(self, at: tuple[float, float] | None) -> None:
        """What is under the pointer, mm; None when it is off the canvas."""
        self.reading.show_at(at)

    def refresh(self) -> None:
        if not self.isVisible():
            return
        for fold in self.folds:
            fold.refresh()
        self._note()

    def refresh_findings(self) -> None:
        self.compare.refresh_findings()
        self.refresh()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh()
        self.show_at(None)

    def _note(self) -> None:
        """What keeps the temperatures of a picture from being judged."""
        reads = self._studio.warmths
        said = [reads.colourless(subject) for subject in Subject if reads.source(subject) is not None]
        self.note.setText("\n\n".join(sentence for sentence in said if sentence))
        self.note.setVisible(bool(self.note.text()))
