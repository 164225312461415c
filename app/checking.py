"""Asking for a check, and what becomes of it: the list, the difference, the printed sheet."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.dialogs import Dialogs
from app.message import Offer
from app.studio import Studio
from app.view import Look, Question
from core.errors import PainterError

Say = Callable[..., None]
NEEDS_CANVAS = "Bring in a photo of the canvas first."
_NEEDS_CORNERS = "The canvas’s corners are not placed in this photo yet, so it cannot be laid flat."


@dataclass(frozen=True)
class Ways:
    """The ways out of what stands before a check."""

    add_photos: Callable[[], None]
    place_corners: Callable[[], None]


class Checking(QObject):
    """Says what is missing, with a way to it; otherwise the check runs in the background."""

    state_changed = Signal()

    def __init__(self, studio: Studio, dialogs: Dialogs, ways: Ways, say: Say, parent: QWidget) -> None:
        super().__init__(parent)
        self._studio, self._dialogs, self._ways, self._say, self._over = studio, dialogs, ways, say, parent
        self._wanted: Look | None = None
        self._just_made = False
        self._unasked: int | None = None
        self._list_for: int | None = None
        self._running: int | None = None
        self._panel: Question | None = None
        studio.checker.made.connect(self._made)
        studio.checker.outdated.connect(self._outdated)
        studio.checker.failed.connect(self._failed)
        studio.findings_changed.connect(self._findings_came)

    def check(self) -> None:
        """Check the canvas photo that hangs against the reference."""
        studio, photo = self._studio, self._studio.canvas_photo
        if photo is None:
            self._say(NEEDS_CANVAS, Offer("Bring in photos…", self._ways.add_photos))
        elif photo.corners is None:
            self._say(_NEEDS_CORNERS, Offer("Place the corners", self._ways.place_corners))
        elif studio.painting.read_only:
            self._say("This painting is open only to look: a check cannot be kept. Open it to work in it.")
        elif not studio.checker.is_busy:
            self._begin(photo.id)

    def check_unasked(self, canvas_photo: int) -> None:
        """A new photo lies flat: check it in the background, after a check that is under way."""
        studio = self._studio
        if studio.painting.read_only or studio.painting.reference is None:
            return
        self._unasked, self._panel = canvas_photo, studio.view.question
        if not studio.checker.is_busy:
            self._begin(canvas_photo, quietly=True)

    def toggle_difference(self, look: Look = Look.DIFFERENCE) -> None:
        """Show a difference, of the values unless told otherwise; without a check, make one first."""
        studio = self._studio
        checked = studio.checked
        if studio.view.chosen.look is look or (checked is not None and checked.compared(look) is not None):
            studio.change_view(studio.view.toggle_look(look))
            return
        refused = checked.refused(look) if checked is not None and checked.findings.is_current else ""
        if refused:
            self._say(refused)
        else:
            self._wanted = look
            self.check()
        studio.view_changed.emit()  # the button pressed is not down yet

    def save_sheet(self) -> None:
        """Save a copy of the printed sheet where the painter wants it."""
        checked = self._studio.checked
        if self._studio.checker.is_drawing:
            self._say("The printed sheet is still being made. Try again in a moment.")
            return
        if checked is None or checked.sheet is None:
            self._say("The printed sheet comes with a check.", Offer("Check the canvas", self.check))
            return
        suggested = Path.home() / f"{self._studio.painting.title} – check.pdf"
        target = self._dialogs.choose_save(self._over, "Save the printed sheet", suggested)
        if target is None:
            return
        target = target if target.suffix.lower() == ".pdf" else target.with_name(f"{target.name}.pdf")
        try:
            target.write_bytes(checked.sheet.read_bytes())
        except OSError as trouble:
            self._say(f"The sheet could not be saved to {target.parent}: {trouble.strerror}. Choose another folder.")
        else:
            self._say(f"The printed sheet is in {target}.", Offer("Open it", partial(self._open, target)))

    def _begin(self, canvas_photo: int, *, quietly: bool = False) -> None:
        try:
            order = self._studio.checker.order(canvas_photo)
        except PainterError as trouble:
            self._say(str(trouble))
            return
        if order is None:
            self._say("The painting has lost its reference, so there is nothing to check against.")
            return
        if not quietly:
            self._say("")
        self._running = canvas_photo
        self._studio.checker.run(order, partial(self._ended, canvas_photo))
        self.state_changed.emit()

    def _go_on(self) -> None:
        """After a check that was not stopped, the one of a newer photo."""
        waiting = self._unasked
        if waiting not in (None, self._running) and waiting == self._studio.view.canvas_photo:
            self._begin(waiting, quietly=True)

    def _made(self, canvas_photo: int) -> None:
        if canvas_photo == self._unasked:
            self._list_for, self._unasked = canvas_photo, None
        self._go_on()
        if canvas_photo == self._studio.view.canvas_photo:
            self._just_made = True
            self._studio.read_check()
        else:
            hang = partial(self._studio.hang_canvas_photo, canvas_photo)
            self._say("The check of another canvas photo is done.", Offer("Hang that photo", hang))

    def _ended(self, canvas_photo: int) -> None:
        self._wanted = self._wanted if self._just_made else None
        self.state_changed.emit()
        if self._unasked == canvas_photo:
            self._unasked = None

    def _findings_came(self) -> None:
        studio, checked = self._studio, self._studio.checked
        if not self._just_made or checked is None:
            return
        self._just_made = False
        view = studio.view
        if view.canvas_photo is not None and not view.shows_canvas:
            view = view.hang_canvas_photo(view.canvas_photo)  # what was found is about the canvas
            studio.change_view(view)
        look, self._wanted = self._wanted, None
        if look is not None and checked.compared(look) is not None and view.chosen.look is not look:
            studio.change_view(view.toggle_look(look))
        unasked, self._list_for = self._list_for == studio.view.canvas_photo, None
        if unasked and studio.view.question is self._panel:  # nobody has turned to something else meanwhile
            self._show_list()
        view = studio.view
        count = len(checked.findings.mend)
        said = f"{count} thing{'' if count == 1 else 's'} to mend" if count else "nothing to mend was found"
        offers = [Offer("Show the list", self._show_list)] if view.question is not Question.MEND else []
        self._say(f"The check is done: {said}.", *offers, passing=True)

    def _show_list(self) -> None:
        self._studio.change_view(replace(self._studio.view, question=Question.MEND))

    def _failed(self, sentence: str) -> None:
        self._say(sentence)
        self._go_on()

    def _outdated(self, _canvas_photo: int) -> None:
        self._say("Something was changed while the check ran, so it was not kept.", Offer("Check again", self.check))
        self._go_on()

    def _open(self, file: Path) -> None:
        if not self._dialogs.open_file(file):
            self._say(f"No program here opens PDF files. The sheet is in {file}.")
