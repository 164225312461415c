"""The bin in the ledge's place: what was thrown away, and the way back onto the ledge."""

from collections.abc import Callable
from datetime import date
from functools import partial

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app import look
from app.ledge.shelf import SIDE_PX, Shelf
from app.ledge.sittings import day_words, size_words
from app.ledge.thumbs import Thumbs
from app.questions.parts import button, text
from app.studio import Studio
from core.errors import PainterError
from core.painting import CanvasPhotoRecord
from core.store.bin import BinnedPhoto
from core.store.ledge import moment

_PICTURE = QSize(108, 72)
_NAME_PX = 190


class BinView(Shelf):
    """``put_back``: the photo is on the ledge again."""

    put_back = Signal(int)

    def __init__(self, studio: Studio, thumbs: Thumbs, parent: QWidget | None = None) -> None:
        super().__init__("The bin", parent)
        self._studio, self._thumbs = studio, thumbs
        self.items: tuple[_Item, ...] = ()
        self.says.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        thumbs.ready.connect(self._show_thumb)

    def refresh(self) -> None:
        """Show what lies in the bin now."""
        self._side.setFixedWidth(round(look.px(SIDE_PX)))
        try:
            contents = self._studio.painting.bin_contents()
        except PainterError as trouble:
            self.said.emit(str(trouble))
            contents = ()
        known = {photo.id: photo for photo in self._studio.painting.canvas_photos(with_removed=True)}
        old, self.items = self.items, tuple(self._item(each, known) for each in contents)
        self._lay(old, self.items)
        folder = self._studio.painting.bin_folder
        what = "These photos lie in" if contents else "Nothing is in the bin. What you delete goes into"
        self.says.setText(f"{what} “{folder.parent.name}/{folder.name}”. Only you erase it, in the file manager.")
        self.says.setToolTip(str(folder))

    def _item(self, binned: BinnedPhoto, known: dict[int, CanvasPhotoRecord]) -> "_Item":
        photo = None if binned.canvas_photo is None else known.get(binned.canvas_photo)
        day = binned.binned_at.astimezone().date() if binned.binned_at is not None else None
        told = size_words(binned.bytes)
        if day is not None:
            told += f", deleted {day_words(day, date.today())}"
        if photo is not None:
            told = f"{day_words(moment(photo).date(), date.today())}, sitting {photo.sitting}\n{told}"
        item = _Item(binned.name, told, partial(self._put_back, binned), self)
        item.restores.setEnabled(not self._studio.painting.read_only)
        if photo is not None:
            item.sha256 = photo.photo.sha256
            item.show_image(self._thumbs.image(photo.photo.sha256, binned.file))
        return item

    def _put_back(self, binned: BinnedPhoto) -> None:
        try:
            photo = self._studio.painting.put_back(binned)
        except PainterError as trouble:
            self.said.emit(str(trouble))
        else:
            self.refresh()
            self.put_back.emit(photo.id)

    def _show_thumb(self, sha256: str) -> None:
        for item in self.items:
            if item.sha256 == sha256:
                item.show_image(self._thumbs.held(sha256))


class _Item(QFrame):
    """One photo in the bin: its small picture, what is told of it, and the button that puts it back."""

    def __init__(self, name: str, told: str, put_back: Callable[[], object], parent: QWidget) -> None:
        super().__init__(parent)
        self.sha256 = ""
        self._picture = _Picture(self)
        self.name, self.told = QLabel(), text(told, "note")
        width = round(look.px(_NAME_PX))
        self.name.setText(self.name.fontMetrics().elidedText(name, Qt.TextElideMode.ElideMiddle, width))
        self.name.setToolTip(name)
        self.told.setFixedWidth(width)
        self.restores = button("Put back", put_back)
        self.restores.setAccessibleName(f"Put “{name}” back on the ledge")
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(self.name)
        words.addWidget(self.told)
        words.addStretch(1)
        line = QHBoxLayout(self)
        line.setContentsMargins(4, 4, 12, 4)
        line.addWidget(self._picture, 0, Qt.AlignmentFlag.AlignTop)
        line.addLayout(words)
        line.addWidget(self.restores, 0, Qt.AlignmentFlag.AlignTop)

    def show_image(self, image: QImage | None) -> None:
        self._picture.image = image
        self._picture.update()


class _Picture(QWidget):
    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.image: QImage | None = None
        self.setFixedSize(_PICTURE)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.rect(), look.SURROUND)
        if self.image is not None:
            shown = self.rect()
            shown.setSize(self.image.size().scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio))
            shown.moveCenter(self.rect().center())
            painter.drawImage(shown, self.image)
