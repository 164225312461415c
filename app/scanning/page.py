"""The page on which a photo or scan of a drawing is brought in: first its sheet's corners, then its lines.

An outline that was found is offered, never forced; nothing is kept until the painter says so.
"""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from app import look
from app.checking import Say
from app.questions.parts import button, row
from app.scanning.jobs import Corners, Found, Shot, find_lines, find_outline
from app.scanning.sides import LinesSide, SheetSide
from app.scanning.view import LinesView
from app.scanning.words import how_sure
from app.studio import Studio
from app.wall.corner_placer import CornerPlacer
from app.wall.quad import NAMES
from core.drawing.drawing import Drawing
from core.errors import PainterError

if TYPE_CHECKING:
    from core.drawing.scan_find import SheetFix

FIND, SCAN = "find the sheet", "find the lines"
SURE = 0.9
"""An outline found more surely than this is offered even where the whole picture may be the sheet."""
SIDE_PX, SIDE_SHARE = 380, 0.42
_BY_HAND = (
    "Drag each corner onto the sheet’s corner; the glass shows it closely. "
    "Arrow keys move a corner by a pixel, Tab goes to the next."
)
_WHOLE = "The whole picture is taken for the sheet, as a scanner makes it. Where it is not, place the corners."
_MOVED = "Corners moved by hand. When all four sit on the sheet’s corners, find its lines."
_CROSSED = (
    "The four corners must go round the sheet without crossing, bending inwards or lying on one another. "
    "Move this corner the other way, or another corner first."
)
_READING = "The painting’s own drawing is still being read. Try again in a moment."


