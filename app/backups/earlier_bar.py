"""A bar over the page while the painting is looked at as it was on an earlier day, with the way back."""

from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from app import look
from app.backups.words import morning_words


class EarlierBar(QFrame):
    """``left``: the painting is wanted as it is now. Hidden while nothing earlier is looked at."""

    left = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self.setAccessibleName("An earlier day")
        self.says = QLabel(self)
        self.says.setWordWrap(True)
        self.says.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.back = QPushButton("Back to the painting as it is now", self)
        look.set_role(self.back, "primary")
        self.back.clicked.connect(self.left)
        line = QHBoxLayout(self)
        line.setContentsMargins(12, 4, 8, 4)
        line.addWidget(self.says, 1)
        line.addWidget(self.back)
        self.hide()

    def show_day(self, day: date) -> None:
        """Say which day is looked at."""
        self.says.setText(f"{morning_words(day, date.today())}: only to look, nothing is changed.")
        self.show()
