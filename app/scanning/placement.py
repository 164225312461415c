"""Where the sheet lies on the canvas: in its own size or filling it, and how far it is shifted."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app import look
from app.questions.parts import flow, text
from app.scanning.jobs import Corners
from app.scanning.words import where_said
from core.size import Size

FARTHEST_MM = 5000.0


class MmField(QWidget):
    """A length in mm, typed or stepped by 1 mm; a button that is held goes on stepping."""

    changed = Signal()

    def __init__(self, words: str, less: str, more: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._mm = 0.0
        self.field = QLineEdit("0")
        self.field.setAccessibleName(f"{words}, mm")
        self.field.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.field.textEdited.connect(self._take)
        self.less, self.more = QPushButton("−"), QPushButton("+")
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 0, 0, 0)
        line.setSpacing(6)
        name = QLabel(words)
        line.addWidget(name, 1)
        for each, by, says in ((self.less, -1.0, less), (self.more, 1.0, more)):
            each.setFixedWidth(round(52 * look.scale()))
            each.setAutoRepeat(True)
            each.setAccessibleName(says)
            each.setToolTip(f"{says} by 1 mm; hold to go on")
            each.clicked.connect(lambda _=False, by=by: self._step(by))
        self.field.setFixedWidth(round(78 * look.scale()))
        for part in (self.less, self.field, QLabel("mm"), self.more):
            line.addWidget(part)

    @property
    def mm(self) -> float:
        return self._mm

    def show_mm(self, mm: float) -> None:
        self._mm = mm
        with QSignalBlocker(self.field):
            self.field.setText(f"{mm:g}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {Qt.Key.Key_Up: 1.0, Qt.Key.Key_Down: -1.0}
        by = steps.get(Qt.Key(event.key()))
        if by is None:
            super().keyPressEvent(event)
        else:
            self._step(by)

    def _step(self, by: float) -> None:
        self.show_mm(min(max(self._mm + by, -FARTHEST_MM), FARTHEST_MM))
        self.changed.emit()

    def _take(self, typed: str) -> None:
        """What is not a number yet counts as the last that was."""
        try:
            mm = float(typed.strip().replace(",", ".").replace("−", "-"))
        except ValueError:
            return
        if abs(mm) <= FARTHEST_MM:
            self._mm = mm
            self.changed.emit()


class Placement(QWidget):
    """Gives the sheet's corners on the canvas."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.own_size, self.filling = QPushButton("In its own size"), QPushButton("Filling the canvas")
        group = QButtonGroup(self)
        for each in (self.own_size, self.filling):
            each.setCheckable(True)
            group.addButton(each)
        group.buttonClicked.connect(self.changed)
        self.right = MmField("To the right", "Shift to the left", "Shift to the right")
        self.down = MmField("Down", "Shift up", "Shift down")
        self.says = text(role="note")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(flow(self.own_size, self.filling))
        for field in (self.right, self.down):
            field.changed.connect(self.changed)
            column.addWidget(field)
        column.addWidget(self.says)
        self.begin()

    def begin(self) -> None:
        """In the middle, in its own size."""
        self.own_size.setChecked(True)
        self.right.show_mm(0.0)
        self.down.show_mm(0.0)

    def corners(self, canvas: Size, sheet: Size) -> Corners:
        """``(4, 2)`` mm on the canvas."""
        from core.drawing.scan_place import corners_on

        shift = (self.right.mm, self.down.mm)
        corners = corners_on(canvas, sheet, filling=self.filling.isChecked(), shift_mm=shift)
        self.says.setText(where_said(corners, sheet))
        return corners
