"""What the panels show of a brush over the wall: take it up, what it paints, its width, and its strokes so far."""

from collections.abc import Iterable
from enum import StrEnum

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QGridLayout, QPushButton, QRadioButton, QVBoxLayout, QWidget

from app.actions import KeyButton
from app.questions.parts import Stepper, button, flow, text
from app.stepping import BRUSHES_MM, can_step, stepped


class BrushParts(QWidget):
    """``paints``: what it can paint. ``wanted``: the brush is taken up, or put away. ``chosen``:
    what it is to paint. ``widened``: its width, mm. ``cleared``: all strokes are to go."""

    wanted = Signal()
    chosen = Signal(object)
    widened = Signal(float)
    cleared = Signal()

    def __init__(self, take_up: str, paints: Iterable[StrEnum], how: str, actions: dict[str, QAction]) -> None:
        super().__init__()
        self._width_mm = BRUSHES_MM[0]
        self.brush = QPushButton(take_up)
        self.brush.setCheckable(True)
        self.brush.clicked.connect(lambda _=False: self.wanted.emit())
        self.choices = {each: QRadioButton(str(each).capitalize()) for each in paints}
        group, places = QButtonGroup(self), QGridLayout()
        for number, (each, radio) in enumerate(self.choices.items()):
            group.addButton(radio)
            radio.clicked.connect(lambda _=False, each=each: self.chosen.emit(each))
            places.addWidget(radio, number // 2, number % 2)
        self.width_mm, self.says = Stepper("width of the brush"), text()
        self.width_mm.stepped.connect(lambda by: self.widened.emit(stepped(BRUSHES_MM, self._width_mm, by)))
        self.clear = button("Clear all strokes", self.cleared.emit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(flow(self.brush))
        column.addLayout(places)
        for part in (self.width_mm, text(how, "note"), self.says):
            column.addWidget(part)
        column.addWidget(flow(KeyButton.of(actions["undo"], "Undo"), self.clear))

    def show_brush(self, paints: StrEnum, width_mm: float) -> None:
        self._width_mm = width_mm
        with QSignalBlocker(self.choices[paints]):
            self.choices[paints].setChecked(True)
        self.width_mm.show_number(
            f"brush {width_mm:g} mm",
            can_less=can_step(BRUSHES_MM, width_mm, -1),
            can_more=can_step(BRUSHES_MM, width_mm, 1),
        )

    def show_strokes(self, many: int, over: str) -> None:
        """How many lie ``over`` what."""
        self.says.setText(f"{many} stroke{'' if many == 1 else 's'} over {over}." if many else "No strokes yet.")
        self.clear.setEnabled(many > 0)
