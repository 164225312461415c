"""Where the live picture is to come from. No camera is opened, or even looked for, before it is asked for."""

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLineEdit, QScrollArea, QVBoxLayout, QWidget

from app import look
from app.live import words
from app.live.settings import Kind, Wanted, without_password
from app.questions.parts import button, flow, row, text

if TYPE_CHECKING:
    from core.frames.cameras import CameraPlace

WIDE_PX = 760


class Chooser(QScrollArea):
    """``chosen`` gives a :class:`Wanted`. ``listing``: the cameras of this machine are wanted. ``film``: a film is.
    ``stopped``: what is being opened is not wanted any more. ``left``: nothing is to be opened."""

    chosen = Signal(object)
    listing = Signal()
    film = Signal()
    stopped = Signal()
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._last: Wanted | None = None
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Where the live picture comes from")
        self.heading = text("Look at the canvas live", "heading")
        self.lead = text("Point a camera at the canvas. " + words.STAYS_HERE)
        self.says = text("", "sentence")
        self.again = button("", self._go_on, "primary")
        self.stop = button("Cancel", self.stopped.emit)
        self.camera = button("Camera…", self.listing.emit)
        self.network = button("Network camera…", self._ask_address)
        self.play = button("Film…", self.film.emit)
        self.ways = QWidget(self)
        self.found = QWidget(self)
        self._found = QVBoxLayout(self.found)
        self._found.setContentsMargins(0, 0, 0, 0)
        self.address = QLineEdit(self)
        self.address.setPlaceholderText("Such as 192.168.1.20:8080/video")
        self.address.setAccessibleName("Address of the network camera")
        self.address.returnPressed.connect(self._take_address)
        self.hint = text(words.ADDRESS_HINT, "note")
        self.connect_button = button("Open", self._take_address, "primary")
        self.by_address = QWidget(self)
        self.back = button("Back", self.left.emit)
        self._lay_out()
        self.begin(None)

    def begin(self, last: Wanted | None, *, is_shown: bool = False) -> None:
        """Offer what was looked at last, unless its picture ``is_shown`` still."""
        self._last = last
        self.by_address.hide()
        self._clear_found()
        self.back.setText("Back to the picture" if is_shown else "Back")
        self.show_state("", again="" if last is None or is_shown else f"Go on with {_quoted(last)}")
        if last is not None and last.kind is Kind.STREAM:
            self.address.setText(last.place)

    def show_state(self, sentence: str, *, again: str = "", busy: bool = False) -> None:
        """What there is to say, with the button to go on, if any; while ``busy`` it can be called off."""
        self.says.setText(sentence)
        self.says.setVisible(bool(sentence))
        self.again.setText(again)
        self.again.setVisible(bool(again))
        self.stop.setVisible(busy)
        for each in (self.camera, self.network, self.play, self.found, self.by_address):
            each.setEnabled(not busy)
        first = self.again if again else self.stop if busy else self.camera
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def opening(self, wanted: Wanted) -> None:
        self._last = wanted
        self.show_state(
            words.OPENING.format(name="the camera" if wanted.kind is Kind.CAMERA else _quoted(wanted)), busy=True
        )

    def failed(self, sentence: str) -> None:
        """It could not be opened, or has ended."""
        self.show_state(sentence, again="Try again" if self._last is not None else "")

    def show_cameras(self, places: "Sequence[CameraPlace]") -> None:
        """A button for each camera, by its name."""
        self._clear_found()
        self.by_address.hide()
        self.show_state("" if places else words.NO_CAMERAS)
        made = [button(place.name, partial(self.chosen.emit, _camera(place)), "primary") for place in places]
        made.append(button("Look for cameras again", self.listing.emit))
        self._found.addWidget(flow(*made))
        self.found.show()
        made[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def _ask_address(self) -> None:
        self._clear_found()
        self.show_state("")
        self.by_address.show()
        self.address.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take_address(self) -> None:
        address = self.address.text().strip()
        if address:
            self.chosen.emit(Wanted(Kind.STREAM, without_password(address), address))

    def _go_on(self) -> None:
        if self._last is not None:
            self.chosen.emit(self._last)

    def _clear_found(self) -> None:
        while (item := self._found.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        self.found.hide()

    def _lay_out(self) -> None:
        ways = QGridLayout(self.ways)
        ways.setContentsMargins(0, 0, 0, 0)
        ways.setColumnStretch(1, 1)
        ways.setHorizontalSpacing(16)
        for number, (each, told) in enumerate(zip((self.camera, self.network, self.play), words.WAYS, strict=True)):
            ways.addWidget(each, number, 0)
            ways.addWidget(text(told), number, 1)
        asked = QVBoxLayout(self.by_address)
        asked.setContentsMargins(0, 0, 0, 0)
        asked.addLayout(row(self.address, self.connect_button, stretch=0))
        asked.addWidget(self.hint)
        inside = QWidget(self)
        inside.setMaximumWidth(round(look.px(WIDE_PX)))
        column = QVBoxLayout(inside)
        column.setContentsMargins(24, 24, 24, 24)
        column.setSpacing(14)
        parts = (
            self.heading, self.lead, self.says, flow(self.again, self.stop), self.ways, self.found, self.by_address,
            flow(self.back),
        )  # fmt: skip
        for part in parts:
            column.addWidget(part)
        column.addStretch(1)
        outer = QWidget(self)
        middle = QHBoxLayout(outer)
        middle.setContentsMargins(0, 0, 0, 0)
        middle.addStretch(1)
        middle.addWidget(inside, 50)
        middle.addStretch(1)
        self.setWidget(outer)


def _camera(place: "CameraPlace") -> Wanted:
    return Wanted(Kind.CAMERA, place.name, str(place.path), place.index)


def _quoted(wanted: Wanted) -> str:
    return f"“{wanted.name}”"
