"""Under the live picture: how the canvas is followed, how fast the picture comes, and what can be done with it."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from app import look
from app.questions.parts import button, text


class LiveFoot(QFrame):
    """``place``: the corners are to be placed. ``keep``: the picture is to be kept. ``done``: enough."""

    place = Signal()
    keep = Signal()
    done = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self.says, self.rate = text(), QLabel("", self)
        look.set_role(self.rate, "note")
        self.rate.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.rate.setAccessibleName("Frames a second, and how late they are shown")
        self.place_button = button("Place the corners", self.place.emit)
        self.keep_button = button("Keep this", self.keep.emit, "primary")
        self.done_button = button("Done", self.done.emit)
        line = QHBoxLayout(self)
        line.setContentsMargins(12, 6, 12, 6)
        line.addWidget(self.says, 1)
        for part in (self.rate, self.place_button, self.keep_button, self.done_button):
            line.addWidget(part)

    def show_following(self, is_followed: bool) -> None:
        """Whether there is something that the canvas is followed by."""
        word = "Place the corners again" if is_followed else "Place the corners"
        if word != self.place_button.text():
            self.place_button.setText(word)

    def tell(self, sentence: str) -> None:
        if sentence != self.says.text():
            self.says.setText(sentence)

    def tell_rate(self, sentence: str) -> None:
        self.rate.setText(sentence)
