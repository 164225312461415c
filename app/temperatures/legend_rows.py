"""What the colours of a warmth picture mean, one under the other: each colour with its words."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent

from app import look
from app.questions.legend_column import LegendColumn

_SWATCH_PX, _GAP_PX = 34.0, 10.0
Row = tuple[str, tuple[int, int, int]]


class LegendRows(LegendColumn):
    """``rows`` are :data:`Row`: words and sRGB colours."""

    def in_words(self) -> str:
        return "Colours: " + ", ".join(words for words, _ in self.rows)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(look.font("note"))
        high, wide = self.row_px(), look.px(_SWATCH_PX)
        for number, (words, colour) in enumerate(self.rows):
            top = number * high
            painter.fillRect(QRectF(0, top + 1, wide, high - 2), QColor(*colour))
            painter.setPen(look.shades().colour("line"))
            painter.drawRect(QRectF(0.5, top + 1.5, wide - 1, high - 3))
            painter.setPen(look.shades().colour("ink"))
            left = wide + look.px(_GAP_PX)
            room = QRectF(left, top, self.width() - left, high)
            painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, words)
