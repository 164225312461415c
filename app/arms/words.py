"""The thing to mend in large type, and the quiet line that passes over the pictures."""

import re
from dataclasses import replace

from PySide6.QtCore import QPoint, QRect, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QAccessible, QAccessibleEvent, QFont, QHideEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from app.arms.mending import Told
from app.arms.surround import SURROUNDS, USUAL
from app.arms.type import COUNT_PT, NOTE_PT, SENTENCE_PT, font, height_of, width_of

MARGIN_PX = 20
PASSING_MS = 7000
_BETWEEN_PX = 32
_WRAPPED = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_NOTE_PAD_PX, _UNDER_HEAD_PX = 12, 10


_FIGURE = re.compile(r"(?<=\d) (?=±|mm\b|cm|steps?\b|%)|(?<=±) (?=\d)")


def whole_figures(sentence: str) -> str:
    """With every figure kept on one line with its unit."""
    return _FIGURE.sub("\N{NO-BREAK SPACE}", sentence)


class MendWords(QWidget):
    """The sentence in 40 points, never smaller; its count, and of what question it is, before it or above it."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.told = Told("")
        self.shades = SURROUNDS[USUAL]
        self.beside = False  # the pictures, and not under them
        self.setAttribute(Qt.WidgetAttribute.WA_AcceptTouchEvents)

    def show_told(self, told: Told) -> None:
        told = replace(told, sentence=whole_figures(told.sentence))
        if told == self.told:
            return
        self.told = told
        self.setAccessibleName(". ".join(each for each in (told.count, told.question, told.sentence) if each))
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.NameChanged))
        self.update()

    def large(self) -> QFont:
        return font(SENTENCE_PT, self.screen())

    def height_for(self, told: Told, width: int, *, beside: bool) -> float:
        """How high it has to be to show all of this; infinite where one word is wider than the line."""
        inner = width - 2 * MARGIN_PX
        head = self._head_size(told, beside=beside)
        if head.width() > inner:
            return float("inf")
        if beside:
            return head.height() + _UNDER_HEAD_PX + height_of(told.sentence, self.large(), inner)
        room = inner - (head.width() + _BETWEEN_PX if head.width() else 0)
        return max(height_of(told.sentence, self.large(), room), head.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, told = QPainter(self), self.told
        room = QRectF(self.rect()).adjusted(MARGIN_PX, 0, -MARGIN_PX, 0)
        head = self._head_size(told, beside=self.beside)
        at = room.topLeft()
        for text, made, part in self._head(told, beside=self.beside):
            painter.setFont(made)
            painter.setPen(self.shades.colour(part))
            box = QRectF(at.x(), at.y(), width_of(text, made) + 2, painter.fontMetrics().height())
            painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, text)
            at.setY(at.y() + box.height())
        if self.beside:
            room.setTop(room.top() + head.height() + (_UNDER_HEAD_PX if head.height() else 0))
        elif head.width():
            room.setLeft(room.left() + head.width() + _BETWEEN_PX)
        painter.setFont(self.large())
        painter.setPen(self.shades.colour("ink"))
        painter.drawText(room, _WRAPPED, told.sentence)

    def _head(self, told: Told, *, beside: bool) -> list[tuple[str, QFont, str]]:
        """Its lines, each with its type and the shade that it is written in."""
        strong, plain = font(COUNT_PT, self.screen(), strong=True), font(COUNT_PT, self.screen())
        if beside and told.count:
            return [(f"{told.count} · {told.question}", strong, "ink")]
        lines = [(told.count, strong, "ink"), (told.question, plain, "quiet")]
        return [line for line in lines if line[0]]

    def _head_size(self, told: Told, *, beside: bool) -> QSize:
        lines = self._head(told, beside=beside)
        wide = max((width_of(text, made) for text, made, _ in lines), default=0.0)
        high = sum(height_of(text, made, wide) for text, made, _ in lines)
        return QSize(-int(-wide // 1), -int(-high // 1))


class Note(QWidget):
    """One quiet line at the foot of a ``room``: it stays, or passes."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.shades = SURROUNDS[USUAL]
        self.sentence = self._staying = ""
        self._room = QRect()
        self._passing = QTimer(self)
        self._passing.setSingleShot(True)
        self._passing.setInterval(PASSING_MS)
        self._passing.timeout.connect(lambda: self._show(self._staying))
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.hide()

    def say(self, sentence: str) -> None:
        """Say this for a moment."""
        self._show(sentence or self._staying)
        if sentence and self.isVisible():
            self._passing.start()

    def stay(self, sentence: str) -> None:
        """Say this for as long as nothing else is said; with "" nothing."""
        if sentence != self._staying:
            self._staying = sentence
            if not self._passing.isActive():
                self._show(sentence)

    def lie_in(self, room: QRect) -> None:
        self._room = room
        made = font(NOTE_PT, self.screen())
        pad, most = 2 * _NOTE_PAD_PX, room.width() - 2 * MARGIN_PX
        wide = min(width_of(self.sentence, made) + 2, most - pad)
        high = height_of(self.sentence, made, wide)
        size = QSize(round(wide) + pad, round(min(high, room.height() - pad)) + pad)
        self.setGeometry(QRect(QPoint(room.left() + MARGIN_PX, room.bottom() - size.height() - 8), size))

    def hideEvent(self, event: QHideEvent) -> None:
        self._passing.stop()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.shades.colour("panel"))
        painter.drawRoundedRect(QRectF(self.rect()), 8, 8)
        painter.setFont(font(NOTE_PT, self.screen()))
        painter.setPen(self.shades.colour("ink"))
        pad = _NOTE_PAD_PX
        painter.drawText(QRectF(self.rect()).adjusted(pad, pad, -pad, -pad), _WRAPPED, self.sentence)

    def _show(self, sentence: str) -> None:
        self._passing.stop()
        if sentence != self.sentence:
            self.sentence = sentence
            self.setAccessibleName(sentence)
            if sentence:
                QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))
        self.lie_in(self._room)
        self.setVisible(bool(sentence))
        self.raise_()
        self.update()
