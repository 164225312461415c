"""The column beside the wall: the check at the top, and one panel of questions under it."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from app import look
from app.actions import KeyButton
from app.questions.check_bar import CheckBar
from app.questions.drawing import DrawingPanel
from app.questions.edge import EdgePanel
from app.questions.mend import MendPanel
from app.questions.mix import MixPanel
from app.questions.parts import Panel
from app.questions.sittings import SittingsPanel
from app.questions.temperature import TemperaturePanel
from app.questions.value import ValuePanel
from app.studio import Studio
from app.view import PANELS, Question

WIDTH_PX = 354
_IN_LINES = (3, 2, 2)
"""How many of the panels' names stand in each line, so that they have room at arm's length too."""


class Side(QFrame):
    """Shows the panel that the view names; hidden when it names none."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self._studio = studio
        self.check_bar = CheckBar(studio, actions, self)
        self._stack = QStackedWidget(self)
        self.drawing = DrawingPanel(studio, actions, self._stack)
        self.value = ValuePanel(studio, actions, self._stack)
        self.edge = EdgePanel(studio, actions, self._stack)
        self.temperature = TemperaturePanel(studio, actions, self._stack)
        self.mix = MixPanel(studio, actions, self._stack)
        self.mend = MendPanel(studio, self._stack)
        self.sittings = SittingsPanel(studio, self._stack)
        self.panels: dict[Question, Panel] = {
            Question.DRAWING: self.drawing,
            Question.VALUE: self.value,
            Question.EDGE: self.edge,
            Question.TEMPERATURE: self.temperature,
            Question.MIX: self.mix,
            Question.MEND: self.mend,
            Question.SITTINGS: self.sittings,
        }
        names = QVBoxLayout()
        names.setContentsMargins(3, 8, 3, 0)
        names.setSpacing(4)
        lines = [QHBoxLayout() for _ in _IN_LINES]
        places = [line for line, count in zip(lines, _IN_LINES, strict=True) for _ in range(count)]
        for line, (question, word) in zip(places, PANELS.items(), strict=True):
            line.addWidget(KeyButton.of(actions[f"question_{question}"], word, wide=True))
            panel = self.panels[question]
            panel.column.addWidget(KeyButton.of(actions["help"], "What this means", wide=True))
            self._stack.addWidget(panel)
            panel.go_to.connect(self.go_to)
        for line in lines:
            line.setSpacing(4)
            names.addLayout(line)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(names)
        column.addWidget(self.check_bar)
        column.addWidget(self._stack, 1)
        studio.view_changed.connect(self.refresh)
        self.restyle()
        self.refresh()

    def refresh(self) -> None:
        question = self._studio.view.question
        if question is not None:
            self._stack.setCurrentWidget(self.panels[question])
        self.setVisible(question is not None)

    def restyle(self) -> None:
        """The size of the type has changed."""
        for panel in self.panels.values():
            panel.restyle()
        self.setFixedWidth(round(WIDTH_PX * (1 + (look.scale() - 1) * 0.7)))
