"""Two cards chosen with Ctrl and a press, to be compared; and a name renamed by pressing it twice."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFontMetrics, QMouseEvent
from PySide6.QtWidgets import QLabel, QWidget

from app import look
from app.ledge.card import Card


class Picking(QObject):
    """Follows cards. ``pair``: two were chosen, by their numbers. ``said``: what the first one waits for."""

    pair = Signal(int, int)
    rename = Signal(int)
    said = Signal(str)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._cards: dict[QObject, Card] = {}
        self._first: Card | None = None
        self._mark: QLabel | None = None

    def follow(self, card: Card) -> None:
        self._cards[card] = card
        card.installEventFilter(self)
        ways = "Press twice on the name to rename it.\nCtrl and a press on two photos compares them."
        card.setToolTip(f"{card.toolTip()}\n{ways}")

    def forget(self) -> None:
        """The cards are not shown any more."""
        self._first, self._mark = None, None
        self._cards.clear()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        card = self._cards.get(watched)
        if card is None or not isinstance(event, QMouseEvent) or event.button() != Qt.MouseButton.LeftButton:
            return super().eventFilter(watched, event)
        if event.type() == QEvent.Type.MouseButtonPress and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._pick(card)
            return True
        if event.type() == QEvent.Type.MouseButtonDblClick and not event.modifiers():
            line = QFontMetrics(look.font("note")).height()
            if event.position().y() > card.height() - line - 10:
                self.rename.emit(card.photo.id)
                return True
        return super().eventFilter(watched, event)

    def _pick(self, card: Card) -> None:
        first = self._first
        self._unpick()
        if first is None:
            self._first, self._mark = card, _mark(card)
            self.said.emit(f"“{card.photo.name}” is to be compared. Press another photo with Ctrl held.")
        elif first is not card:
            self.pair.emit(first.photo.id, card.photo.id)

    def _unpick(self) -> None:
        self._first = None
        if self._mark is not None:
            self._mark.hide()
            self._mark.deleteLater()
            self._mark = None


def _mark(card: QWidget) -> QLabel:
    """A plate on the card that is chosen first."""
    shades = look.shades()
    mark = QLabel("compare", card)
    look.set_role(mark, "note")
    mark.setStyleSheet(
        f"background: {shades.colour('pressed').name()}; color: {shades.colour('on_pressed').name()}; padding: 2px 5px;"
    )
    mark.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
    mark.adjustSize()
    mark.move(6, 5)
    mark.show()
    return mark
