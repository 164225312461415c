"""A number with its unit, typed by the painter."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QWidget

from app import look
from core.errors import PainterError

_FIELD_PX = 84


class NumberField(QWidget):
    """``name``: as the painter knows it, such as ``Overlap``."""

    changed = Signal()

    def __init__(self, name: str, unit: str, example: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name, self._unit, self._example = name, unit, example
        self.field = QLineEdit()
        self.field.setAccessibleName(f"{name}, {unit}")
        self.field.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.field.textEdited.connect(lambda _: self.changed.emit())
        label = QLabel(name)
        label.setBuddy(self.field)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(6)
        line.addWidget(label, 1)
        line.addWidget(self.field)
        line.addWidget(QLabel(unit))
        self.setFocusProxy(self.field)
        self.restyle()

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.field.setFixedWidth(round(look.px(_FIELD_PX)))

    def number(self) -> float:
        """A comma is as good as a point. Raises PainterError with a sentence when it is no number."""
        try:
            return float(self.field.text().strip().replace(",", "."))
        except ValueError:
            raise PainterError(f"{self._name}: give a number of {self._unit}, such as {self._example}.") from None

    def show_number(self, number: float) -> None:
        with QSignalBlocker(self.field):
            self.field.setText(f"{number:g}")
