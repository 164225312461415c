"""The sheet of keys, over the whole window, in type that is read from the easel."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app import look
from app.keys import KEYS, Key

_COLUMN_PX = 420
_LAYOUTS = {1: ((0, 1, 2, 3, 4),), 2: ((0, 1, 3), (2, 4)), 3: ((0, 3), (1, 2), (4,)), 4: ((0,), (1, 2), (3,), (4,))}


class KeysSheet(QFrame):
    """Lies over ``host`` until a key or a press takes it away."""

    closed = Signal()

    def __init__(self, host: QWidget) -> None:
        super().__init__(host)
        self.setAutoFillBackground(True)
        self.setAccessibleName("Keys")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._host = host
        self._columns = 0
        heading = QLabel("Keys")
        look.set_role(heading, "heading")
        self._close = QPushButton("Close  Esc")
        self._close.clicked.connect(self.put_away)
        top = QHBoxLayout()
        top.addWidget(heading)
        top.addStretch(1)
        top.addWidget(self._close)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setFrameShape(QFrame.Shape.NoFrame)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 14, 24, 10)
        column.addLayout(top)
        column.addWidget(self._scroll, 1)
        host.installEventFilter(self)
        self.hide()

    def show_keys(self) -> None:
        self._columns = 0
        self._fit()
        self.show()
        self.raise_()
        self._close.setFocus()

    def put_away(self) -> None:
        if not self.isHidden():
            self.hide()
            self.closed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._host and event.type() == QEvent.Type.Resize and not self.isHidden():
            self._fit()
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape or event.text() == "?":
            self.put_away()
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.put_away()

    def _fit(self) -> None:
        self.setGeometry(self._host.rect())
        fitting = (self._host.width() - 60) // round(_COLUMN_PX * look.scale())
        columns = min(max(fitting, 1), max(_LAYOUTS))
        if columns != self._columns:
            self._columns = columns
            self._scroll.setWidget(_sheet(columns))


def _sheet(columns: int) -> QWidget:
    groups = list(KEYS.items())
    whole = QWidget()
    row = QHBoxLayout(whole)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(28)
    for numbers in _LAYOUTS[columns]:
        column = QVBoxLayout()
        column.setSpacing(4)
        for number in numbers:
            heading, keys = groups[number]
            column.addWidget(_label(heading, "subheading"))
            column.addLayout(_table(keys))
            column.addSpacing(14)
        column.addStretch(1)
        row.addLayout(column, 1)
    return whole


def _table(keys: tuple[Key, ...]) -> QGridLayout:
    grid = QGridLayout()
    grid.setHorizontalSpacing(16)
    grid.setVerticalSpacing(3)
    grid.setColumnStretch(1, 1)
    for row, key in enumerate(keys):
        shown = _label(key.show)
        shown.setFont(look.font("title selected"))
        says = _label(key.say)
        says.setFont(look.font("title"))
        says.setWordWrap(True)
        shown.setMinimumWidth(round(104 * look.scale()))
        grid.addWidget(shown, row, 0, Qt.AlignmentFlag.AlignTop)
        grid.addWidget(says, row, 1)
    return grid


def _label(words: str, role: str = "") -> QLabel:
    label = QLabel(words)
    if role:
        look.set_role(label, role)
    return label
