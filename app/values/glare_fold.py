"""Glare on the canvas photo: the other photos, taken with the lamp moved, by which a check takes it out."""

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QAction, QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QCheckBox, QLabel, QSizePolicy, QStyle, QStyleOptionButton, QVBoxLayout

from app.actions import KeyButton
from app.checking import NEEDS_CANVAS
from app.questions.fold import Fold
from app.questions.parts import flow, text
from app.studio import Studio
from core.errors import PainterError
from core.painting import CanvasPhotoRecord

_GLARE = "Glare:"  # so the sentences of a check about it begin
_HOW = (
    "Photograph the canvas twice or more from one spot, the lamp moved in between: the glare then lies elsewhere in "
    "each photo, and a check takes it out. The values are read in the light of the photo that hangs."
)
_NO_OTHER = (
    "There is no other photo to take the glare out by. Photograph the canvas again from the same spot with the lamp "
    "moved, bring the photo in, and place its corners."
)
_BLANK = "A photo of the blank canvas hangs. Hang one of the painting to take its glare out."


class GlareFold(Fold):
    """Follows the ledge, the choice that is kept with the painting, and the studio's findings."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Glare", is_open=False)
        self._studio = studio
        self._shown: tuple[tuple[int, str], ...] = ()
        self.boxes: list[QCheckBox] = []
        self.says, self.asks, self.more = text(), text(), text(role="note")
        self._list = QVBoxLayout()
        self._list.setSpacing(2)
        self.add = flow(KeyButton.of(actions["add_photos"], "Bring in photos…"))
        self.column.addWidget(self.says)
        self.column.addWidget(text(_HOW, role="note"))
        self.column.addWidget(self.asks)
        self.column.addLayout(self._list)
        self.column.addWidget(self.more)
        self.column.addWidget(self.add)
        self.heading.toggled.connect(self.refresh)
        for changed in (studio.ledge_changed, studio.findings_changed, studio.history_changed):
            changed.connect(self.refresh)

    def refresh(self) -> None:
        if not self.is_open:
            return
        photo = self._studio.canvas_photo
        others = () if photo is None or photo.is_blank else self._others(photo)
        self._list_photos(photo, others)
        chosen = {each.id for each in self._studio.painting.lamp_moved(photo.id)} if photo is not None else set()
        for box, other in zip(self.boxes, others, strict=True):
            with QSignalBlocker(box):
                box.setChecked(other.id in chosen)
            box.setEnabled(not self._studio.painting.read_only)
        self._say(photo, others, len(chosen))

    def _others(self, photo: CanvasPhotoRecord) -> tuple[CanvasPhotoRecord, ...]:
        """Those that can be chosen, the same sitting's first."""
        found = self._studio.painting.lamp_could_be_moved(photo.id)
        return tuple(sorted(found, key=lambda other: other.sitting != photo.sitting))

    def _say(self, photo: CanvasPhotoRecord | None, others: tuple[CanvasPhotoRecord, ...], chosen: int) -> None:
        checked = self._studio.checked
        told = () if checked is None or not checked.findings.is_current else checked.findings.certainty
        came = [line for line in told if line.startswith(_GLARE)]
        if not came and chosen:
            came = [f"The next check takes the glare out by {_photos(chosen)}."]
        self._show(self.says, "\n\n".join(came))
        if photo is None or photo.is_blank:
            asks = NEEDS_CANVAS if photo is None else _BLANK
        else:
            asks = f"Taken with the lamp moved, the painting just as in “{photo.name}”:" if others else _NO_OTHER
        self._show(self.asks, asks)
        bare = 0
        if photo is not None and not photo.is_blank:
            ledge = self._studio.canvas_photos
            bare = sum(each.corners is None and not each.is_blank and each.id != photo.id for each in ledge)
        waits = f"{_photos(bare)} on the ledge cannot be chosen before the corners are placed." if bare else ""
        self._show(self.more, waits)
        self.add.setVisible(not others and (photo is None or not photo.is_blank))

    def _show(self, label: QLabel, words: str) -> None:
        label.setText(words)
        label.setVisible(bool(words))

    def _list_photos(self, photo: CanvasPhotoRecord | None, others: tuple[CanvasPhotoRecord, ...]) -> None:
        shown = tuple((each.id, _words(each, photo)) for each in others)
        if shown == self._shown:
            return
        self._shown = shown
        for old in self.boxes:
            self._list.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.boxes = [_PhotoBox(words) for _, words in shown]
        for box in self.boxes:
            box.toggled.connect(self._choose)
            self._list.addWidget(box)

    def _choose(self) -> None:
        photo = self._studio.canvas_photo
        if photo is None:
            return
        chosen = [number for (number, _), box in zip(self._shown, self.boxes, strict=True) if box.isChecked()]
        try:
            self._studio.painting.set_lamp_moved(photo.id, chosen)
        except PainterError as trouble:
            self._studio.said.emit(str(trouble))
            self.refresh()


class _PhotoBox(QCheckBox):
    """A photo by its name, shortened in its middle where there is no room for it."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self._words = words
        self.setAccessibleName(words)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        option = QStyleOptionButton()
        self.initStyleOption(option)
        room = self.style().subElementRect(QStyle.SubElement.SE_CheckBoxContents, option, self).width()
        shown = QFontMetrics(self.font()).elidedText(self._words, Qt.TextElideMode.ElideMiddle, room)
        self.setText(shown.replace("&", "&&"))
        self.setToolTip(self._words if shown != self._words else "")


def _words(photo: CanvasPhotoRecord, hung: CanvasPhotoRecord | None) -> str:
    sitting = f"sitting {photo.sitting}"
    same = hung is not None and photo.sitting == hung.sitting
    return photo.name if same or photo.name.lower() == sitting else f"{photo.name} · {sitting}"


def _photos(count: int) -> str:
    return "1 photo" if count == 1 else f"{count} photos"
