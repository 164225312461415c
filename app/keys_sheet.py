"""The sheet of keys."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app import look
from app.keys import KEYS, Key
from app.over_sheet import OverSheet

_COLUMN_PX = 420
_LAYOUTS = {1: ((0, 1, 2, 3, 4),), 2: ((0, 1, 3), (2, 4)), 3: ((0, 3), (1, 2), (4,)), 4: ((0,), (1, 2), (3,), (4,))}


class KeysSheet(OverSheet):
    """In as many columns as there is room for."""

    def __init__(self, host: QWidget) -> None:
        super().__init__("Keys", host)
        self._columns = 0

    def show_keys(self) -> None:
        self._columns = 0
        self.bring_up()

    def fit(self) -> None:
        fitting = (self.host.width() - 60) // round(_COLUMN_PX * look.scale())
        columns = min(max(fitting, 1), max(_LAYOUTS))
        if columns != self._columns:
            self._columns = columns
            self.area.setWidget(_sheet(columns))


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
