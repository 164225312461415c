"""What is laid over the desk for a while: corners, cropping the reference, tracing, scanned lines, transfer sheets.

Each page is made when it is first wanted: all of them together would take a fifth of the time that opening a painting
takes, and most sittings need one or two.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.checking import NEEDS_CANVAS, Say
from app.compare_two.page import ComparePage
from app.corners import CornerPage, Placed
from app.dialogs import Dialogs
from app.film.laid_over import LaidOver
from app.handover.phone_page import PhonePage
from app.live.page import LivePage
from app.picture import Picture
from app.printing.page import PrintPage
from app.prints import Corners, read_for_crop
from app.recrop import CropPage
from app.reporting.page import ReportPage
from app.scanning.jobs import Shot, read_shot
from app.scanning.page import ScanPage
from app.studio import Studio
from app.tracing.page import TracePage
from app.view import Subject
from core.errors import PainterError

if TYPE_CHECKING:
    from app.film.page import FilmPage
    from core.photo import Photo

_WITH_HANDLERS = TracePage | ScanPage | PrintPage | ComparePage | LivePage | LaidOver
_TO_LEAVE = CornerPage | ScanPage | PrintPage | ComparePage | LivePage | PhonePage | LaidOver | ReportPage
_STYLED = TracePage | ScanPage | PrintPage | ComparePage | LaidOver | ReportPage
_WHILE_TRACING = frozenset({"undo", "redo"})


class Placing(QStackedWidget):
    """The work, or one of the pages over it. ``placed`` says that a photo can be laid flat now."""

    placed = Signal()
    canvas_wanted = Signal(str)
    photos_came = Signal(object)  # from the phone or the camera, as their pages tell it
    drawing_came = Signal(object)  # Drawing: found in a scan

    def __init__(
        self,
        studio: Studio,
        work: QWidget,
        actions: dict[str, QAction],
        dialogs: Dialogs,
        say: Say,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._studio, self._work, self._actions = studio, work, actions
        self._dialogs, self._say = dialogs, say
        self.addWidget(work)

    @cached_property
    def corners(self) -> CornerPage:
        page = CornerPage(self._studio.worker, self)
        page.accepted.connect(self._corners_placed)
        page.said.connect(self._say)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def crop(self) -> CropPage:
        page = CropPage(self)
        page.accepted.connect(self._cropped)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def trace(self) -> TracePage:
        page = TracePage(self._studio, self._actions, self._say, self)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def scan(self) -> ScanPage:
        page = ScanPage(self._studio, self._say, self)
        page.came.connect(self.drawing_came)
        page.turned.connect(self._turned)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def sheets(self) -> PrintPage:
        page = PrintPage(self._studio, self._dialogs, self._say, self)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def phone(self) -> PhonePage:
        page = PhonePage(self._studio, self)
        page.came.connect(self.photos_came)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def two(self) -> ComparePage:
        page = ComparePage(self._studio, self)
        page.corners_wanted.connect(self._corners_of)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def film(self) -> "FilmPage":
        from app.film.page import FilmPage  # loads what reads photos, which few sittings need at once

        page = FilmPage(self._studio, self._dialogs, self._say, self)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def live(self) -> LivePage:
        page = LivePage(self._studio, self._dialogs, self._say, self)
        page.came.connect(self.photos_came)
        page.turned.connect(self._turned)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @cached_property
    def reporting(self) -> ReportPage:
        page = ReportPage(self._studio, self._dialogs, self._say, self)
        page.left.connect(self.leave)
        self.addWidget(page)
        return page

    @property
    def is_away(self) -> bool:
        """Whether a page lies over the work."""
        return self.currentWidget() is not self._work

    @property
    def picture(self) -> QWidget | None:
        """The part of the page that shows a picture; None when the work is shown."""
        match self.currentWidget():
            case CornerPage() as page:
                return page.placer
            case CropPage() | TracePage() | PrintPage() as page:
                return page.view
            case ScanPage() | LivePage() | LaidOver() as page:
                return page.picture
            case ComparePage() as page:
                return page.wall
        return None

    @property
    def is_tracing(self) -> bool:
        return isinstance(self.currentWidget(), TracePage)

    def instead_of(self, name: str, do: Callable[[], object]) -> Callable[[], object] | None:
        """What an action that would ``do`` something does on the page that is shown; None when it rests there."""
        if not self.is_away or (self.is_tracing and name in _WHILE_TRACING):
            return do
        page = self.currentWidget()
        return page.handlers().get(name) if isinstance(page, _WITH_HANDLERS) else None

    def place_corners(self) -> None:
        """Show the photo that hangs as shot, with its corners or an outline that is offered."""
        source, photo = self._studio.source(Subject.CANVAS), self._studio.canvas_photo
        if source is None or photo is None:
            self.canvas_wanted.emit(NEEDS_CANVAS)
            return
        self._studio.read_for_corners(source, partial(self._show_corners, photo.id))

    def crop_reference(self) -> None:
        """Show the whole reference with the frame that crops it."""
        source = self._studio.source(Subject.REFERENCE)
        if source is None:
            self._say("The reference is not there to be cropped.")
            return
        self._studio.worker.run("crop photo", partial(read_for_crop, source.file), self._show_crop, self._say)

    def trace_lines(self) -> None:
        """Show the reference, to draw lines over it."""
        if not self.is_tracing:
            self._say("")
            if self.trace.begin():
                self.setCurrentWidget(self.trace)
                self.trace.view.setFocus()

    def scan_drawing(self, file: Path) -> None:
        """Show a photo or scan of a drawing, to find its lines."""
        if self._studio.painting.read_only:
            self._say("This painting is open only to look, so no drawing can be brought into it.")
            return
        read = partial(read_shot, file, self._studio.painting.size)
        self._studio.worker.run("scan photo", read, self._show_scan, self._say)

    def print_sheets(self) -> bool:
        """Show the transfer sheets; False when there is no drawing to print."""
        if not self.sheets.begin():
            return False
        self._say("")
        self.setCurrentWidget(self.sheets)
        self.sheets.view.setFocus()
        return True

    def photos_from_phone(self) -> None:
        """Show the code that a phone hands photos over by."""
        if isinstance(self.currentWidget(), PhonePage):
            return
        trouble = self.phone.begin()
        self._say(trouble)
        if not trouble:
            self.setCurrentWidget(self.phone)
            self.phone.done.setFocus()

    def look_live(self) -> None:
        """Show the canvas as a camera sees it now."""
        if not isinstance(self.currentWidget(), LivePage):
            self._say("")
            self.setCurrentWidget(self.live)
            self.live.begin()

    def compare_two(self, one: int, other: int) -> None:
        """Show two canvas photos side by side, and what changed between them."""
        self.leave()
        trouble = self.two.begin(one, other)
        self._say(trouble)
        if not trouble:
            self.setCurrentWidget(self.two)
            self.two.focus_wall()

    def report(self) -> None:
        """Show the painting's report, to choose what goes in and save it."""
        if isinstance(self.currentWidget(), ReportPage):
            return
        trouble = self.reporting.begin()
        self._say(trouble)
        if not trouble:
            self.setCurrentWidget(self.reporting)
            self.reporting.focus_first()

    def film_of_progress(self) -> None:
        """Show the canvas photos as a film, to be set and saved."""
        self.leave()
        trouble = self.film.begin()
        self._say(trouble)
        if not trouble:
            self.setCurrentWidget(self.film)
            self.film.focus_picture()

    def leave(self) -> None:
        if self.is_away:
            for page in self._made():
                if isinstance(page, _TO_LEAVE):
                    page.leave()
                elif isinstance(page, TracePage):
                    page.end()
            self.setCurrentWidget(self._work)

    def restyle(self) -> None:
        """The size of the type has changed; pages still to be made are made in it."""
        for page in self._made():
            if isinstance(page, _STYLED):
                page.restyle()

    def _made(self) -> list[QWidget | None]:
        return [self.widget(index) for index in range(self.count())]

    def _turned(self) -> None:
        """The page shows another part of itself."""
        self.currentChanged.emit(self.currentIndex())

    def _corners_of(self, canvas_photo: int) -> None:
        self.leave()
        self._studio.hang_canvas_photo(canvas_photo)
        self.place_corners()

    def _show_corners(self, canvas_photo: int, photo: "Photo", picture: Picture) -> None:
        source = self._studio.source(Subject.CANVAS)
        if source is not None and self._studio.view.canvas_photo == canvas_photo:
            self._say("")
            self.setCurrentWidget(self.corners)
            reference = self._studio.source(Subject.REFERENCE)
            sheet = None if reference is None else self._studio.room.value(reference)
            self.corners.show_photo(canvas_photo, photo, picture, source, sheet)

    def _show_crop(self, read: tuple[Picture, int, int]) -> None:
        source = self._studio.source(Subject.REFERENCE)
        if source is not None:
            self._say("")
            self.setCurrentWidget(self.crop)
            self.crop.show_photo(*read, source)

    def _show_scan(self, shot: Shot) -> None:
        self.leave()
        self._say("")
        self.setCurrentWidget(self.scan)
        self.scan.begin(shot)

    def _corners_placed(self, placed: Placed) -> None:
        try:
            self._studio.painting.set_corners(
                placed.canvas_photo, placed.corners, found_by=placed.found_by, lens_k1=placed.lens_k1
            )
        except PainterError as trouble:
            self._say(str(trouble))
            return
        self.leave()
        self._studio.change_view(replace(self._studio.view, as_shot=False).hang_canvas_photo(placed.canvas_photo))
        self.placed.emit()

    def _cropped(self, corners: Corners) -> None:
        try:
            self._studio.painting.set_reference_crop(corners)
        except PainterError as trouble:
            self._say(str(trouble))
        else:
            self.leave()
