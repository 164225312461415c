"""A colour to draw the acetate in."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from app import look
from app.hangings import ACETATE


class Swatch(QAbstractButton):
    """A square of the colour, named for those who cannot tell it by sight; the chosen one is framed."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.name = name
        self.setCheckable(True)
        self.setAccessibleName(f"Acetate in {name}")
        self.setToolTip(name.capitalize())
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def sizeHint(self) -> QSize:
        side = look.target_px()
        return QSize(side, side)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        shades = look.shades()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        whole = self.rect().adjusted(2, 2, -2, -2)
        if self.isChecked():
            painter.setPen(QPen(shades.colour("ink"), 3))
            painter.drawRoundedRect(whole, 6, 6)
        inner = QRect(whole).adjusted(6, 6, -6, -6)
        painter.setPen(QPen(shades.colour("line"), 1))
        painter.setBrush(ACETATE[self.name])
        painter.drawRoundedRect(inner, 4, 4)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(shades.colour("ink"), 2, Qt.PenStyle.DotLine))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
