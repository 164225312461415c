"""The window's actions, made from the table of keys, and the buttons that carry a word and its key."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QAction, QColor, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QStyle, QStyleOptionToolButton, QStylePainter, QToolButton, QWidget

from app import look
from app.keys import all_keys, shortcuts, shown_key
from app.view import PANELS

# What is on or off, and shows it.
CHECKABLE = frozenset(
    {
        "grey", "steps", "squint", "difference", "acetate", "one", "two", "three", "reference", "canvas", "as_shot",
        "light_out", "hang_grey_pair", "numbers_at_pointer",
        "ledge", "arms_length", "full_screen",
        "measure", "grid", "plumb", "step_alone", "first_marks", "order_of_work", "keying", "beyond_reach",
        "underpainting", "warmth", "lean", "families", "warmth_difference", "edge_plan", "seen",
        "trace_pen", "trace_follow", "trace_straight", "trace_points", "trace_eraser", "trace_landmark",
        "trace_suggest", "trace_snap",
        *(f"question_{question}" for question in PANELS),
    }
)  # fmt: skip


def make_actions(window: QWidget) -> dict[str, QAction]:
    """Every action of the table by name, added to the window so that its keys work anywhere in it."""
    made: dict[str, QAction] = {}
    for key in all_keys():
        if not key.keys:
            continue
        action = QAction(key.say[:1].upper() + key.say[1:], window)
        action.setObjectName(key.name)
        action.setShortcuts(shortcuts(key.name))
        action.setCheckable(key.name in CHECKABLE)
        action.setToolTip(f"{action.text()} ({key.show})")
        window.addAction(action)
        made[key.name] = action
    return made


class KeyButton(QToolButton):
    """A word, and small beside it the key that does the same."""

    def __init__(self, word: str, key: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.word, self.key = word, key
        self.is_primary = False
        self.setAccessibleName(word)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    @classmethod
    def of(cls, action: QAction, word: str, *, wide: bool = False) -> "KeyButton":
        """A button that does the action and shows whether it is on and whether it can be done."""
        button = cls(word, shown_key(action.objectName()))
        button.setObjectName(f"button_{action.objectName()}")
        button.setDefaultAction(action)
        button.setAccessibleName(word)
        if wide:
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        return button

    def set_word(self, word: str) -> None:
        self.word = word
        self.setAccessibleName(word)
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        width = QFontMetrics(look.font()).horizontalAdvance(self.word)
        if self.key:
            width += QFontMetrics(look.font("note")).horizontalAdvance(self.key) + round(7 * look.scale())
        return QSize(max(width + round(22 * look.scale()), look.target_px()), look.target_px())

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        option = QStyleOptionToolButton()
        self.initStyleOption(option)
        option.text = ""
        dark = self.isEnabled() and (self.isChecked() or self.isDown() or self.is_primary)
        if dark:
            option.state |= QStyle.StateFlag.State_On
        painter = QStylePainter(self)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ToolButton, option)
        shades = look.shades()
        if dark:
            ink = quiet = shades.colour("on_pressed")
        elif self.isEnabled():
            ink, quiet = shades.colour("ink"), shades.colour("quiet")
        else:
            ink = quiet = shades.colour("faint")
        self._write(painter, ink, quiet)

    def _write(self, painter: QPainter, ink: QColor, quiet: QColor) -> None:
        word_font, key_font = look.font(), look.font("note")
        word_width = QFontMetrics(word_font).horizontalAdvance(self.word)
        key_width = QFontMetrics(key_font).horizontalAdvance(self.key)
        gap = round(7 * look.scale()) if self.key else 0
        left = (self.width() - word_width - gap - key_width) // 2
        painter.setFont(word_font)
        painter.setPen(ink)
        middle = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(QRect(left, 0, word_width + 2, self.height()), middle, self.word)
        if self.key:
            painter.setFont(key_font)
            painter.setPen(quiet)
            painter.drawText(QRect(left + word_width + gap, 1, key_width + 2, self.height()), middle, self.key)
