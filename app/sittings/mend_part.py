"""What is still to mend in a sitting: taken from a check, and ticked off."""

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app import look
from app.questions.parts import text
from core.sitting.log import ToMend


class Tick(QWidget):
    """A box to tick with words that wrap beside it; pressing on the words ticks it too."""

    ticked = Signal(bool)

    def __init__(self, line: ToMend, *, enabled: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.box, self.words = QCheckBox(), text(line.say)
        self.box.setMinimumWidth(look.target_px())
        self.box.setAccessibleName(line.say)
        with QSignalBlocker(self.box):
            self.box.setChecked(line.mended)
        self.box.setEnabled(enabled)
        if line.mended:
            look.set_role(self.words, "note")
        self.box.toggled.connect(self.ticked)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(2)
        row.addWidget(self.box, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.words, 1)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        if self.box.isEnabled() and self.rect().contains(event.position().toPoint()):
            self.box.click()


class MendPart(QWidget):
    """``ticked``: the place of a line, and whether it is mended now."""

    ticked = Signal(int, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: object = None
        self.ticks: list[Tick] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)

    def show_lines(self, lines: Sequence[ToMend], *, enabled: bool) -> None:
        if (tuple(lines), enabled) == self._shown:
            return
        self._shown = tuple(lines), enabled
        at = next((place for place, tick in enumerate(self.ticks) if tick.box.hasFocus()), None)
        for old in self.ticks:
            self._column.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.ticks = [Tick(line, enabled=enabled) for line in lines]
        for place, tick in enumerate(self.ticks):
            tick.ticked.connect(lambda on, place=place: self.ticked.emit(place, on))
            self._column.addWidget(tick)
        if at is not None and at < len(self.ticks):
            self.ticks[at].box.setFocus()

    def labels(self) -> list[QLabel]:
        return [tick.words for tick in self.ticks]
