"""One landmark of the table: its place and its distance, in the drawing and on the painting, in large figures."""

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from app import look
from core.drawing.landmark_table import Row, figure

HEADS = ("drawn", "painted", "off")
_FIGURE = "subheading"
_SHARES = (0.23, 0.27, 0.27, 0.23)  # of the width: the label, drawn, painted, off
_PAD_PX = 6


class LandmarkRow(QAbstractButton):
    """Pressing it shows the landmark on the wall."""

    def __init__(self, row: Row, unit: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.row, self.unit = row, unit
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setText(row.name)
        self.to = f"distance to {row.other}" if row.other else ""
        named = f"{row.name}, {self.to}" if self.to else row.name
        self.setAccessibleName(f"{named}: {'; '.join(_spoken(line) for line in self.lines)}")
        self.setToolTip(named)

    @property
    def lines(self) -> tuple[tuple[str, str, str, str], ...]:
        """What each line says: its label, and the figures of the drawing, of the painting and their difference."""
        row = self.row
        painted, off = row.painted or (None, None), row.off or (None, None)
        figures = [("from left", row.place[0], painted[0], off[0]), ("from top", row.place[1], painted[1], off[1])]
        if row.other:
            figures.append(("distance", row.distance_mm or 0.0, row.painted_distance_mm, row.distance_off_mm))
        unit = self.unit
        return tuple(
            (label, figure(one, unit), figure(other, unit), figure(apart, unit, signed=True))
            for label, one, other, apart in figures
        )

    def sizeHint(self) -> QSize:
        return QSize(260, _head_height() + len(self.lines) * _line_height() + 2 * _PAD_PX)

    def minimumSizeHint(self) -> QSize:
        return QSize(200, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        shades = look.shades()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink, quiet = shades.colour("ink"), shades.colour("quiet")
        if self.isDown() or self.underMouse():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(shades.colour("raised"))
            painter.drawRoundedRect(self.rect(), 5, 5)
        painter.setPen(QPen(shades.colour("line"), 1))
        painter.drawLine(4, self.height() - 1, self.width() - 4, self.height() - 1)
        painter.setPen(ink)
        name = QRect(_PAD_PX, _PAD_PX, self.width() - 2 * _PAD_PX, _head_height())
        _write(painter, name, self.row.name, "strong", Qt.AlignmentFlag.AlignLeft)
        if self.to:
            name.setLeft(name.left() + QFontMetrics(look.font("strong")).horizontalAdvance(self.row.name) + 3 * _PAD_PX)
            painter.setPen(quiet)
            _write(painter, name, self.to, "note", Qt.AlignmentFlag.AlignRight)
        for number, (label, *figures) in enumerate(self.lines):
            top = _PAD_PX + _head_height() + number * _line_height()
            painter.setPen(quiet)
            _write(painter, self._cell(0, top), label, "note", Qt.AlignmentFlag.AlignLeft)
            painter.setPen(ink)
            for column, text in enumerate(figures, start=1):
                _write(painter, self._cell(column, top), text, _FIGURE, Qt.AlignmentFlag.AlignRight)
        if self.hasFocus():
            painter.setPen(QPen(ink, 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(self.rect().adjusted(2, 2, -2, -2), 5, 5)

    def _cell(self, column: int, top: int) -> QRect:
        return _cell(self.width(), column, top, _line_height())


class LandmarkRows(QWidget):
    """The rows under one another, with the heads of the columns over them."""

    chosen = Signal(int)  # index

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heads = _Heads(self)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        self._column.addWidget(self._heads)
        self._rows: list[LandmarkRow] = []
        self._shown: tuple[tuple[Row, ...], str] = ((), "")

    @property
    def rows(self) -> tuple[LandmarkRow, ...]:
        return tuple(self._rows)

    def show_rows(self, rows: tuple[Row, ...], unit: str) -> None:
        if (rows, unit) == self._shown:
            return
        self._shown = (rows, unit)
        for old in self._rows:
            self._column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._rows = [LandmarkRow(row, unit) for row in rows]
        for index, row in enumerate(self._rows):
            row.clicked.connect(lambda _=False, index=index: self.chosen.emit(index))
            self._column.addWidget(row)
        self._heads.show_unit(unit)


class _Heads(QWidget):
    """``drawn``, ``painted`` and ``off`` over their figures, and the unit they are all in."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._unit = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_unit(self, unit: str) -> None:
        self._unit = unit
        self.setAccessibleName(f"In {unit}: {', '.join(HEADS)}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(200, _head_height() + 4)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(look.shades().colour("ink"))
        for column, words in enumerate((f"in {self._unit}", *HEADS)):
            side = Qt.AlignmentFlag.AlignRight if column else Qt.AlignmentFlag.AlignLeft
            _write(painter, _cell(self.width(), column, 0, _head_height()), words, "note", side)


def _cell(width: int, column: int, top: int, height: int) -> QRect:
    """Of the label (0) or a figure (1 to 3)."""
    room = width - 2 * _PAD_PX
    return QRect(_PAD_PX + round(room * sum(_SHARES[:column])), top, round(room * _SHARES[column]), height)


def _write(painter: QPainter, room: QRect, words: str, role: str, side: Qt.AlignmentFlag) -> None:
    font = look.font(role)
    painter.setFont(font)
    text = QFontMetrics(font).elidedText(words, Qt.TextElideMode.ElideRight, room.width())
    painter.drawText(room, side | Qt.AlignmentFlag.AlignVCenter, text)


def _head_height() -> int:
    return QFontMetrics(look.font("strong")).height() + 4


def _line_height() -> int:
    return QFontMetrics(look.font(_FIGURE)).height() + 2


def _spoken(line: tuple[str, str, str, str]) -> str:
    label, one, other, apart = line
    return f"{label} {one}" if other == figure(None) else f"{label} {one}, painted {other}, off {apart}"
