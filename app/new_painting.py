"""The page on which a painting begins: its photograph cropped to its canvas, its title and its folder."""

import re
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from app import look
from app.crop import Corners, Crop
from app.crop_view import CropView
from app.picture import Picture
from app.places import file_name, free
from app.size_fields import SizeFields
from core.errors import PainterError
from core.size import Size, stretchers
from core.words import as_share

_OWN = "Own size"
_FINE_PX_PER_MM, _COARSE_PX_PER_MM = 6.0, 2.5
_SIDE_PX = 380


@dataclass(frozen=True)
class NewPainting:
    """Everything a painting begins with."""

    photo: Path
    title: str
    size: Size
    crop: Corners
    folder: Path


class NewPaintingPage(QWidget):
    """Collects a ``NewPainting``; the window makes it."""

    made = Signal(object)  # NewPainting
    left = Signal()
    other_photo_wanted = Signal()
    folder_wanted = Signal()
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._photo: Path | None = None
        self._parent_folder = Path.home()
        self._folder_chosen = False
        self.crop_view = CropView()
        self.crop_view.cropped.connect(self._tell_crop)
        self.title = QLineEdit()
        self.title.setAccessibleName("Title")
        self.title.textChanged.connect(self._suggest_folder)
        self.stretcher = QComboBox()
        self.stretcher.setAccessibleName("Usual sizes")
        self.stretcher.addItem(_OWN)
        for name, size in stretchers().items():
            self.stretcher.addItem(name, size)
        self.stretcher.setMaxVisibleItems(14)
        self.stretcher.activated.connect(self._take_stretcher)
        self.canvas = SizeFields()
        self.canvas.changed.connect(self._size_changed)
        self.upright, self.lying = QPushButton("Upright"), QPushButton("Lying")
        self._way = QButtonGroup(self)
        for button in (self.upright, self.lying):
            button.setCheckable(True)
            self._way.addButton(button)
        self._way.buttonClicked.connect(self._turn)
        self.crop_says = _label("note")
        self.folder = QLineEdit()
        self.folder.setAccessibleName("Folder")
        self.folder.textEdited.connect(self._folder_typed)
        self.make = QPushButton("Make the painting")
        look.set_role(self.make, "primary")
        self.make.clicked.connect(self._make)
        self._lay_out()

    def begin(self, photo: Path, parent_folder: Path, unit: str = "cm") -> None:
        """Start over with a photo whose pixels are still being read."""
        self.canvas.set_unit(unit)
        self._photo, self._parent_folder, self._folder_chosen = photo, parent_folder, False
        self.crop_view.show_photo(None, None)
        self.title.setText(_title_from(photo))
        self._suggest_folder()
        self.crop_says.setText("Reading the photograph…")
        self.make.setEnabled(False)

    def show_photo(self, picture: Picture, width: int, height: int) -> None:
        """The photo has been read: ``picture`` may be a smaller copy of its ``width`` × ``height`` pixels."""
        size = self._size()
        if size is not None and (size.aspect > 1) != (width > height) and abs(width / height - 1) > 0.05:
            self.canvas.show_size(size.turned)
        self._show_way()
        crop = Crop.largest(width, height, self._aspect())
        self.crop_view.show_photo(picture, crop)
        self._tell_crop(crop)
        self.make.setEnabled(True)
        self.crop_view.setFocus()

    def choose_folder(self, parent: Path) -> None:
        """The painter chose where the painting's folder is to lie."""
        self._parent_folder, self._folder_chosen = parent, False
        self._suggest_folder()

    @property
    def parent_folder(self) -> Path:
        return self._parent_folder

    def _lay_out(self) -> None:
        form = QGridLayout()
        form.setVerticalSpacing(6)
        form.setColumnStretch(1, 1)
        way = QHBoxLayout()
        way.addWidget(self.upright)
        way.addWidget(self.lying)
        largest = QPushButton("As large as it goes")
        largest.clicked.connect(self._largest)
        other = QPushButton("Another photograph…")
        other.clicked.connect(self.other_photo_wanted)
        choose = QPushButton("Choose where…")
        choose.clicked.connect(self.folder_wanted)
        rows: tuple[tuple[str, QWidget | QHBoxLayout], ...] = (
            ("Title", self.title),
            ("Usual sizes", self.stretcher),
            ("Canvas", self.canvas),
            ("Stands", way),
        )
        for row, (words, part) in enumerate(rows):
            form.addWidget(_label("", words), row, 0)
            if isinstance(part, QWidget):
                form.addWidget(part, row, 1)
            else:
                form.addLayout(part, row, 1)
        column = QVBoxLayout()
        column.setSpacing(8)
        heading = _label("heading", "New painting")
        column.addWidget(heading)
        column.addLayout(form)
        column.addWidget(_label("subheading", "Crop"))
        column.addWidget(
            _label("note", "The frame keeps the canvas’s shape. Drag it to move it; drag a corner to size it.")
        )
        column.addWidget(self.crop_says)
        column.addWidget(largest)
        column.addWidget(other)
        column.addWidget(_label("subheading", "Folder"))
        column.addWidget(self.folder)
        column.addWidget(
            _label("note", "Made for this painting alone. The photograph is copied into it, byte for byte.")
        )
        column.addWidget(choose, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        self._place(column)

    def _place(self, column: QVBoxLayout) -> None:
        inside = QWidget()
        column.setContentsMargins(16, 12, 16, 12)
        inside.setLayout(column)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        back = QPushButton("Back")
        back.clicked.connect(self.left)
        ends = QHBoxLayout()
        ends.setContentsMargins(16, 8, 16, 12)
        ends.addWidget(back)
        ends.addWidget(self.make, 1)
        side = QWidget()
        side.setFixedWidth(round(_SIDE_PX * look.scale()))
        side_column = QVBoxLayout(side)
        side_column.setContentsMargins(0, 0, 0, 0)
        side_column.addWidget(scroll, 1)
        side_column.addLayout(ends)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.crop_view, 1)
        whole.addWidget(side)

    def _size(self) -> Size | None:
        try:
            return self.canvas.size_mm()
        except PainterError:
            return None

    def _aspect(self) -> float:
        size = self._size()
        return size.aspect if size is not None else 4 / 3

    def _take_stretcher(self, index: int) -> None:
        size = self.stretcher.itemData(index)
        if isinstance(size, Size):
            if self.stretcher.currentText().endswith("in"):
                self.canvas.set_unit("in")
            else:
                self.canvas.set_unit("cm")
            self.canvas.show_size(size if self.upright.isChecked() else size.turned)
            self._size_changed()

    def _size_changed(self) -> None:
        self._show_way()
        crop = self.crop_view.crop
        if crop is not None and self._size() is not None:
            self.crop_view.set_crop(crop.with_aspect(self._aspect()))
        self._name_stretcher()

    def _name_stretcher(self) -> None:
        size = self._size()
        with QSignalBlocker(self.stretcher):
            for index in range(1, self.stretcher.count()):
                usual = self.stretcher.itemData(index)
                if size is not None and _same(size, usual):
                    self.stretcher.setCurrentIndex(index)
                    return
            self.stretcher.setCurrentIndex(0)

    def _show_way(self) -> None:
        lying = self._aspect() > 1
        (self.lying if lying else self.upright).setChecked(True)
        self._name_stretcher()

    def _turn(self) -> None:
        size = self._size()
        if size is not None and (size.aspect > 1) != self.lying.isChecked():
            self.canvas.show_size(size.turned)
            self._size_changed()

    def _largest(self) -> None:
        crop = self.crop_view.crop
        if crop is not None:
            self.crop_view.set_crop(Crop.largest(crop.photo_width, crop.photo_height, self._aspect()))

    def _tell_crop(self, crop: Crop) -> None:
        size = self._size()
        if size is None:
            self.crop_says.setText("Give the canvas’s size first.")
            return
        fine = crop.px_per_mm(size.width_mm)
        if fine >= _FINE_PX_PER_MM:
            verdict = "fine enough for every detail"
        elif fine >= _COARSE_PX_PER_MM:
            verdict = "enough to draw and compare from"
        else:
            verdict = "coarse: small forms will be soft"
        share = crop.width * crop.height / (crop.photo_width * crop.photo_height)
        self.crop_says.setText(
            f"{as_share(share)} of the photograph: {fine:.1f} pixels to each mm of canvas, {verdict}."
        )

    def _suggest_folder(self) -> None:
        if not self._folder_chosen:
            self.folder.setText(str(free(self._parent_folder / file_name(self.title.text()))))

    def _folder_typed(self) -> None:
        self._folder_chosen = True

    def _make(self) -> None:
        crop = self.crop_view.crop
        title, folder = self.title.text().strip(), self.folder.text().strip()
        if crop is None or self._photo is None:
            return
        try:
            size = self.canvas.size_mm()
        except PainterError as trouble:
            self.refused.emit(str(trouble))
            self.canvas.setFocus()
            return
        if not title or not folder:
            missing = self.folder if title else self.title
            self.refused.emit("Give the painting a title." if not title else "Say in which folder it is to be kept.")
            missing.setFocus()
            return
        self.made.emit(NewPainting(self._photo, title, size, crop.corners, Path(folder).expanduser()))


def _label(role: str, text: str = "") -> QLabel:
    label = QLabel(text)
    label.setWordWrap(bool(role))
    if role:
        look.set_role(label, role)
    return label


def _same(one: Size, other: Size) -> bool:
    sides = sorted((one.width_mm, one.height_mm)), sorted((other.width_mm, other.height_mm))
    return all(abs(a - b) < 0.05 for a, b in zip(*sides, strict=True))


def _title_from(photo: Path) -> str:
    words = re.sub(r"[_\-]+", " ", photo.stem).strip()
    return words[:1].upper() + words[1:] if words else "Painting"
