"""Measuring how far the projection is out: two photographs, the answer for each corner, and the mending of it."""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QLabel, QWidget

from app import look
from app.prints import Corners, read_photo
from app.projection.projector import Projector
from app.projection.state import MODE_WORDS, Mode
from app.questions.fold import Fold
from app.questions.parts import button, row, text
from app.studio import Studio
from app.work import Progress
from core.errors import PainterError

if TYPE_CHECKING:
    from core.drawing.projection import Projection
    from core.drawing.projection_check import ProjectionCheck

CHANNEL = "projection check"
HOW = (
    "Photograph the whole canvas twice from the same place, first with the projector black, then with its marks. "
    "Leave the corners as they are in between."
)
MENDED = "The corners were moved by this much. Photograph the marks again to see what is left."
MOVED = "The corners have been moved since this was measured."
IN_PLACE = "The projection falls where it should."
_NONE, _FILE = "Choose…", "From a file…"


@dataclass(frozen=True)
class Shot:
    """A photograph to measure by, and the canvas's corners in it where they are known."""

    name: str
    file: Path
    corners: Corners | None = None


class ShotChooser(QComboBox):
    """A photo from the ledge, or from a file."""

    def __init__(self, name: str, studio: Studio, choose_file: Callable[[], Path | None]) -> None:
        super().__init__()
        self._studio, self._choose_file = studio, choose_file
        self._from_file: Shot | None = None
        self._before = 0
        self.shot: Shot | None = None
        self.setAccessibleName(name)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(14)
        self.activated.connect(self._chosen)
        self.fill()

    def fill(self) -> None:
        """List what is on the ledge now; the choice stays."""
        with QSignalBlocker(self):
            self.clear()
            self.addItem(_NONE)
            for each in reversed(self._studio.canvas_photos):
                with suppress(PainterError):  # its file is gone: the ledge says so
                    file = self._studio.painting.photo_file(each.photo.id)
                    self.addItem(each.name, Shot(each.name, file, each.corners))
            if self._from_file is not None:
                self.addItem(self._from_file.name, self._from_file)
            self.addItem(_FILE)
            at = next((i for i in range(self.count()) if self.itemData(i) == self.shot and self.shot is not None), 0)
            self.setCurrentIndex(at)
        self._before, self.shot = at, self.itemData(at)

    def _chosen(self, index: int) -> None:
        if index != self.count() - 1:
            self._before, self.shot = index, self.itemData(index)
            return
        file = self._choose_file()
        if file is not None:
            self.shot = self._from_file = Shot(file.name, file)
        self.fill()


class MeasureFold(Fold):
    """Says what it lacks in its own place. ``told`` with the answer."""

    told = Signal()

    def __init__(
        self, studio: Studio, projector: Projector, choose_photo: Callable[[QWidget, str], Path | None]
    ) -> None:
        super().__init__("How far is it out?", is_open=False)
        self._studio, self._projector = studio, projector
        self._check: ProjectionCheck | None = None
        self._at: Projection | None = None
        self.dark = ShotChooser(
            "Photo with the projector black", studio, partial(choose_photo, self, "Projector black")
        )
        self.lit = ShotChooser("Photo with the marks", studio, partial(choose_photo, self, "Projector with its marks"))
        self.measure = button("Measure", self._measure)
        self.says, self.notes = text(), text(role="note")
        self.corners = [QLabel() for _ in range(4)]
        self.mend = button("Mend by this much", self._mend, "primary")
        self.column.addWidget(text(HOW, "note"))
        for mode, word, chooser in ((Mode.DARK, "1  Black", self.dark), (Mode.MARKS, "2  Marks", self.lit)):
            show = button(word, partial(projector.show_mode, mode))
            show.setAccessibleName(f"Show {MODE_WORDS[mode].lower()}")
            show.setFixedWidth(round(look.px(104)))
            self.column.addLayout(row(show, chooser, stretch=1))
        for part in (self.measure, self.says, *self.corners, self.notes, self.mend):
            self.column.addWidget(part)
        for label in self.corners:
            label.setWordWrap(True)
        studio.ledge_changed.connect(self._fill)
        projector.changed.connect(self._follow)
        self._show("")

    def _fill(self) -> None:
        self.dark.fill()
        self.lit.fill()

    def _measure(self) -> None:
        dark, lit, projection = self.dark.shot, self.lit.shot, self._projector.projection
        if projection is None:
            self._show("Open the projection first: what is measured is where its corners are now.")
        elif dark is None or lit is None:
            self._show("Choose both photos: one with the projector black, one with its marks.")
        elif dark.file == lit.file:
            self._show("This is the same photo twice. Choose one with the projector black and one with its marks.")
        else:
            self._show("Measuring…")
            self.measure.setEnabled(False)
            self._studio.worker.run(
                CHANNEL, partial(measured, dark, lit, projection), partial(self._came, projection), self._show,
                partial(self.measure.setEnabled, True),
            )  # fmt: skip

    def _came(self, projection: "Projection", check: "ProjectionCheck") -> None:
        in_place = all("in place" in corner.say for corner in check.corners)
        self._show(IN_PLACE if in_place else "On the canvas, the projected corners fall:", check, projection)
        self.told.emit()

    def _mend(self) -> None:
        if self._check is not None:
            mended = self._check.mended
            self._check = self._at = None
            self._projector.mend(mended)
            self._show(MENDED)

    def _follow(self) -> None:
        if self._check is not None and self._projector.projection is not self._at:
            self._show(MOVED)

    def _show(
        self, sentence: str, check: "ProjectionCheck | None" = None, projection: "Projection | None" = None
    ) -> None:
        self._check, self._at = check, projection
        self.says.setText(sentence)
        self.says.setVisible(bool(sentence))
        for index, label in enumerate(self.corners):
            label.setText(check.corners[index].say if check is not None else "")
            label.setVisible(check is not None)
        self.notes.setText("\n".join(check.notes) if check is not None else "")
        self.notes.setVisible(bool(self.notes.text()))
        self.mend.setVisible(check is not None)
        self._follow()


def measured(dark: Shot, lit: Shot, projection: "Projection", progress: Progress) -> "ProjectionCheck":
    """For a worker. Raises PainterError with a sentence."""
    from core.drawing.projection_check import check_projection

    progress(say="Reading the photographs")
    plain, marked = read_photo(dark.file), read_photo(lit.file)
    progress(say="Measuring the projection")
    return check_projection(plain, marked, projection, dark_corners_px=dark.corners, lit_corners_px=lit.corners)
