"""The bar over the wall: everything that is pressed often, as words with their keys."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QFrame, QWidget

from app import look
from app.actions import KeyButton
from app.flow import FlowLayout
from app.keys import shown_key
from app.view import PANELS

_GROUPS: tuple[tuple[tuple[str, str], ...], ...] = (
    (("close", "Paintings"),),
    (("one", "1"), ("two", "2"), ("three", "3")),
    (("reference", "Reference"), ("canvas", "Canvas"), ("as_shot", "As shot")),
    (
        ("grey", "Grey"),
        ("steps", "Steps"),
        ("squint", "Squint"),
        ("difference", "Difference"),
        ("acetate", "Acetate"),
    ),
)
_EASEL = (("live", "Live"), ("arms_view", "Arm’s length"))
_ENDS = (("undo", "Undo"), ("redo", "Redo"), ("keys", "Keys"))
# The figure on the button is its key; the platform's own keys need not be told.
_WITHOUT_KEY = frozenset({"one", "two", "three", "close", "undo", "redo"})


class Bar(QFrame):
    """Buttons of the window's actions; ``blink`` says when the blink button is held and let go."""

    blink = Signal(bool)

    def __init__(self, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self._flow = FlowLayout(self, margin=6, gap=4)
        for group in _GROUPS:
            for name, word in group:
                self._flow.addWidget(_button(actions, name, word))
            self._flow.addWidget(_Gap())
        self.blink_button = KeyButton("Blink", shown_key("blink").removeprefix("hold "))
        self.blink_button.setToolTip("Blink between reference and canvas while held")
        self.blink_button.pressed.connect(lambda: self.blink.emit(True))
        self.blink_button.released.connect(lambda: self.blink.emit(False))
        self._flow.addWidget(self.blink_button)
        self._flow.addWidget(_Gap())
        for name, word in _EASEL:
            self._flow.addWidget(_button(actions, name, word))
        self._flow.addWidget(_Gap())
        for name, word in _ENDS:
            self._flow.addWidget(_button(actions, name, word))
        self._questions = [_Gap(), *(_button(actions, name, word) for name, word in _questions())]
        for part in self._questions:
            self._flow.addWidget(part)

    @property
    def last(self) -> QWidget:
        """The last of its buttons."""
        return self._questions[-1]

    def show_questions(self, on: bool) -> None:
        """The ways back to the panels, shown while none is open."""
        for part in self._questions:
            part.setVisible(on)


class _Gap(QWidget):
    """A little room between groups."""

    def __init__(self) -> None:
        super().__init__()
        self.setFixedSize(6, 1)


def _questions() -> list[tuple[str, str]]:
    return [(f"question_{question}", word) for question, word in PANELS.items()]


def _button(actions: dict[str, QAction], name: str, word: str) -> KeyButton:
    button = KeyButton.of(actions[name], word)
    if name in _WITHOUT_KEY:
        button.key = ""
    return button
