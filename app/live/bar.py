"""The bar of the live page: where the picture comes from, and how it is looked at, as words with their keys."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QWidget

from app import look
from app.actions import KeyButton
from app.flow import FlowLayout
from app.keys import shown_key
from app.live.settings import LiveView
from app.view import Look

_GROUPS: tuple[tuple[tuple[str, str, str], ...], ...] = (
    (
        ("colour", "Colour", ""),
        ("grey", "Grey", "grey"),
        ("steps", "Value steps", "steps"),
        ("squint", "Squint", "squint"),
    ),
    (("acetate", "Acetate", "acetate"), ("flat", "Laid flat", "as_shot")),
    (("beside", "Reference beside", ""), ("matched", "Match brightness", "")),
)
_TIPS = {
    "flat": "Laid flat, or as the camera sees it: the screen then looks like the easel",
    "matched": "As bright as the reference, so that values can be compared",
    "source": "Another camera, a network camera or a film",
}


class LiveBar(QFrame):
    """``pressed``: the name of what was pressed. ``blink``: the blink button is held, or let go."""

    pressed = Signal(str)
    blink = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self.buttons: dict[str, KeyButton] = {}
        self._flow = FlowLayout(self, margin=6, gap=4)
        self._add("source", "Source…", "")
        self.blink_button = KeyButton("Blink", shown_key("blink").removeprefix("hold "), self)
        for group in _GROUPS:
            self._gap()
            for name, word, action in group:
                self._add(name, word, shown_key(action)).setCheckable(True)
        self._gap()
        self.blink_button.setToolTip("Blink with the reference while held")
        self.blink_button.pressed.connect(lambda: self.blink.emit(True))
        self.blink_button.released.connect(lambda: self.blink.emit(False))
        self._flow.addWidget(self.blink_button)

    def show_view(self, view: LiveView, *, has_drawing: bool, has_reference: bool) -> None:
        """Which of the buttons are down, and which can be pressed."""
        for name in ("squint", "acetate", "flat", "beside", "matched"):
            self.buttons[name].setChecked(getattr(view, name))
        for name, each in (("colour", Look.COLOUR), ("grey", Look.GREY), ("steps", Look.STEPS)):
            self.buttons[name].setChecked(view.look is each)
        self.buttons["acetate"].setEnabled(has_drawing)
        for button in (self.buttons["beside"], self.buttons["matched"], self.blink_button):
            button.setEnabled(has_reference)

    def _add(self, name: str, word: str, key: str) -> KeyButton:
        button = KeyButton(word, key, self)
        button.setToolTip(_TIPS.get(name, ""))
        button.clicked.connect(lambda _=False: self.pressed.emit(name))
        self.buttons[name] = button
        self._flow.addWidget(button)
        return button

    def _gap(self) -> None:
        gap = QWidget(self)
        gap.setFixedSize(6, 1)
        self._flow.addWidget(gap)
