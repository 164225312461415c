"""Large buttons of a word and its key, to be found with a brush in the other hand; and the row of them."""

from collections.abc import Collection, Sequence

from PySide6.QtCore import QEvent, QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

from app import look
from app.arms.keys import Doing, Keys
from app.arms.surround import SURROUNDS, USUAL
from app.arms.type import font, width_of

HEIGHT_PX = 72
GAP_PX = 6
_PAD_PX = 6.0
_WORDS_PT = (20.0, 18.0, 16.0, 14.0, 13.0, 12.0)
_KEY_SHARE = 0.8  # of the word's size
_FEWEST_ROWS_PT = 13.0
"""A second row is begun rather than a smaller word."""
_RING_PX = 3
_PRESSES = (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Select)


class WordButton(QAbstractButton):
    """Shows its word with what else is to be read, ``aside``, under it or at its right end (``beside``).

    Only Tab gives it the keyboard, and only the keys that press a button are its own then.
    """

    def __init__(self, word: str, parent: QWidget, *, beside: bool = False) -> None:
        super().__init__(parent)
        self.setText(word)
        self.aside: tuple[str, ...] = ()
        self.shades = SURROUNDS[USUAL]
        self.points = _WORDS_PT[-1]
        self._beside = beside
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:
        return QSize(round(width_of(self.text(), self.word_font()) + 2 * _PAD_PX), round(look.px(HEIGHT_PX)))

    def word_font(self) -> QFont:
        return font(self.points, self.screen(), strong=True)

    def key_font(self) -> QFont:
        return font(self.points * _KEY_SHARE, self.screen())

    def needed_width(self, aside: tuple[str, ...]) -> float:
        """How wide it has to be for its word and the first two of these beside it."""
        beside = width_of("   ".join(aside[:2]), self.key_font())
        return width_of(self.text(), self.word_font()) + beside + 7 * _PAD_PX

    def nextCheckState(self) -> None:
        """Whether it is on follows what it does, not the press."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _PRESSES and not event.isAutoRepeat():
            self.click()
        else:
            event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, shades = QPainter(self), self.shades
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        down = self.isDown() or self.isChecked()
        ground, ink = ("pressed", "on_pressed") if down else ("field" if self.underMouse() else "raised", "ink")
        painter.setBrush(shades.colour(ground))
        painter.setPen(QPen(shades.colour(ground if down else "line"), 1))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 8, 8)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(shades.colour(ink), _RING_PX))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(4, 4, -4, -4), 5, 5)
        room = QRectF(self.rect()).adjusted(_PAD_PX, 0, -_PAD_PX, 0)
        quiet = shades.colour(ink if down else "quiet")
        if self._beside:
            self._paint_beside(painter, room.adjusted(_PAD_PX, 0, -_PAD_PX, 0), shades.colour(ink), quiet)
        else:
            self._paint_under(painter, room, shades.colour(ink), quiet)

    def _paint_under(self, painter: QPainter, room: QRectF, ink: QColor, quiet: QColor) -> None:
        word, key = QFontMetricsF(self.word_font()), QFontMetricsF(self.key_font())
        aside = self._aside_within(room.width())
        top = room.center().y() - (word.height() + (key.height() if aside else 0.0)) / 2
        centre = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop
        painter.setFont(self.word_font())
        painter.setPen(ink)
        painter.drawText(QRectF(room.left(), top, room.width(), word.height()), centre, self.text())
        painter.setFont(self.key_font())
        painter.setPen(quiet)
        painter.drawText(QRectF(room.left(), top + word.height(), room.width(), key.height()), centre, aside)

    def _paint_beside(self, painter: QPainter, room: QRectF, ink: QColor, quiet: QColor) -> None:
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.setFont(self.word_font())
        painter.setPen(ink)
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | middle, self.text())
        painter.setFont(self.key_font())
        painter.setPen(quiet)
        left = width_of(self.text(), self.word_font()) + 2 * _PAD_PX
        painter.drawText(room, Qt.AlignmentFlag.AlignRight | middle, self._aside_within(room.width() - left))

    def _aside_within(self, width: float) -> str:
        """As much of it as there is room for; the first of it in any case."""
        for count in range(len(self.aside), 0, -1):
            shown = "   ".join(self.aside[:count])
            if count == 1 or width_of(shown, self.key_font()) <= width:
                return shown
        return ""


class ButtonRow(QWidget):
    """A button for each of these doings, in one row, or two where the words would be too small in one."""

    pressed = Signal(str)

    def __init__(self, doings: Sequence[Doing], parent: QWidget) -> None:
        super().__init__(parent)
        self.buttons: dict[str, WordButton] = {}
        for each in doings:
            button = self.buttons[each.name] = WordButton(each.word, self)
            button.setCheckable(each.turns)
            button.clicked.connect(lambda _=False, name=each.name: self.pressed.emit(name))
        self._says = {each.name: each.say for each in doings}
        self._shown = list(self.buttons.values())

    def show_keys(self, keys: Keys) -> None:
        for name, button in self.buttons.items():
            button.aside = keys.shown(name, most=2)
            button.setAccessibleName(f"{button.text()}: {self._says[name]}")
            button.setAccessibleDescription("Keys: " + ", ".join(keys.shown(name)))
            button.update()

    def show_on(self, on: dict[str, bool]) -> None:
        for name, is_on in on.items():
            if name in self.buttons:
                self.buttons[name].setChecked(is_on)

    def show_only(self, names: Collection[str] | None) -> None:
        """Show the buttons of these doings only; None shows all."""
        for name, button in self.buttons.items():
            button.setVisible(names is None or name in names)
        self._shown = [button for name, button in self.buttons.items() if names is None or name in names]

    def use_shades(self, shades: look.Shades) -> None:
        for button in self.buttons.values():
            button.shades = shades
            button.update()

    def height_for(self, width: int) -> int:
        rows, _ = self._rows(width)
        return rows * self._high() + (rows - 1) * GAP_PX

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.lay_out()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.StyleChange, QEvent.Type.FontChange):
            self.lay_out()
        super().changeEvent(event)

    def lay_out(self) -> None:
        rows, points = self._rows(self.width())
        in_row = -(-len(self._shown) // rows)
        high = self._high()
        for number, button in enumerate(self._shown):
            row, place = divmod(number, in_row)
            wide = (self.width() + GAP_PX) / min(in_row, len(self._shown) - row * in_row)
            left, right = round(place * wide), round((place + 1) * wide) - GAP_PX
            button.points = points
            button.setGeometry(QRect(left, row * (high + GAP_PX), right - left, high))
            button.update()

    def _high(self) -> int:
        return round(look.px(HEIGHT_PX))

    def _rows(self, width: int) -> tuple[int, float]:
        """How many rows, and the points of the words in them."""
        points = 0.0
        for rows in (1, 2, 3):
            in_row = -(-len(self._shown) // rows)
            room = (width + GAP_PX) / in_row - GAP_PX - 2 * _PAD_PX
            points = next((each for each in _WORDS_PT if self._widest(each) <= room), 0.0)
            if points >= _FEWEST_ROWS_PT:
                return rows, points
        return 3, points or _WORDS_PT[-1]

    def _widest(self, points: float) -> float:
        made = font(points, self.screen(), strong=True)
        return max(width_of(button.text(), made) for button in self._shown)
