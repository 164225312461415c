"""The strip under a hanging that says what its colours mean."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter

from app import look

_SWATCH_PX = 12.0
_GAP_PX = 8.0
_WIDEST_STOP_PX = 72.0


@dataclass(frozen=True, eq=False)
class Legend:
    """Colours with their labels, from left to right; the colours are the caller's."""

    stops: tuple[tuple[QColor, str], ...]
    title: str = ""

    @property
    def spoken(self) -> str:
        """For those who hear the window."""
        return f"{self.title}: " + ", ".join(label for _, label in self.stops if label)

    def paint(self, painter: QPainter, rect: QRectF) -> None:
        """Fill ``rect`` from the right: swatches in a row, labels beneath, the title before them if there is room."""
        if not self.stops:
            return
        font = look.font("note")
        measured = QFontMetricsF(font)
        title_width = measured.horizontalAdvance(self.title) + _GAP_PX if self.title else 0.0
        width = min(_WIDEST_STOP_PX, rect.width() / len(self.stops))
        if rect.width() - title_width >= len(self.stops) * self._least(measured):
            width = min(width, (rect.width() - title_width) / len(self.stops))
        else:
            title_width = 0.0
        left = rect.right() - width * len(self.stops)
        top = rect.center().y() - (_SWATCH_PX + measured.height()) / 2
        painter.setFont(font)
        painter.setPen(look.shades().colour("ink"))
        if title_width:
            place = QRectF(left - title_width, rect.top(), title_width - _GAP_PX, rect.height())
            painter.drawText(place, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, self.title)
        for index, (colour, _) in enumerate(self.stops):
            painter.fillRect(QRectF(left + index * width, top, width, _SWATCH_PX), colour)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(QRectF(left, top, width * len(self.stops), _SWATCH_PX).adjusted(0, 0, -0.5, 0))
        for place, label in self.labels_at(left, top + _SWATCH_PX, width, measured):
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter, label)

    def _least(self, measured: QFontMetricsF) -> float:
        return max(measured.horizontalAdvance(label) for _, label in self.stops) + 4.0

    def labels_at(
        self, left: float, top: float, stop_width: float, measured: QFontMetricsF
    ) -> list[tuple[QRectF, str]]:
        """Each label under the middle of its swatch; those that would touch the one before are left out."""
        free_from = left - stop_width
        found = []
        for index, (_, label) in enumerate(self.stops):
            half = measured.horizontalAdvance(label) / 2
            middle = left + (index + 0.5) * stop_width
            if label and middle - half >= free_from:
                found.append((QRectF(middle - half - 1, top, 2 * half + 2, measured.height()), label))
                free_from = middle + half + 4.0
        return found
