"""The message strip: what has to be said, in place, without a window that wants to be closed."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, QRect, QRectF, QTimer, Signal
from PySide6.QtGui import QAccessible, QAccessibleEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QProgressBar, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app import look

PASSING_MS = 7000
_WIDEST = 860


@dataclass(frozen=True)
class Offer:
    """Something the painter may do about a message, with one press."""

    label: str
    do: Callable[[], None]


class MessageStrip(QFrame):
    """Floats over ``host``: a sentence with what can be done about it, and the work that is going on.

    It keeps to the foot of the ``room`` that is given for it, so that it never lies over what is to be pressed.
    """

    cancelled = Signal(str)

    def __init__(self, host: QWidget, room: Callable[[], QRect]) -> None:
        super().__init__(host)
        self._room = room
        self._host = host
        self._offers: list[QPushButton] = []
        self._channel = ""
        self._sentence = QLabel()
        self._sentence.setWordWrap(True)
        self._sentence.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._close = QPushButton("Close")
        self._close.setAccessibleName("Close the message")
        self._close.clicked.connect(self.clear)
        self._message = QWidget()
        self._row = QHBoxLayout(self._message)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.addWidget(self._sentence, 1)
        self._row.addWidget(self._close)
        self._doing = QLabel()
        self._bar = QProgressBar()
        self._bar.setMinimumWidth(80)
        self._bar.setTextVisible(False)
        self._stop = QPushButton("Stop")
        self._stop.clicked.connect(self._stop_work)
        self._work = QWidget()
        row = QHBoxLayout(self._work)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._doing)
        row.addWidget(self._bar, 1)
        row.addWidget(self._stop)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 8, 8)
        column.addWidget(self._message)
        column.addWidget(self._work)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.clear)
        host.installEventFilter(self)
        self._message.hide()
        self._work.hide()
        self.hide()

    @property
    def sentence(self) -> str:
        """What is being said now; empty when nothing is."""
        return self._sentence.text() if not self._message.isHidden() else ""

    @property
    def offers(self) -> tuple[QPushButton, ...]:
        return tuple(self._offers)

    def say(self, sentence: str, *offers: Offer, passing: bool = False) -> None:
        """Show a sentence until it is closed or replaced; a ``passing`` one goes by itself."""
        self._drop_offers()
        self._sentence.setText(sentence)
        self.setAccessibleName(sentence)
        for offer in offers:
            button = QPushButton(offer.label)
            look.set_role(button, "primary" if offer is offers[0] else "")
            button.clicked.connect(self._taken(offer))
            self._row.insertWidget(self._row.count() - 1, button)
            self._offers.append(button)
        self._message.show()
        QAccessible.updateAccessibility(QAccessibleEvent(self._sentence, QAccessible.Event.Alert))
        self._timer.stop()
        if passing:
            self._timer.start(PASSING_MS)
        self.lay_out()

    def clear(self) -> None:
        self._timer.stop()
        self._drop_offers()
        self._sentence.clear()
        self._message.hide()
        self.lay_out()

    def show_work(self, channel: str, share: float, doing: str) -> None:
        """Show how far a long piece of work is; ``share`` 0-1, or below 0 when that is not known."""
        self._channel = channel
        self._stop.setEnabled(True)
        self._doing.setText(doing)
        self._bar.setRange(0, 0 if share < 0 else 100)
        self._bar.setValue(round(100 * max(share, 0.0)))
        self._bar.setAccessibleName(doing)
        self._work.show()
        self.lay_out()

    def end_work(self, channel: str) -> None:
        if channel == self._channel:
            self._channel = ""
            self._work.hide()
            self.lay_out()

    def paintEvent(self, event: QPaintEvent) -> None:
        shades = look.shades()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(shades.colour("ink"), 2))
        painter.setBrush(shades.colour("field"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._host and event.type() in (QEvent.Type.Resize, QEvent.Type.Show):
            self.lay_out()
        return super().eventFilter(watched, event)

    def _stop_work(self) -> None:
        """It is asked to stop; until it has, the strip says so."""
        self._doing.setText("Stopping…")
        self._bar.setRange(0, 0)
        self._stop.setEnabled(False)
        self.cancelled.emit(self._channel)

    def _taken(self, offer: Offer) -> Callable[[], None]:
        def take() -> None:
            self.clear()
            offer.do()

        return take

    def _drop_offers(self) -> None:
        for button in self._offers:
            self._row.removeWidget(button)
            button.hide()
            button.deleteLater()
        self._offers.clear()

    def lay_out(self) -> None:
        """Take the place again: the room may have changed."""
        shown = not self._message.isHidden() or not self._work.isHidden()
        self.setVisible(shown)
        if not shown:
            return
        room = self._room()
        width = min(_WIDEST, room.width() - 24)
        layout = self.layout()
        assert layout is not None
        layout.activate()
        height = max(layout.heightForWidth(width) if layout.hasHeightForWidth() else 0, layout.minimumSize().height())
        left = room.left() + (room.width() - width) // 2
        self.setGeometry(QRect(left, room.bottom() - height - 11, width, height))
        self.raise_()
