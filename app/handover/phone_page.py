"""Photos from the phone: the code for its camera, where the program listens, what has come. Off until it is shown."""

import re
import tempfile
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QVBoxLayout, QWidget

from app import look
from app.handover.code_view import CodeView
from app.handover.hand_over import HandOver, listening_words
from app.ledge.intake import Intake
from app.questions.parts import button, text
from app.studio import Studio

_STEPS = (
    "1. Join the phone to the network this computer is on.\n"
    "2. Point the phone’s camera at the code, and open the page it offers.\n"
    "3. Press the button on that page, and take photos or choose some."
)
_OPENING = "Looking for an address on the local network…"
_USED = "A phone has opened the page; its code is used up. For another phone, take a new code."
_LOOK_ONLY = "This painting is open only to look, so no photos can come onto its ledge."
_SAFE = re.compile(r"[\w][\w .()+-]{0,80}\.\w{2,5}")
SIDE_PX = 400
MOST_TOLD = 6


class PhonePage(QWidget):
    """``came``: canvas photos that are on the ledge now. ``left``: the painter has done."""

    left = Signal()
    came = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None, *, hand_over: HandOver | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.hand_over = hand_over or HandOver(self)
        self._intake = Intake(studio.painting, studio.worker, self)
        self._folder: Path | None = None
        self._waiting: dict[str, Path] = {}
        self._told: list[str] = []
        self.code = CodeView()
        self.heading, self.steps = text("Photos from your phone", "heading"), text(_STEPS)
        self.address, self.listening = text("", "subheading"), text("", "note")
        self.address.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.choice = QComboBox()
        self.choice.setAccessibleName("Address to listen on")
        self.choice.activated.connect(lambda index: self._listen_on(self.choice.itemText(index)))
        self.says, self.news = text("", "sentence"), text()
        self.again = button("New code", self._new_code)
        self.done = button("Done", self.left.emit, "primary")
        self._lay_out()
        self.hand_over.opened.connect(self._opened)
        self.hand_over.phone_came.connect(self._phone_came)
        self.hand_over.photo_came.connect(self._photo_came)
        self.hand_over.closed.connect(self._closed)
        self._intake.arrived.connect(self.came)
        self._intake.refused.connect(self._tell)
        self._intake.ended.connect(self._brought_in)

    def begin(self) -> str:
        """Open the hand-over; a sentence where that cannot be, else empty."""
        if self._studio.painting.read_only:
            return _LOOK_ONLY
        self._told.clear()
        self.news.setText("")
        self._folder = Path(tempfile.mkdtemp(prefix="easelside phone "))
        self._listen_on(None)
        return ""

    def leave(self) -> None:
        """Close the hand-over; what has come is still brought in."""
        self.hand_over.close()
        self._clear_folder()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def _listen_on(self, address: str | None) -> None:
        if self._folder is None:
            return
        if self.hand_over.is_open:
            self.hand_over.close()
        self._say(_OPENING)
        self._show_code("")
        self.hand_over.open(self._folder, address)

    def _new_code(self) -> None:
        if self.hand_over.is_open:
            self.hand_over.new_code()
        else:
            self._listen_on(None)

    def _opened(self, listening: object, url: str) -> None:
        offered = [str(each) for each in listening.offered]  # type: ignore[attr-defined]
        self._say("")
        self._show_code(url)
        self.address.setText(url)
        self.listening.setText(listening_words(listening))  # type: ignore[arg-type]
        self.choice.clear()
        self.choice.addItems(offered)
        self.choice.setCurrentText(str(listening.address))  # type: ignore[attr-defined]
        self.choice.setVisible(len(offered) > 1)
        self.again.setText("New code")

    def _phone_came(self) -> None:
        self._show_code("")
        self._say(_USED)

    def _photo_came(self, file: Path, name: str) -> None:
        """Under the phone's own name, where that is one."""
        named = file.with_name(name)
        if _SAFE.fullmatch(name) and not named.exists():
            with suppress(OSError):
                file = file.rename(named)
        self._waiting[file.name] = file
        self._intake.bring_in([file])

    def _brought_in(self, names: tuple[str, ...]) -> None:
        for name in names:
            file = self._waiting.pop(name, None)
            if file is not None:
                self._tell(f"“{name}” is on the ledge.")
                with suppress(OSError):
                    file.unlink()
        if not self.hand_over.is_open:
            self._clear_folder()

    def _closed(self, sentence: str) -> None:
        self._say(sentence)
        self._show_code("")
        self.again.setText("Open again")

    def _tell(self, sentence: str) -> None:
        self._told.append(sentence)
        self.news.setText("\n".join(self._told[-MOST_TOLD:]))

    def _say(self, sentence: str) -> None:
        self.says.setText(sentence)
        self.says.setVisible(bool(sentence))

    def _show_code(self, url: str) -> None:
        from app.handover.qr import qr_modules

        self.code.show_modules(qr_modules(url) if url else None)
        for part in (self.address, self.listening):
            part.setVisible(bool(url))

    def _clear_folder(self) -> None:
        """Once nothing in it is waited for."""
        if self._folder is not None and not self._waiting:
            for inside in sorted(self._folder.rglob("*"), reverse=True):
                with suppress(OSError):
                    inside.rmdir() if inside.is_dir() else inside.unlink()
            with suppress(OSError):
                self._folder.rmdir()
            self._folder = None

    def _lay_out(self) -> None:
        side = QWidget()
        side.setFixedWidth(round(SIDE_PX * look.scale()))
        column = QVBoxLayout(side)
        column.setSpacing(12)
        for part in (
            self.heading, self.steps, self.says, self.address, self.listening, self.choice, self.again, self.news,
        ):  # fmt: skip
            column.addWidget(part)
        column.addStretch(1)
        column.addWidget(self.done)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(24, 16, 24, 16)
        whole.addWidget(self.code, 1)
        whole.addWidget(side)
