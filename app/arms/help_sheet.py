"""The words at the foot of the pictures: every doing with its keys as they are now, and what fingers do."""

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.arms.fingers import GESTURES
from app.arms.keys import DOINGS, Keys
from app.arms.surround import SURROUNDS, USUAL
from app.arms.type import font, height_of

_POINTS = (16.0, 14.0, 12.0)
_MARGIN_PX = 20.0
_GUTTER_PX = 28.0
_KEY_GAP_PX = 12.0

Column = list[tuple[str, str]]


class HelpSheet(QWidget):
    """Lies over the foot of a room; as large as its words are."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.shades = SURROUNDS[USUAL]
        self.lines: Column = []
        self._points, self._columns = _POINTS[-1], list[Column]()
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def show_keys(self, keys: Keys) -> None:
        self.lines = [("  ".join(keys.shown(each.name, most=3)), each.say) for each in DOINGS]
        self.setAccessibleName("Keys")
        self.setAccessibleDescription("; ".join(f"{key}: {say}" for key, say in self.lines) + ". " + GESTURES)
        self.update()

    def lie_in(self, room: QRect) -> None:
        inner = room.width() - 2 * _MARGIN_PX
        high = 0.0
        for self._points in _POINTS:
            self._columns = self._fitting(inner)
            high = self._high(inner)
            if high <= room.height():
                break
        self.setGeometry(QRect(room.left(), room.bottom() + 1 - round(high), room.width(), round(high)))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.shades.colour("panel"))
        plain, strong = font(self._points, self.screen()), font(self._points, self.screen(), strong=True)
        line, left = QFontMetricsF(plain).height(), _MARGIN_PX
        spare = self.width() - 2 * _MARGIN_PX - sum(sum(self._widths(each)) for each in self._columns)
        step = _GUTTER_PX if len(self._columns) < 2 else spare / (len(self._columns) - 1)
        for column in self._columns:
            keys, says = self._widths(column)
            for row, (key, say) in enumerate(column):
                top = _MARGIN_PX / 2 + row * line
                for text, made, part, at, wide in (
                    (key, strong, "ink", left, keys),
                    (say, plain, "ink", left + keys, says),
                ):
                    painter.setFont(made)
                    painter.setPen(self.shades.colour(part))
                    painter.drawText(QRectF(at, top, wide + 2, line), Qt.AlignmentFlag.AlignLeft, text)
            left += keys + says + step
        top = _MARGIN_PX / 2 + max(map(len, self._columns), default=0) * line + 6
        painter.setFont(plain)
        painter.setPen(self.shades.colour("quiet"))
        room = QRectF(_MARGIN_PX, top, self.width() - 2 * _MARGIN_PX, self.height() - top)
        painter.drawText(room, Qt.TextFlag.TextWordWrap, GESTURES)

    def _fitting(self, inner: float) -> list[Column]:
        """The lines in as many columns as fit side by side."""
        for rows in range(1, len(self.lines) + 1):
            columns = [self.lines[first : first + rows] for first in range(0, len(self.lines), rows)]
            wanted = sum(sum(self._widths(each)) for each in columns) + _GUTTER_PX * (len(columns) - 1)
            if wanted <= inner:
                return columns
        return [self.lines]

    def _widths(self, column: Column) -> tuple[float, float]:
        plain = QFontMetricsF(font(self._points, self.screen()))
        strong = QFontMetricsF(font(self._points, self.screen(), strong=True))
        keys = max(strong.horizontalAdvance(key) for key, _ in column) + _KEY_GAP_PX
        return keys, max(plain.horizontalAdvance(say) for _, say in column)

    def _high(self, inner: float) -> float:
        made = font(self._points, self.screen())
        rows = max(map(len, self._columns), default=0)
        return rows * QFontMetricsF(made).height() + height_of(GESTURES, made, inner) + _MARGIN_PX + 6
