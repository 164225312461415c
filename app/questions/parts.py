"""What all panels are made of."""

import re
from collections.abc import Callable, Sequence

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)  # fmt: skip

from app import look
from app.flow import FlowLayout

_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=%|±|(?:mm|cm|px)\b)|(?<=±) ")


class Panel(QScrollArea):
    """A column of parts that scrolls when the window is low. ``go_to``: a place on the canvas, x, y and how much of it
    is to be seen, mm."""

    go_to = Signal(float, float, float)

    def __init__(self, heading: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(heading)
        inside = QWidget(self)
        self.column = QVBoxLayout(inside)
        self.column.setContentsMargins(14, 8, 14, 14)
        self.column.setSpacing(8)
        self.setWidget(inside)

    def restyle(self) -> None:
        """The size of the type has changed; most panels need do nothing."""

    def bring_up(self, part: QWidget) -> None:
        """Scroll until a part of the column begins at the top, if there is so much below it."""
        # What was opened just now is only laid out after this event.
        QTimer.singleShot(0, self, lambda: self.verticalScrollBar().setValue(part.y()))


def bound(words: str) -> str:
    """The words with each number held to its unit and its tolerance, so that no line breaks between them."""
    return _NUMBER_AND_UNIT.sub("\N{NO-BREAK SPACE}", words)


class Wrapped(QLabel):
    """A label that wraps, between its words only."""

    def __init__(self, words: str) -> None:
        super().__init__(bound(words))
        self.setWordWrap(True)

    def setText(self, words: str) -> None:
        super().setText(bound(words))

    def text(self) -> str:
        """The words as they were given."""
        return super().text().replace("\N{NO-BREAK SPACE}", " ")


def text(words: str = "", role: str = "") -> QLabel:
    """A label that wraps."""
    label = Wrapped(words)
    if role:
        look.set_role(label, role)
    return label


def button(words: str, pressed: Callable[[], object], role: str = "") -> QPushButton:
    made = QPushButton(words)
    if role:
        look.set_role(made, role)
    made.clicked.connect(lambda _=False: pressed())
    return made


def row(*parts: QWidget, stretch: int | None = None) -> QHBoxLayout:
    """Parts side by side; the one numbered ``stretch`` takes what room is left."""
    made = QHBoxLayout()
    made.setSpacing(6)
    for index, part in enumerate(parts):
        made.addWidget(part, 1 if index == stretch else 0)
    return made


def flow(*parts: QWidget) -> QWidget:
    """Parts side by side that go on in the next line where there is no room."""
    line = QWidget()
    laid = FlowLayout(line, margin=0, gap=6)
    for part in parts:
        laid.addWidget(part)
    return line


class Stepper(QWidget):
    """A number with a large button on each side."""

    stepped = Signal(int)  # -1 or +1

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._says = QLabel()
        self._says.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.less, self.more = QPushButton("−"), QPushButton("+")
        for each, by, words in ((self.less, -1, f"Less: {name}"), (self.more, 1, f"More: {name}")):
            each.setFixedWidth(round(52 * look.scale()))
            each.setAccessibleName(words)
            each.clicked.connect(lambda _=False, by=by: self.stepped.emit(by))
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.addWidget(self.less)
        line.addWidget(self._says, 1)
        line.addWidget(self.more)

    def show_number(self, says: str, *, can_less: bool = True, can_more: bool = True) -> None:
        self._says.setText(says)
        self.less.setEnabled(can_less)
        self.more.setEnabled(can_more)


class Line(QAbstractButton):
    """One finding: its number large, its sentence wrapped beside it; pressing it shows the place on the wall."""

    def __init__(self, number: int | str, say: str, kind: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.number, self.say, self.kind = number, say, kind
        self._heights: dict[tuple[int, float], int] = {}  # a layout asks again and again
        self.setCheckable(True)
        self.setText(say)
        self.setAccessibleName(f"{number}. {say}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def tell(self, say: str, kind: str = "") -> None:
        """Say something else."""
        if (say, kind) != (self.say, self.kind):
            self.say, self.kind = say, kind
            self._heights.clear()
            self.setText(say)
            self.setAccessibleName(f"{self.number}. {say}")
            self.updateGeometry()
            self.update()

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        asked = (width, look.scale())
        if asked not in self._heights:
            room = max(width - self._indent() - _RIGHT, 60)
            self._heights[asked] = max(self._say_height(room) + self._kind_height(room) + 14, look.target_px())
        return self._heights[asked]

    def sizeHint(self) -> QSize:
        return QSize(260, self.heightForWidth(260))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, look.target_px())

    def paintEvent(self, event: QPaintEvent) -> None:
        shades = look.shades()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked() or self.isDown()
        ink = shades.colour("on_pressed" if on else "ink")
        if on or self.underMouse():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(shades.colour("pressed" if on else "raised"))
            painter.drawRoundedRect(self.rect(), 5, 5)
        painter.setPen(ink)
        painter.setFont(look.font("figure"))
        painter.drawText(self.rect().adjusted(4, 4, 0, 0), Qt.AlignmentFlag.AlignLeft, str(self.number))
        room = self.rect().adjusted(self._indent(), 7, -_RIGHT, 0)
        painter.setFont(look.font())
        painter.drawText(room, _WRAPPED, bound(self.say))
        if self.kind:
            painter.setFont(look.font("note"))
            painter.setPen(ink if on else shades.colour("quiet"))
            painter.drawText(room.adjusted(0, self._say_height(room.width()), 0, 0), _WRAPPED, bound(self.kind))
        if self.hasFocus():
            painter.setPen(QPen(ink, 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(self.rect().adjusted(2, 2, -2, -2), 5, 5)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
        else:
            super().keyPressEvent(event)

    def _say_height(self, room: int) -> int:
        return QFontMetrics(look.font()).boundingRect(0, 0, room, 10_000, _WRAPPED, bound(self.say)).height()

    def _kind_height(self, room: int) -> int:
        if not self.kind:
            return 0
        return QFontMetrics(look.font("note")).boundingRect(0, 0, room, 10_000, _WRAPPED, bound(self.kind)).height()

    def _indent(self) -> int:
        return QFontMetrics(look.font("figure")).horizontalAdvance("00") + 12


class Lines(QWidget):
    """Findings under one another, one of which may be chosen."""

    chosen = Signal(int)  # index

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self._lines: list[Line] = []

    @property
    def lines(self) -> tuple[Line, ...]:
        return tuple(self._lines)

    def show_lines(self, lines: Sequence[Line]) -> None:
        for old in self._lines:
            self._column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self._lines = list(lines)
        for index, line in enumerate(self._lines):
            line.clicked.connect(lambda _=False, index=index: self.choose(index))
            self._column.addWidget(line)

    def put_under(self, index: int, part: QWidget) -> None:
        """Show a part right under one of the lines, until it is put elsewhere."""
        self._column.removeWidget(part)
        self._column.insertWidget(self._column.indexOf(self._lines[index]) + 1, part)

    def choose(self, index: int) -> None:
        self.mark(index)
        self.chosen.emit(index)

    def mark(self, index: int | None) -> None:
        for each, line in enumerate(self._lines):
            line.setChecked(each == index)


_RIGHT = 6
_WRAPPED = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop) | int(Qt.TextFlag.TextWordWrap)
