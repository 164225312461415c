"""What legends in a panel are made of: rows under one another, as high as their type."""

from typing import Any

from PySide6.QtCore import QSize
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look


class LegendColumn(QWidget):
    """``rows`` from the top down; each kind of legend paints its own."""

    font_role = "note"
    between_px = 6.0

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: tuple[Any, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_rows(self, rows: tuple[Any, ...]) -> None:
        if rows != self.rows:
            self.rows = rows
            self.setAccessibleName(self.in_words())
            self.updateGeometry()
            self.update()

    def in_words(self) -> str:
        """The rows for those who hear the window."""
        return ""

    def sizeHint(self) -> QSize:
        return QSize(260, round(self.row_px() * len(self.rows)))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.sizeHint().height())

    def row_px(self) -> float:
        return QFontMetricsF(look.font(self.font_role)).height() + self.between_px
