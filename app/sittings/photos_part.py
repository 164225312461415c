"""The canvas photos that show the painting before a sitting and after it: suggested by their time, or by
their sitting on the ledge where they do not tell it; chosen by hand."""

from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.ledge.sittings import day_words
from app.questions.parts import button, flow, text
from app.sittings.fields import Choice
from app.studio import Studio
from core.painting import CanvasPhotoRecord
from core.sitting.log import LoggedSitting
from core.sitting.sitting_photos import BeforeAfter, PhotoTaken, photos_of
from core.store.ledge import moment


class PhotosPart(QWidget):
    """``chosen``: ids of both photos, or None each."""

    chosen = Signal(object)  # BeforeAfter

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._held, self._suggested = BeforeAfter(), BeforeAfter()
        self.before, self.after = Choice("Photo before the sitting"), Choice("Photo after the sitting")
        self.before.picked.connect(lambda photo: self.chosen.emit(BeforeAfter(photo, self._held.after)))
        self.after.picked.connect(lambda photo: self.chosen.emit(BeforeAfter(self._held.before, photo)))
        self.suggestion = text("", "note")
        self.take = button("Take these", lambda: self.chosen.emit(self._suggested))
        self.nothing = text("There are no canvas photos on the ledge yet.", "note")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        self._fields = (text("Photo before", "note"), self.before, text("Photo after", "note"), self.after)
        for part in (self.nothing, *self._fields, self.suggestion, flow(self.take)):
            column.addWidget(part)

    def show_photos(self, entry: LoggedSitting, number: int | None, *, enabled: bool) -> None:
        """``number``: of the sitting, in the plan."""
        photos = [each for each in self._studio.canvas_photos if not each.is_blank]
        names = self._names(photos)
        ids = [each.id for each in photos]
        self._held = BeforeAfter(entry.before, entry.after)
        for choice, held in ((self.before, entry.before), (self.after, entry.after)):
            gone = {held: "no longer on the ledge"} if held is not None and held not in ids else {}
            choice.offer({None: "none", **names, **gone})
            choice.show_value(held)
            choice.setEnabled(enabled)
        taken = [PhotoTaken(each.id, moment(each) if each.taken_at else None, each.sitting) for each in photos]
        found = photos_of(entry, taken, number=number, next_began=self._next_began(entry))
        self._suggested = BeforeAfter(entry.before or found.before, entry.after or found.after)
        offers = enabled and self._suggested != self._held
        self.suggestion.setVisible(offers)
        self.take.setVisible(offers)
        told = [names.get(each, "none") for each in (self._suggested.before, self._suggested.after)]
        self.suggestion.setText(f"Suggested: {told[0]} before, {told[1]} after.")
        self.nothing.setVisible(not photos)
        for part in self._fields:
            part.setVisible(bool(photos))

    def _names(self, photos: list[CanvasPhotoRecord]) -> dict[int | None, str]:
        today = self._studio.sittings.now().date()
        return {each.id: f"{each.name}, {day_words(moment(each).date(), today)}" for each in photos}

    def _next_began(self, entry: LoggedSitting) -> datetime | None:
        """When the timer of the next sitting that was painted was started, if it was."""
        first = entry.timer.first
        began = [each.timer.first for each in self._studio.sittings.log.entries if each.timer.first is not None]
        return min((each for each in began if first is not None and each > first), default=None)
