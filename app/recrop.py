"""The page on which the reference of a painting is cropped anew."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app import look
from app.crop import Crop
from app.crop_view import CropView
from app.picture import Picture
from app.prints import Source
from app.questions.parts import button, text


class CropPage(QWidget):
    """Shows the whole reference with the frame; ``accepted`` gives its corners."""

    accepted = Signal(object)  # Corners
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view = CropView()
        self.accept = QPushButton("Use this crop")
        look.set_role(self.accept, "primary")
        self.accept.clicked.connect(self._accept)
        foot = QHBoxLayout()
        foot.addWidget(button("Back", self.left.emit))
        foot.addWidget(button("As large as it goes", self._largest))
        foot.addStretch(1)
        foot.addWidget(self.accept)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        column.addWidget(
            text(
                "The frame keeps the canvas’s shape. Drag it to move it; drag a corner to size it. "
                "A check made with the crop as it was has to be made again."
            )
        )
        column.addWidget(self.view, 1)
        column.addLayout(foot)

    def show_photo(self, picture: Picture, width: int, height: int, source: Source) -> None:
        """``picture`` may be a smaller copy of the photo's ``width`` × ``height`` pixels."""
        aspect = source.size.aspect
        crop = Crop.largest(width, height, aspect)
        if source.corners is not None:
            crop = Crop.framing(source.corners, width, height, aspect)
        self.view.show_photo(picture, crop)
        self.view.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._accept()
        else:
            super().keyPressEvent(event)

    def _accept(self) -> None:
        if self.view.crop is not None:
            self.accepted.emit(self.view.crop.corners)

    def _largest(self) -> None:
        crop = self.view.crop
        if crop is not None:
            self.view.set_crop(Crop.largest(crop.photo_width, crop.photo_height, crop.aspect))
