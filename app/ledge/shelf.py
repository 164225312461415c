"""What lies in the ledge's place for a while: a row of things, and the way back beside it."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from app.questions.parts import button, text

SIDE_PX, GAP_PX = 300, 8


class Shelf(QFrame):
    """``left``: back to the ledge. ``said``: what stands in the way."""

    left = Signal()
    said = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.says = text(role="note")
        self.back = button("Back to the ledge", self.left.emit)
        self._side = QWidget(self)
        column = QVBoxLayout(self._side)
        column.setContentsMargins(0, 0, GAP_PX, 0)
        column.addWidget(self.back)
        column.addWidget(self.says)
        column.addStretch(1)
        inside = QWidget()
        self._row = QHBoxLayout(inside)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.addStretch(1)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setWidget(inside)
        self._whole = QHBoxLayout(self)
        self._whole.setContentsMargins(0, 0, 0, 0)
        self._whole.addWidget(self._side)
        self._whole.addWidget(self._scroll, 1)

    def _lay(self, old: Sequence[QWidget], new: Sequence[QWidget]) -> None:
        """New things in the row, in place of the old."""
        for each in old:
            self._row.removeWidget(each)
            each.hide()
            each.deleteLater()
        for place, each in enumerate(new):
            self._row.insertWidget(place, each, 0, Qt.AlignmentFlag.AlignTop)
