"""What the colours of a warmth picture mean, one under the other: each colour with its words."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look

_SWATCH_PX, _GAP_PX = 34.0, 10.0
Row = tuple[str, tuple[int, int, int]]


class LegendRows(QWidget):
    """``show_rows`` takes words and sRGB colours, from the top down."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: tuple[Row, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_rows(self, rows: "tuple[Row, ...]") -> None:
        if rows != self.rows:
            self.rows = rows
            self.setAccessibleName("Colours: " + ", ".join(words for words, _ in rows))
            self.updateGeometry()
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(260, round(self._high() * len(self.rows)))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(look.font("note"))
        high, wide = self._high(), look.px(_SWATCH_PX)
        for number, (words, colour) in enumerate(self.rows):
            top = number * high
            painter.fillRect(QRectF(0, top + 1, wide, high - 2), QColor(*colour))
            painter.setPen(look.shades().colour("line"))
            painter.drawRect(QRectF(0.5, top + 1.5, wide - 1, high - 3))
            painter.setPen(look.shades().colour("ink"))
            left = wide + look.px(_GAP_PX)
            room = QRectF(left, top, self.width() - left, high)
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, words)

    def _high(self) -> float:
        return QFontMetricsF(look.font("note")).height() + 6.0
