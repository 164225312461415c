"""Where the painter chooses keys and pedals: press a doing, then the key that is to do it."""

from PySide6.QtCore import QEvent, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from app.arms.buttons import GAP_PX, WordButton
from app.arms.keys import CLOSE, GIVEN, Keys
from app.arms.surround import SURROUNDS, USUAL
from app.arms.type import COUNT_PT, NOTE_PT, font, height_of
from app.look import Shades

CHOOSE = "Press a doing, then the key or pedal for it. What the key did before it does no more; Esc always closes."
ASKED = "Press the key or pedal that is to do “{word}”. Esc leaves it as it is."
USUAL_AGAIN = "All keys are the usual ones again."
_MARGIN_PX = 20
_COLUMNS, _POINTS = 3, (18.0, 16.0, 14.0, 13.0)
_LOWEST_PX, _HIGHEST_PX = 44, 72


class KeysPage(QWidget):
    """Covers the window. ``chosen``: the keys as they are from now on; ``left``: it is done."""

    chosen = Signal(object)
    left = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName("Keys and pedals")
        self.shades = SURROUNDS[USUAL]
        self.keys = Keys.usual()
        self.asked = ""
        self.sentence = CHOOSE
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.buttons: dict[str, WordButton] = {}
        for each in GIVEN:
            button = self.buttons[each.name] = WordButton(each.word, self, beside=True)
            button.setCheckable(True)
            button.clicked.connect(lambda _=False, name=each.name: self.ask(name))
        self.usual = WordButton("The usual keys", self, beside=True)
        self.done = WordButton("Done", self, beside=True)
        self.done.aside = ("Esc",)
        self.usual.clicked.connect(self._usual_again)
        self.done.clicked.connect(self.leave)
        self.hide()

    def open(self, keys: Keys) -> None:
        self.keys, self.asked, self.sentence = keys, "", CHOOSE
        self._refresh()
        self.show()
        self.raise_()
        self.done.setFocus(Qt.FocusReason.OtherFocusReason)

    def ask(self, name: str) -> None:
        """Wait for the key that is to do this; asked again, wait no more."""
        self.asked = "" if self.asked == name else name
        # Whatever has the keyboard would use some keys itself.
        (self if self.asked else self.buttons[name]).setFocus(Qt.FocusReason.OtherFocusReason)
        self.sentence = ASKED.format(word=self.buttons[name].text()) if self.asked else CHOOSE
        self._refresh()

    def take_key(self, key: int) -> bool:
        """Use a key that was pressed, or say False."""
        if self.asked:
            if key == CLOSE:
                self.ask(self.asked)
                return True
            after, self.sentence = self.keys.given(self.asked, key)
            if after is not self.keys:
                self.buttons[self.asked].setFocus(Qt.FocusReason.OtherFocusReason)
                self.keys, self.asked = after, ""
                self.chosen.emit(after)
            self._refresh()
            return True
        if key == CLOSE or self.keys.doing(key) == "keys":
            self.leave()
            return True
        return False

    def leave(self) -> None:
        self.asked = ""
        self.hide()
        self.left.emit()

    def use_shades(self, shades: Shades) -> None:
        self.shades = shades
        for button in (*self.buttons.values(), self.usual, self.done):
            button.shades = shades
        self.update()

    def event(self, event: QEvent) -> bool:
        """While a key is waited for the window has them all, Tab too."""
        if self.asked and event.type() == QEvent.Type.KeyPress:
            event.ignore()
            return False
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def lay_out(self) -> None:
        rows = -(-len(self.buttons) // _COLUMNS)
        inner = self.width() - 2 * _MARGIN_PX
        top = _MARGIN_PX + round(self._head_high()) + 2 * GAP_PX
        high = min(max((self.height() - _MARGIN_PX - top) // rows - GAP_PX, _LOWEST_PX), _HIGHEST_PX)
        wide = (inner + GAP_PX) / _COLUMNS
        points = next((each for each in _POINTS if self._fits(each, wide - GAP_PX)), _POINTS[-1])
        for number, button in enumerate(self.buttons.values()):
            column, row = divmod(number, rows)
            left, right = round(column * wide), round((column + 1) * wide) - GAP_PX
            button.points = points
            button.setGeometry(QRect(_MARGIN_PX + left, top + row * (high + GAP_PX), right - left, high))
        third, above = round(wide) - GAP_PX, round((self._head_high() - GAP_PX) / 2)
        for place, button in enumerate((self.done, self.usual)):
            button.points = min(points, _POINTS[1])
            left, down = self.width() - _MARGIN_PX - third, _MARGIN_PX + place * (above + GAP_PX)
            button.setGeometry(QRect(left, down, third, above))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.shades.colour("surround"))
        room = QRectF(_MARGIN_PX, _MARGIN_PX, self._head_width(), self.height())
        heading, plain = font(COUNT_PT, self.screen(), strong=True), font(NOTE_PT, self.screen())
        painter.setPen(self.shades.colour("ink"))
        painter.setFont(heading)
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft, self.accessibleName())
        room.setTop(room.top() + height_of("K", heading, room.width()) + 4)
        painter.setFont(plain)
        painter.drawText(room, Qt.TextFlag.TextWordWrap, self.sentence)

    def _usual_again(self) -> None:
        self.keys, self.asked, self.sentence = Keys.usual(), "", USUAL_AGAIN
        self.chosen.emit(self.keys)
        self._refresh()

    def _refresh(self) -> None:
        for name, button in self.buttons.items():
            button.aside = self.keys.shown(name)
            button.setChecked(name == self.asked)
            button.setAccessibleDescription("Keys: " + ", ".join(self.keys.shown(name)))
        self.setAccessibleDescription(self.sentence)
        self.lay_out()
        self.update()

    def _head_width(self) -> float:
        return (self.width() - 2 * _MARGIN_PX) * (_COLUMNS - 1) / _COLUMNS - GAP_PX

    def _head_high(self) -> float:
        """Room for the longest that is said, so that nothing moves; and for the two buttons beside it."""
        heading, plain = font(COUNT_PT, self.screen(), strong=True), font(NOTE_PT, self.screen())
        says = max(height_of(CHOOSE, plain, self._head_width()), 2 * height_of("K", plain, self._head_width()))
        return max(height_of("K", heading, self._head_width()) + 4 + says, 2 * _LOWEST_PX + GAP_PX)

    def _fits(self, points: float, width: float) -> bool:
        for name, button in self.buttons.items():
            button.points = points
            if button.needed_width(self.keys.shown(name)) > width:
                return False
        return True