class ScanPage(QWidget):
    """``came`` gives the painting's drawing once the lines are kept."""

    left = Signal()
    came = Signal(object)  # Drawing
    turned = Signal()  # from the corners to the lines, or back

    def __init__(self, studio: Studio, say: Say, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio, self._say = studio, say
        self._shot: Shot | None = None
        self._found: Found | None = None
        self._drawing: Drawing | None = None
        self._k1: float | None = None
        self._by_hand = False
        self.placer, self.view = CornerPlacer(), LinesView()
        for handle, name in zip(self.placer.handles, NAMES, strict=True):
            handle.setAccessibleName(f"{name.capitalize()} corner of the sheet")
        self.placer.setAccessibleName("Corners of the sheet")
        self.sheet_side, self.lines_side = SheetSide(), LinesSide()
        self.pictures, self.sides = QStackedWidget(), QStackedWidget()
        for picture, side in ((self.placer, self.sheet_side), (self.view, self.lines_side)):
            self.pictures.addWidget(picture)
            self.sides.addWidget(side)
        self.back = button("Back", self.go_back)
        self.accept = QPushButton()
        look.set_role(self.accept, "primary")
        self.accept.clicked.connect(lambda _=False: self.go_on())
        self._lay_out()
        self._connect()

    @property
    def picture(self) -> QWidget:
        """The part that shows a picture now."""
        return self.view if self.shows_lines else self.placer

    @property
    def shows_lines(self) -> bool:
        return self.pictures.currentWidget() is self.view

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What the window's actions do on this page."""
        return {"acetate": self._toggle_lines}

    def begin(self, shot: Shot) -> None:
        """Show a photo, and look for its sheet."""
        self._shot, self._by_hand = shot, False
        self.sheet_side.choice.begin(self._studio.painting.size, shot.likely)
        self.lines_side.begin()
        self.placer.set_photo(shot.picture)
        self._show_corners()
        self._find()

    def leave(self) -> None:
        """Nothing that is still being looked for is wanted any more, and the pictures are let go."""
        for channel in (FIND, SCAN):
            self._studio.worker.cancel(channel)
        self._shot = self._found = self._drawing = None
        self.view.clear()
        self.placer.sheet.show_hanging(None)

    def go_back(self) -> None:
        """One step: from the lines to the corners, from the corners to the wall."""
        if self.shows_lines:
            self._show_corners()
        elif self._studio.worker.is_busy(SCAN):
            self._studio.worker.cancel(SCAN)
        else:
            self.left.emit()

    def go_on(self) -> None:
        """From the corners to the lines, from the lines to the painting."""
        if self.shows_lines:
            self._use()
        else:
            self.placer.commit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.go_back()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.restyle()

    def restyle(self) -> None:
        """The size of the type, or of the window, has changed."""
        self._beside.setFixedWidth(min(round(look.px(SIDE_PX)), round(SIDE_SHARE * self.width())))

    def _lay_out(self) -> None:
        self._beside = QWidget()
        column = QVBoxLayout(self._beside)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.sides, 1)
        ends = row(self.back, self.accept, stretch=1)
        ends.setContentsMargins(14, 8, 14, 12)
        column.addLayout(ends)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.pictures, 1)
        whole.addWidget(self._beside)

    def _connect(self) -> None:
        self.placer.corners_changed.connect(self._moved)
        self.placer.corners_committed.connect(self._scan)
        self.placer.refused.connect(lambda _: self._say(_CROSSED))
        side = self.sheet_side
        side.choice.changed.connect(self._other_sheet)
        side.choice.turned.connect(self._stop_scan)
        side.turn_wished.connect(self._turn)
        side.find_wished.connect(self._find)
        side.whole_wished.connect(self._take_whole)
        self.view.accepted.connect(self._use)
        self.lines_side.toggled.connect(self._toggle_lines)
        self.lines_side.placement.changed.connect(self._place)

    def _show_corners(self) -> None:
        self._found = self._drawing = None
        self.view.clear()
        self._turn_page(self.placer, self.sheet_side, "Find the lines")
        self.placer.choose_corner(0)

    def _turn_page(self, picture: QWidget, side: QWidget, label: str) -> None:
        self.pictures.setCurrentWidget(picture)
        self.sides.setCurrentWidget(side)
        self.accept.setText(label)
        self.accept.setEnabled(True)
        self.turned.emit()

    def _find(self) -> None:
        """Look for the outline of the sheet that is chosen."""
        self._stop_scan()
        try:
            sheet = self.sheet_side.choice.sheet()
        except PainterError:
            return  # its size is still being typed
        if self._shot is not None:
            self._by_hand = False
            self.sheet_side.choice.let_follow()
            self._tell(f"Looking for the sheet’s outline… {_BY_HAND}")
            work = partial(find_outline, self._shot.photo, sheet)
            self._studio.worker.run(FIND, work, self._offer_outline, self._not_found)

    def _offer_outline(self, fix: "SheetFix") -> None:
        if self._by_hand or self._shot is None:
            return
        if fix.confidence < SURE and self._shot.has_shape(fix.sheet):
            self._take_whole()
            return
        self._k1 = fix.k1
        self.placer.set_corners(fix.corners_px)
        self.sheet_side.choice.follow(fix.corners_px)
        sheet = self.sheet_side.choice.sheet()
        doubt = self._shot.doubt(fix.corners_px, sheet, self._studio.painting.size, fix.k1)
        found = f"An outline was found: {how_sure(fix)}. Look at each corner and drag any that is off."
        self._tell(f"{found}\n\n{doubt}".rstrip())

    def _not_found(self, sentence: str) -> None:
        if self._by_hand or self._shot is None:
            return
        self._k1 = None
        if self._shot.has_shape(self.sheet_side.choice.sheet()):
            self._take_whole()
        else:
            self._tell(f"{sentence} {_BY_HAND}")

    def _take_whole(self) -> None:
        if self._shot is not None:
            self._studio.worker.cancel(FIND)
            self._set_corners(self._shot.whole())
            self._k1, self._by_hand = 0.0, True
            fits = self._shot.has_shape(self.sheet_side.choice.sheet())
            self._tell(_WHOLE if fits else f"{_WHOLE} The picture has not the shape of this sheet.")

    def _turn(self) -> None:
        from core.drawing.scan_find import turned_corners

        self.sheet_side.choice.let_follow()
        self._set_corners(turned_corners(self.placer.corners, 1))

    def _set_corners(self, corners: Corners) -> None:
        self._stop_scan()
        self.placer.set_corners(corners)
        self.sheet_side.choice.follow(corners)

    def _moved(self, corners: Corners) -> None:
        self._stop_scan()
        self._studio.worker.cancel(FIND)
        self._k1, self._by_hand = None, True
        self.sheet_side.choice.follow(corners)
        self._tell(_MOVED)

    def _other_sheet(self) -> None:
        """Corners placed by hand stay; else the outline is looked for anew, since its shape is a hint."""
        self._stop_scan()
        if self._by_hand:
            self.sheet_side.choice.follow(self.placer.corners)
        else:
            self._find()

    def _stop_scan(self) -> None:
        self._studio.worker.cancel(SCAN)

    def _scan(self, corners: Corners) -> None:
        shot, worker = self._shot, self._studio.worker
        if shot is None:
            return
        try:
            sheet = self.sheet_side.choice.sheet()
        except PainterError as trouble:
            self._say(str(trouble))
            return
        worker.cancel(FIND)
        self._say("")
        self.accept.setEnabled(False)
        work = partial(find_lines, shot, self._studio.painting.size, sheet, corners, self._k1)
        worker.run(SCAN, work, self._show_lines, self._say, partial(self.accept.setEnabled, True))

    def _show_lines(self, found: Found) -> None:
        if self._shot is None:
            return
        self._found = found
        self.lines_side.show_before(self._studio.drawing)
        self.view.show_sheet(found.picture, found.scan.drawing)
        self._turn_page(self.view, self.lines_side, "Use these lines")
        self._place()
        self.view.setFocus()

    def _place(self) -> None:
        """Lay the lines where the sheet is to lie on the canvas."""
        from core.drawing.scan_place import OUTSIDE, is_outside, laid_on, placing

        found, canvas = self._found, self._studio.painting.size
        if found is None:
            return
        corners = self.lines_side.placement.corners(canvas, found.sheet)
        self._drawing = laid_on(found.scan.drawing, canvas, placing(found.sheet, canvas, corners))
        self.view.place(canvas, corners)
        first = (found.doubt, OUTSIDE if is_outside(self._drawing) else "")
        length_mm = found.length_mm * float(corners[1, 0] - corners[0, 0]) / found.sheet.width_mm
        self.lines_side.show_found(self._drawing, length_mm, (*filter(None, first), *found.scan.notes))

    def _toggle_lines(self) -> None:
        if self.shows_lines:
            self.view.show_lines(not self.view.lines_shown)
            self.lines_side.show_lines.setChecked(self.view.lines_shown)

    def _use(self) -> None:
        """Keep the lines, the painting's landmarks with them, in one step that can be undone."""
        drawing, studio = self._drawing, self._studio
        if drawing is None:
            return
        if not studio.keep_now():
            return  # and it has been said why
        if studio.worker.is_busy("drawing"):
            self._say(_READING)
            return
        before = studio.drawing or Drawing(drawing.size)
        adding = bool(before.lines) and self.lines_side.add.isChecked()
        whole = Drawing(drawing.size, (*before.lines, *drawing.lines) if adding else drawing.lines, before.landmarks)
        studio.keep_drawing(whole, "added the lines of a photo" if adding else "took the lines of a photo")
        if studio.keep_now():
            self.left.emit()
            self.came.emit(whole)

    def _tell(self, sentence: str) -> None:
        self.sheet_side.says.setText(sentence)
