"""The small sheet on which a landmark is named: type, or press a name that is suggested."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app import look
from app.questions.parts import button
from core.drawing.landmark_names import suggested_names

_WIDTH_PX = 330
_AWAY_PX = 34
_SUGGESTED = 4


class Naming(QFrame):
    """Lies beside a point of its parent, within it."""

    named = Signal(str)
    removed = Signal()
    given_up = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self.setAccessibleName("Name of the landmark")
        self.setAutoFillBackground(True)
        # What is pressed here is not pressed on the picture below, by mouse, pen or finger.
        self.setAttribute(Qt.WidgetAttribute.WA_NoMousePropagation)
        self.setFrameShape(QFrame.Shape.Box)
        self.setLineWidth(2)
        self.setCursor(Qt.CursorShape.ArrowCursor)
        self._room = parent
        self._taken: list[str] = []
        self.heading = QLabel()
        look.set_role(self.heading, "subheading")
        self.line = QLineEdit()
        self.line.setPlaceholderText("such as: rim, left")
        self.line.setAccessibleName("Name of the landmark")
        self.line.setMaxLength(80)
        self.line.textEdited.connect(self._suggest)
        self.line.returnPressed.connect(self._accept)
        self.trouble = QLabel()
        self.trouble.setWordWrap(True)
        look.set_role(self.trouble, "note")
        self.suggestions = [QPushButton() for _ in range(_SUGGESTED)]
        for each in self.suggestions:
            look.set_role(each, "quiet")
            each.setStyleSheet("text-align: left;")
            each.clicked.connect(partial(self._take, each))
        self.accept = button("Name it", self._accept, "primary")
        self.remove = button("Take it away", self.removed.emit)
        self.back = button("Not now", self.given_up.emit)
        self._lay_out()
        self.hide()

    def ask(self, at: QPointF, name: str | None, taken: Sequence[str]) -> None:
        """Ask for the name of a landmark at a point of the parent; ``name`` None for one that is new."""
        self._taken = list(taken)
        self.heading.setText("A new landmark" if name is None else "Landmark")
        self.remove.setVisible(name is not None)
        self.line.setText(name or "")
        self.line.selectAll()
        self._suggest("")
        self._lie_beside(at)
        self.show()
        self.raise_()
        self.line.setFocus(Qt.FocusReason.OtherFocusReason)

    def say(self, sentence: str) -> None:
        """What is wrong with the name."""
        self.trouble.setText(sentence)
        self.trouble.setVisible(bool(sentence))
        self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.given_up.emit()

    def _lay_out(self) -> None:
        column = self._column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 12)
        column.setSpacing(6)
        foot = QHBoxLayout()
        for part in (self.back, self.remove):
            foot.addWidget(part)
        foot.addStretch(1)
        foot.addWidget(self.accept)
        for each in (self.heading, self.line, self.trouble, *self.suggestions):
            column.addWidget(each)
        column.addLayout(foot)

    def _suggest(self, typed: str) -> None:
        self.say("")
        names = suggested_names(typed, taken=self._taken, most=_SUGGESTED)
        for each, name in zip(self.suggestions, [*names, *[""] * _SUGGESTED], strict=False):
            each.setText(name)
            each.setVisible(bool(name))
        self._fit()

    def _take(self, pressed: QPushButton) -> None:
        self.named.emit(pressed.text())

    def _accept(self) -> None:
        self.named.emit(self.line.text())

    def _lie_beside(self, at: QPointF) -> None:
        self._fit()
        room, away = self._room.size(), round(look.px(_AWAY_PX))
        right = at.x() + away + self.width() <= room.width()
        x = round(at.x()) + away if right else round(at.x()) - away - self.width()
        y = round(at.y()) - self.height() // 3
        self.move(max(4, min(x, room.width() - self.width() - 4)), max(4, min(y, room.height() - self.height() - 4)))

    def _fit(self) -> None:
        self.setFixedWidth(round(look.px(_WIDTH_PX)))
        self._column.activate()
        self.setFixedHeight(self._column.sizeHint().height())
