"""The page on which the canvas's corners are placed: an outline that was found is offered, never forced."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app import look
from app.picture import Picture
from app.prints import Sheet, Source
from app.questions.parts import button, text
from app.wall.corner_placer import CornerPlacer
from app.work import Progress, Worker
from core import words
from core.painting import FoundBy
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.locate import CanvasFix
    from core.photo import Photo

_FINE_MM = 0.1
FIND, FIX = "find the canvas", "straighten the lens"
_BY_HAND = (
    "Drag each corner onto the canvas’s corner; the glass shows it closely. "
    "Arrow keys move a corner by a pixel, Tab goes to the next."
)


@dataclass(frozen=True, eq=False)
class Placed:
    """Corners as the painter accepted them, ``(4, 2)`` photo pixels, and the lens that goes with them."""

    canvas_photo: int
    corners: NDArray[np.float64]
    found_by: FoundBy
    lens_k1: float


class CornerPage(QWidget):
    """Shows one canvas photo as shot; ``accepted`` gives its corners."""

    accepted = Signal(object)  # Placed
    left = Signal()
    said = Signal(str)

    def __init__(self, worker: Worker, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._worker = worker
        self._photo: Photo | None = None
        self._size: Size | None = None
        self._canvas_photo = 0
        self._offer: CanvasFix | None = None
        self._reference: Sheet | None = None
        self.says = text(role="")
        self.placer = CornerPlacer()
        self.placer.corners_changed.connect(self._moved)
        self.placer.corners_committed.connect(self._commit)
        self.placer.refused.connect(self.said)
        self.accept = QPushButton()
        look.set_role(self.accept, "primary")
        self.accept.clicked.connect(self.placer.commit)
        self.again = button("Find the outline again", self._find)
        self.back = button("Back", self.left.emit)
        foot = QHBoxLayout()
        for part in (self.back, self.again):
            foot.addWidget(part)
        foot.addStretch(1)
        foot.addWidget(self.accept)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 8)
        column.addWidget(self.says)
        column.addWidget(self.placer, 1)
        column.addLayout(foot)

    def show_photo(
        self, canvas_photo: int, photo: "Photo", picture: Picture, source: Source, reference: Sheet | None = None
    ) -> None:
        """Begin: with the corners there are, or by looking for the outline.

        ``reference``, laid flat, tells which of several outlines is the canvas, and which way up it stands.
        """
        self._reference = reference
        self._canvas_photo, self._photo, self._size = canvas_photo, photo, source.size
        self._offer = None
        self.placer.set_photo(picture, source.corners)
        self.placer.choose_corner(0)
        if source.corners is None:
            self._find()
        else:
            self._tell("These corners are placed. Drag any that is off.", "Use these corners")

    def leave(self) -> None:
        """Nothing that is still being looked for is wanted any more."""
        self._worker.cancel(FIND)
        self._worker.cancel(FIX)
        self._photo = None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def _find(self) -> None:
        photo, size = self._photo, self._size
        if photo is None or size is None:
            return
        self._offer = None
        self._tell(f"Looking for the canvas’s outline… {_BY_HAND}", "Use these corners")
        self._worker.run(
            FIND, partial(_find_outline, photo, size, self._reference), self._offer_outline, self._not_found
        )

    def _offer_outline(self, fix: "CanvasFix") -> None:
        if self._photo is None:
            return
        self._offer = fix
        self.placer.set_corners(fix.corners_px)
        advice = "Look at each corner, drag any that is off, then accept."
        self._tell(" ".join([f"An outline was found: {_how_sure(fix)}.", *fix.notes, advice]), "Accept this outline")

    def _not_found(self, sentence: str) -> None:
        self._tell(f"{sentence} {_BY_HAND}", "Use these corners")

    def _moved(self, _corners: object) -> None:
        if self._offer is not None:
            self._offer = None
            self._tell(
                "Corners moved by hand. Accept them when all four sit on the canvas’s corners.", "Use these corners"
            )

    def _commit(self, corners: NDArray[np.float64]) -> None:
        photo, size, offer = self._photo, self._size, self._offer
        if photo is None or size is None:
            return
        if offer is not None:
            self.accepted.emit(Placed(self._canvas_photo, corners, "outline", float(offer.k1)))
            return
        done: Callable[[CanvasFix], None] = partial(self._straightened, self._canvas_photo, corners)
        self._worker.run(FIX, partial(_straighten, photo, size, corners), done, self.said.emit)

    def _straightened(self, canvas_photo: int, corners: NDArray[np.float64], fix: "CanvasFix") -> None:
        self.accepted.emit(Placed(canvas_photo, corners, "given", float(fix.k1)))

    def _tell(self, sentence: str, label: str) -> None:
        self.says.setText(sentence)
        self.accept.setText(label)


def _find_outline(photo: "Photo", size: Size, reference: Sheet | None, progress: Progress) -> "CanvasFix":
    from core.canvas.locate import locate_canvas
    from core.tone import linear_of_codes

    progress(say="Looking for the canvas")
    light = None if reference is None else linear_of_codes(reference.codes, reference.curve)
    return locate_canvas(photo, size, reference=light)


def _straighten(photo: "Photo", size: Size, corners: NDArray[np.float64], progress: Progress) -> "CanvasFix":
    from core.canvas.locate import locate_canvas

    progress(say="Straightening the lens")
    return locate_canvas(photo, size, corners_px=corners)


def _how_sure(fix: "CanvasFix") -> str:
    close = "within 0.1 mm" if fix.uncertainty_mm <= _FINE_MM else f"about {fix.uncertainty_mm:.1f} mm"
    return f"{words.how_sure(fix.confidence)} ({words.per_cent(fix.confidence)}), good to {close} on the canvas"
