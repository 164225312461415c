"""Width and height of a canvas or a sheet, entered in centimetres, inches or millimetres."""

from collections.abc import Callable

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app import look
from core.errors import PainterError
from core.size import MM_PER_INCH, Size

_MM_PER = {"cm": 10.0, "in": MM_PER_INCH, "mm": 1.0}
_DIGITS = {"cm": 2, "in": 3, "mm": 1}
_FIRST = Size(400, 300)


class SizeFields(QWidget):
    """Holds the size in mm, so that changing the unit to and fro changes nothing. ``of``: what has the size."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None, *, of: str = "canvas") -> None:
        super().__init__(parent)
        self._of = of
        self._mm: list[float | None] = [_FIRST.width_mm, _FIRST.height_mm]
        self.width_field, self.height_field = QLineEdit(), QLineEdit()
        self.unit = QComboBox()
        self.unit.addItems(list(_MM_PER))
        self.unit.setAccessibleName("Unit")
        self.unit.currentTextChanged.connect(self._show)
        row = QHBoxLayout()
        row.setSpacing(6)
        for side, (field, name) in enumerate(((self.width_field, "Width"), (self.height_field, "Height"))):
            field.setAccessibleName(f"{name} of the {of}")
            field.textEdited.connect(self._taker(side))
            field.setMinimumWidth(60)
            row.addWidget(field, 1)
            if not side:
                row.addWidget(QLabel("×"))
        row.addWidget(self.unit)
        self._other = QLabel()
        look.set_role(self._other, "note")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(row)
        column.addWidget(self._other)
        self.setFocusProxy(self.width_field)
        self._show()

    def size_mm(self) -> Size:
        """Raises PainterError with a sentence when it is not the size of a canvas."""
        width, height = self._mm
        if width is None or height is None:
            raise PainterError(f"Give the {self._of}’s width and height as numbers, such as 40 and 30.")
        return Size(width, height)

    def show_size(self, size: Size) -> None:
        self._mm = [size.width_mm, size.height_mm]
        self._show()

    def set_unit(self, unit: str) -> None:
        self.unit.setCurrentText(unit)

    def _show(self) -> None:
        unit = self.unit.currentText()
        for field, mm in zip((self.width_field, self.height_field), self._mm, strict=True):
            if mm is not None:
                with QSignalBlocker(field):
                    field.setText(f"{round(mm / _MM_PER[unit], _DIGITS[unit]):g}")
        self._tell()

    def _tell(self) -> None:
        try:
            size = self.size_mm()
        except PainterError as trouble:
            self._other.setText(str(trouble))
            self._other.setWordWrap(True)
        else:
            self._other.setText(size.in_cm() if self.unit.currentText() == "in" else size.in_inches())

    def _taker(self, side: int) -> Callable[[str], None]:
        def take(text: str) -> None:
            self._mm[side] = _number(text, _MM_PER[self.unit.currentText()])
            self._tell()
            self.changed.emit()

        return take


def _number(text: str, mm_per: float) -> float | None:
    """In mm; a comma is as good as a point."""
    try:
        number = float(text.strip().replace(",", "."))
    except ValueError:
        return None
    return number * mm_per if number > 0 else None
