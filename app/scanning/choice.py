"""Which sheet the drawing is on, and which way up it stands."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QButtonGroup, QComboBox, QPushButton, QVBoxLayout, QWidget

from app.questions.parts import row
from app.scanning.jobs import Corners
from app.size_fields import SizeFields
from core.size import PAPERS, Size

OWN = "Own size"
_PAPERS = ("A4", "A3", "Letter")


class SheetChoice(QWidget):
    """The way up follows the shape between the corners until the painter has chosen it."""

    changed = Signal()  # another sheet
    turned = Signal()  # the same sheet the other way up, by the painter's choice

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._way_chosen = False
        self.which = QComboBox()
        self.which.setAccessibleName("Which sheet the drawing is on")
        self.which.currentIndexChanged.connect(self._choose)
        self.own = SizeFields(of="sheet")
        self.own.changed.connect(self.changed)
        self.upright, self.lying = QPushButton("Upright"), QPushButton("Lying")
        self._way = QButtonGroup(self)
        for each in (self.upright, self.lying):
            each.setCheckable(True)
            self._way.addButton(each)
        self.lying.setChecked(True)
        self._way.buttonClicked.connect(self._turn)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.which)
        column.addWidget(self.own)
        ways = row(self.upright, self.lying)
        ways.addStretch(1)
        column.addLayout(ways)

    def begin(self, canvas: Size, likely: Size) -> None:
        """Offer the sheets for a canvas, the likely one chosen."""
        self._way_chosen = False
        with QSignalBlocker(self.which):
            self.which.clear()
            self.which.addItem(f"Same as the canvas ({canvas.in_cm()})", canvas)
            for name in _PAPERS:
                self.which.addItem(f"{name} ({PAPERS[name].in_cm()})", PAPERS[name])
            self.which.addItem(OWN)
            at = next((i for i in range(self.which.count()) if self.which.itemData(i) == likely), 0)
            self.which.setCurrentIndex(at)
        self.own.show_size(canvas)
        self.own.hide()
        self._show_way(likely)

    def choose(self, words: str) -> None:
        """Choose the sheet whose name begins with these words."""
        names = [self.which.itemText(index) for index in range(self.which.count())]
        self.which.setCurrentIndex(next(i for i, name in enumerate(names) if name.startswith(words)))

    def sheet(self) -> Size:
        """The sheet the way up it stands. Raises PainterError with a sentence when its own size is none."""
        chosen = self.which.currentData()
        size = chosen if isinstance(chosen, Size) else self.own.size_mm()
        return size if (size.aspect >= 1.0) == self.lying.isChecked() else size.turned

    def follow(self, corners: Corners) -> None:
        """Stand as the shape between the corners does, unless the painter has said how."""
        from core.drawing.scan_find import standing_as

        if not self._way_chosen:
            self._show_way(standing_as(_LYING, corners))

    def let_follow(self) -> None:
        """From now on the way up follows the corners again."""
        self._way_chosen = False

    def _show_way(self, sheet: Size) -> None:
        (self.lying if sheet.aspect >= 1.0 else self.upright).setChecked(True)

    def _choose(self) -> None:
        self.own.setVisible(self.which.currentText() == OWN)
        self.changed.emit()

    def _turn(self) -> None:
        self._way_chosen = True
        self.turned.emit()


_LYING = Size(297, 210)
