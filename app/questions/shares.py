"""How much of a picture each value step takes up, as a row of greys."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import look
from core.words import as_share


class ShareStrip(QWidget):
    """Darkest on the left; each grey as wide as its share, its number of per cent on it where there is room."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = name
        self._shares: tuple[float, ...] = ()
        self._greys: tuple[int, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(f"Shares of the value steps, {name}")

    def show_shares(self, shares: tuple[float, ...], greys: tuple[int, ...] = ()) -> None:
        """``greys``: the sRGB code each step is shown in; that of equal steps when not given."""
        self._shares, self._greys = shares, greys
        self.setAccessibleDescription(
            ", ".join(f"step {n}: {as_share(share)}" for n, share in enumerate(shares, start=1)) or "not known yet"
        )
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(240, round(58 * look.scale()))

    def minimumSizeHint(self) -> QSize:
        return QSize(160, round(58 * look.scale()))

    def paintEvent(self, event: QPaintEvent) -> None:
        shades = look.shades()
        painter = QPainter(self)
        font = look.font("note")
        measured = QFontMetricsF(font)
        painter.setFont(font)
        painter.setPen(shades.colour("ink"))
        top = measured.height() + 2
        says = self._name if self._shares else "Being found…"
        painter.drawText(QRectF(0, 0, self.width(), top), Qt.AlignmentFlag.AlignLeft, says)
        bar = QRectF(0, top, self.width(), self.height() - top).adjusted(0.5, 0.5, -0.5, -0.5)
        left = bar.left()
        for number, share in enumerate(self._shares):
            code = self._greys[number] if len(self._greys) == len(self._shares) else None
            grey = look.neutral((number + 0.5) * 10 / len(self._shares)) if code is None else QColor(code, code, code)
            part = QRectF(left, bar.top(), share * bar.width(), bar.height())
            painter.fillRect(part, grey)
            label = f"{share * 100:.0f}"
            if measured.horizontalAdvance(label) + 6 <= part.width():
                dark = look.contrast(grey, look.INK) >= look.contrast(grey, look.PAPER)
                painter.setPen(look.INK if dark else look.PAPER)
                painter.drawText(part, Qt.AlignmentFlag.AlignCenter, label)
            left += part.width()
        painter.setPen(shades.colour("line"))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(bar)
