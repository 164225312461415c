"""A part of a panel under a heading that folds it away."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from app import look

if TYPE_CHECKING:
    from app.studio import Studio


class _Heading(QAbstractButton):
    """A triangle that points down while the part is open, and the heading."""

    def __init__(self, words: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setText(words)
        self.setAccessibleName(words)
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        wide = QFontMetrics(look.font("subheading")).horizontalAdvance(self.text()) + round(look.px(34))
        return QSize(wide, look.target_px())

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        shades = look.shades()
        ink = shades.colour("ink")
        if self.underMouse() or self.isDown():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(shades.colour("raised"))
            painter.drawRoundedRect(self.rect(), 5, 5)
        painter.setPen(QPen(shades.colour("line"), 1))
        painter.drawLine(0, 0, self.width(), 0)
        half, middle = look.px(5.0), QPointF(look.px(12.0), self.height() / 2)
        corners = ((-half, -half / 2), (half, -half / 2), (0.0, half)) if self.isChecked() else (
            (-half / 2, -half), (-half / 2, half), (half, 0.0)
        )  # fmt: skip
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(ink)
        painter.drawPolygon(QPolygonF([middle + QPointF(x, y) for x, y in corners]))
        painter.setPen(ink)
        painter.setFont(look.font("subheading"))
        room = self.rect().adjusted(round(look.px(26)), 0, 0, 0)
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, self.text())
        if self.hasFocus():
            painter.setPen(QPen(ink, 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(self.rect().adjusted(2, 2, -2, -2), 5, 5)


class Fold(QWidget):
    """``column`` takes what is shown while it is open; ``opened`` says that the painter has opened it."""

    opened = Signal()

    def __init__(self, heading: str, *, is_open: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.heading = _Heading(heading, self)
        self._inside = QWidget(self)
        self.column = QVBoxLayout(self._inside)
        self.column.setContentsMargins(0, 0, 0, 8)
        self.column.setSpacing(8)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(2)
        whole.addWidget(self.heading)
        whole.addWidget(self._inside)
        self.heading.toggled.connect(self._inside.setVisible)
        self.heading.setChecked(is_open)
        self._inside.setVisible(is_open)
        self.heading.clicked.connect(lambda on: self.opened.emit() if on else None)

    @property
    def is_open(self) -> bool:
        return self.heading.isChecked()

    def open(self, on: bool = True) -> None:
        self.heading.setChecked(on)


class SeenFold(Fold):
    """A fold that follows the studio, and brings itself up to date only while it is seen."""

    def __init__(self, studio: "Studio", heading: str, *, is_open: bool = True) -> None:
        super().__init__(heading, is_open=is_open)
        self.studio = studio
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        if self.isVisible() and self.is_open:
            self.show_now()

    def show_now(self) -> None:
        """Bring what is seen up to date; only called while it is."""
