"""A QR code, dark on light, in whole pixels."""

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look

LEAST_PX = 240
_DARK, _LIGHT = QColor(0, 0, 0), QColor(255, 255, 255)


class CodeView(QWidget):
    """As large as whole pixels to a module allow; empty while there is no code."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._modules: NDArray[np.bool_] | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Code for the phone’s camera")

    def show_modules(self, modules: NDArray[np.bool_] | None) -> None:
        """``modules`` ``(N, N)``, True where dark, with the quiet zone."""
        self._modules = modules
        self.update()

    def sizeHint(self) -> QSize:
        side = round(look.px(420))
        return QSize(side, side)

    def minimumSizeHint(self) -> QSize:
        return QSize(LEAST_PX, LEAST_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._modules is None:
            return
        painter, count = QPainter(self), len(self._modules)
        # A dense screen has several of its pixels to one of the window's.
        dense = self.devicePixelRatioF()
        module = max(1, int(min(self.width(), self.height()) * dense) // count) / dense
        left, top = (self.width() - module * count) / 2, (self.height() - module * count) / 2
        left, top = round(left * dense) / dense, round(top * dense) / dense
        painter.translate(left, top)
        painter.scale(module, module)
        painter.fillRect(QRect(0, 0, count, count), _LIGHT)
        for row, column in np.argwhere(self._modules).tolist():
            painter.fillRect(QRect(column, row, 1, 1), _DARK)
