"""The page of the transfer sheets: what will be printed on the left, how it is wanted on the right."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app import look
from app.actions import KeyButton
from app.checking import Say
from app.dialogs import Dialogs
from app.picture import Picture
from app.printing.choice import SETTING, Choice
from app.printing.jobs import lay, picture_page, write_pdf, write_png, write_svg
from app.printing.settings import Settings
from app.printing.view import PageView
from app.printing.words import REMINDER, page_said, sheets_said
from app.questions.parts import button, row, text
from app.saving import Saving, Write
from app.settling import settling
from app.studio import Studio
from core.drawing.sheet_request import SheetRequest
from core.errors import DrawingError, PainterError

if TYPE_CHECKING:
    from core.drawing.sheet import Sheets

LAY, SHOW, SAVE = "transfer sheets", "page of the transfer sheets", "saving transfer sheets"
SIDE_PX, SIDE_SHARE = 380, 0.42
NO_DRAWING = "There is no line drawing to print yet."


class PrintPage(QWidget):
    """Follows the studio's drawing while it is shown."""

    left = Signal()

    def __init__(self, studio: Studio, dialogs: Dialogs, say: Say, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._saving = Saving(studio.worker, dialogs, say, self)
        self._on = False
        self._sheets: Sheets | None = None
        self._index = 0
        self.view, self.settings = PageView(), Settings()
        self.said, self.trouble = text(role="subheading"), text(role="sentence")
        self.notes, self.reminder = text(role="note"), text(REMINDER, role="note")
        self.which = text()
        self.which.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.previous, self.next = KeyButton("Previous", "Page Up"), KeyButton("Next", "Page Down")
        self.whole = KeyButton("Whole page", "0")
        self._settling = settling(self, self.lay_out_sheets)
        self._lay_out()
        self._connect()

    @property
    def sheets(self) -> "Sheets | None":
        """What was laid out last."""
        return self._sheets

    @property
    def index(self) -> int:
        """Which page is shown, from 0."""
        return self._index

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What the window's actions do on this page."""
        return {"older": partial(self.turn, -1), "newer": partial(self.turn, 1), "sheet": self.save_pdf}

    def begin(self) -> bool:
        """Lay out the sheets as they were wanted last; False when there is no drawing."""
        drawing = self._studio.drawing
        if drawing is None:
            return False
        self._on, self._index, self._sheets = True, 0, None
        choice = Choice.from_json(self._studio.painting.setting(SETTING))
        self.settings.show_choice(choice, (line.layer for line in drawing.lines))
        for label in (self.said, self.notes, self.which):
            label.setText("")
        self.lay_out_sheets()
        return True

    def leave(self) -> None:
        """What is being laid out is not wanted any more; a file that is being written is."""
        if not self._on:
            return
        if self._settling.isActive():
            self._keep()
        self._on = False
        self._settling.stop()
        for channel in (LAY, SHOW):
            self._studio.worker.cancel(channel)
        self._sheets = None
        self.view.clear()

    def lay_out_sheets(self) -> None:
        """Lay the sheets as they are wanted now, away from the window."""
        self._settling.stop()
        try:
            request = self._request()
        except PainterError as trouble:
            self._refuse(str(trouble))
            return
        self._keep()
        self._studio.worker.run(LAY, partial(lay, request), self._laid, self._refuse)

    def turn(self, by: int) -> None:
        """Show a page before or after."""
        self.show_page(self._index + by)

    def show_page(self, index: int) -> None:
        if self._sheets is None or not 0 <= index < len(self._sheets.pages):
            return
        self._index = index
        self._show_number()
        self._picture()

    def save_pdf(self) -> None:
        """The plan and all sheets."""
        self._save("transfer sheets", ".pdf", lambda request, _: partial(write_pdf, request))

    def save_png(self) -> None:
        """The whole canvas as one picture."""
        self._save("drawing", ".png", lambda request, choice: partial(write_png, request, choice.dpi))

    def save_svg(self) -> None:
        """The drawing in mm."""
        self._save("drawing", ".svg", lambda request, _: partial(write_svg, request))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.restyle()

    def restyle(self) -> None:
        """The size of the type, or of the window, has changed."""
        self._beside.setFixedWidth(min(round(look.px(SIDE_PX)), round(SIDE_SHARE * self.width())))
        self.settings.restyle()

    def _lay_out(self) -> None:
        self.back = button("Back", self.left.emit)
        self.pdf = button("Save PDF…", self.save_pdf, role="primary")
        self.png, self.svg = button("PNG…", self.save_png), button("SVG…", self.save_svg)
        for made, words in ((self.png, "Save the whole canvas as a PNG"), (self.svg, "Save the drawing as SVG in mm")):
            made.setAccessibleName(words)
            made.setToolTip(words)
        shown = QVBoxLayout()
        shown.setSpacing(0)
        shown.addWidget(self.view, 1)
        foot = QVBoxLayout()
        foot.setContentsMargins(12, 6, 12, 8)
        foot.setSpacing(4)
        foot.addWidget(self.which)
        turning = row(self.previous, self.next)
        turning.addStretch(1)
        turning.addWidget(self.whole)
        foot.addLayout(turning)
        shown.addLayout(foot)
        self._beside = QWidget()
        column = QVBoxLayout(self._beside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        told = QVBoxLayout()
        told.setContentsMargins(14, 10, 14, 4)
        told.setSpacing(4)
        for part in (self.said, self.trouble, self.notes):
            told.addWidget(part)
        self.trouble.hide()
        column.addLayout(told)
        column.addWidget(self.settings, 1)
        ends = QVBoxLayout()
        ends.setContentsMargins(14, 8, 14, 12)
        ends.setSpacing(8)
        ends.addWidget(self.reminder)
        ends.addLayout(row(self.png, self.svg))
        ends.addLayout(row(self.back, self.pdf, stretch=1))
        column.addLayout(ends)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(shown, 1)
        whole.addWidget(self._beside)

    def _connect(self) -> None:
        self.previous.clicked.connect(lambda: self.turn(-1))
        self.next.clicked.connect(lambda: self.turn(1))
        self.whole.clicked.connect(lambda _=False: self.view.fit())
        self.view.wished.connect(self._picture)
        self.settings.changed.connect(self._settling.start)
        self._studio.drawing_changed.connect(self._drawing_changed)

    def _drawing_changed(self) -> None:
        if self._on:
            self._settling.start()

    def _request(self) -> SheetRequest:
        drawing = self._studio.drawing
        if drawing is None:
            raise DrawingError(NO_DRAWING)
        return self.settings.choice().request(drawing, self._studio.view.squaring.held_to(drawing.size))

    def _keep(self) -> None:
        try:
            choice = self.settings.choice()
        except PainterError:
            return  # what was kept last stays
        self._studio.keep(SETTING, choice.to_json())

    def _laid(self, sheets: "Sheets") -> None:
        if not self._on:
            return
        self._sheets = sheets
        self._index = min(self._index, len(sheets.pages) - 1)
        self.said.setText(sheets_said(sheets))
        self.notes.setText("\n".join(sheets.notes))
        self.trouble.hide()
        self.said.show()
        self.notes.setVisible(bool(sheets.notes))
        self.view.take_paper(sheets.paper)
        self._show_number()
        self._picture()

    def _refuse(self, sentence: str) -> None:
        """Say in place what cannot be laid out; what was laid before is shown dimmed."""
        self._studio.worker.cancel(LAY)
        self.trouble.setText(sentence)
        self.trouble.show()
        self.said.hide()
        self.notes.hide()
        self.view.dim()

    def _show_number(self) -> None:
        if self._sheets is not None:
            self.which.setText(page_said(self._sheets, self._index))
            self.previous.setEnabled(self._index > 0)
            self.next.setEnabled(self._index < len(self._sheets.pages) - 1)

    def _picture(self) -> None:
        if self._sheets is None:
            return
        px_per_mm = self.view.px_per_mm
        work = partial(picture_page, self._sheets, self._index, px_per_mm)
        self._studio.worker.run(SHOW, work, partial(self._pictured, px_per_mm), self._refuse)

    def _pictured(self, px_per_mm: float, picture: Picture) -> None:
        if self._on and self.trouble.isHidden():
            self.view.show_page(picture, px_per_mm)

    def _save(self, what: str, ending: str, writer: Callable[[SheetRequest, Choice], Write]) -> None:
        try:
            request, choice = self._request(), self.settings.choice()
            request.check()
        except PainterError as trouble:
            self._refuse(str(trouble))
            return
        path = self._saving.ask(what, self._studio.painting.title, ending)
        if path is not None:
            self._saving.write(SAVE, path, writer(request, choice))
