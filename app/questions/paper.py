"""Which paper a page is printed on."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QWidget

from core.size import PAPERS


class PaperBox(QComboBox):
    """``chosen``: the paper's name, as the painter chose it."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Paper")
        for name, size in PAPERS.items():
            self.addItem(f"{name} ({size.in_cm()})", name)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(14)
        self.activated.connect(lambda index: self.chosen.emit(str(self.itemData(index))))

    def show_paper(self, name: str) -> None:
        self.setCurrentIndex(self.findData(name))
