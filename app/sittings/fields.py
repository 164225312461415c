"""Fields of the sittings panel: room to write, a choice among a few, and chips to press."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from PySide6.QtCore import QSignalBlocker, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QFontMetrics, QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QComboBox, QPlainTextEdit, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app import look
from app.questions.parts import flow

_KEPT_AFTER_MS = 800
_MOST_SIGNS = 4000


class NoteField(QPlainTextEdit):
    """As high as its words. ``written``: of which sitting, and the words, when the writing pauses or the field is left.

    ``least``: lines that are shown at least.
    """

    written = Signal(int, str)

    def __init__(self, name: str, hint: str = "", *, least: int = 2, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._least, self._of, self._words = least, 0, ""
        self.setAccessibleName(name)
        self.setPlaceholderText(hint)
        self.setTabChangesFocus(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._waiting = QTimer(self)
        self._waiting.setSingleShot(True)
        self._waiting.setInterval(_KEPT_AFTER_MS)
        self._waiting.timeout.connect(self.commit)
        self.textChanged.connect(self._typed)

    def show_words(self, of: int, words: str, *, read_only: bool = False) -> None:
        """Those of a sitting; what is being written in it stays as long as they have not changed elsewhere."""
        self.setReadOnly(read_only)
        if (of, words) != (self._of, self._words):
            self.commit()
            self._of, self._words = of, words
            with QSignalBlocker(self):
                self.setPlainText(words)
        self._fit()

    def commit(self) -> None:
        """Give out what was written and not given out yet."""
        self._waiting.stop()
        words = self.toPlainText().strip()[:_MOST_SIGNS]
        if self._of and words != self._words:
            self._words = words
            self.written.emit(self._of, words)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.commit()

    def hideEvent(self, event: QHideEvent) -> None:
        super().hideEvent(event)
        self.commit()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _typed(self) -> None:
        self._waiting.start()
        self._fit()

    def _fit(self) -> None:
        lines = max(self._least, round(self.document().size().height()))
        room = round(look.px(12)) + 2 * round(self.document().documentMargin()) + 6
        high = lines * QFontMetrics(look.font()).lineSpacing() + room
        if high != self.height():
            self.setFixedHeight(high)


class Choice(QComboBox):
    """``picked``: the value that the painter chose."""

    picked = Signal(object)

    def __init__(self, name: str, values: Mapping[Any, str] | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._values: list[Any] = []
        self.setAccessibleName(name)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(14)
        self.offer(values or {})
        self.activated.connect(lambda index: self.picked.emit(self._values[index]))

    def offer(self, values: Mapping[Any, str]) -> None:
        """What can be chosen, each with its words."""
        words = list(values.values())
        if list(values) == self._values and words == [self.itemText(each) for each in range(self.count())]:
            return
        with QSignalBlocker(self):
            self.clear()
            self.addItems(words)
        self._values = list(values)

    def show_value(self, value: Any) -> None:
        self.setCurrentIndex(self._values.index(value) if value in self._values else -1)

    def wheelEvent(self, event: Any) -> None:
        """The wheel scrolls the panel, and changes nothing that is kept."""
        event.ignore()


class Chips(QWidget):
    """Words to press on and off, that go on in the next line. ``toggled``: the word, and whether it is on now."""

    toggled = Signal(str, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._row: QWidget | None = None
        self._chips: list[QPushButton] = []

    @property
    def chips(self) -> tuple[QPushButton, ...]:
        return tuple(self._chips)

    def show_chips(self, words: Sequence[str], on: Sequence[str], *, enabled: bool = True) -> None:
        if [chip.text() for chip in self._chips] != list(words):
            if self._row is not None:
                self._column.removeWidget(self._row)
                self._row.hide()
                self._row.deleteLater()
            self._chips = [self._chip(each) for each in words]
            self._row = flow(*self._chips)
            self._column.addWidget(self._row)
        for chip in self._chips:
            chip.setChecked(chip.text() in on)
            chip.setEnabled(enabled)

    def _chip(self, words: str) -> QPushButton:
        chip = QPushButton(words)
        chip.setCheckable(True)
        chip.clicked.connect(lambda on: self.toggled.emit(words, on))
        return chip


def offered(name: str, values: Mapping[Any, str], picked: Callable[[Any], object]) -> Choice:
    """A choice, with what is done when another is chosen."""
    made = Choice(name, values)
    made.picked.connect(picked)
    return made
