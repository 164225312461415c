"""“Keep this”: the best of the last frames becomes a photo on the ledge, with the corners that it was followed by."""

import tempfile
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from app.ledge.intake import Intake
from app.live.outside import Outside
from app.studio import Studio
from app.work import Progress
from core.errors import PainterError
from core.painting import Corners, FoundBy

if TYPE_CHECKING:
    from core.canvas.following import Followed

KEEP = "live: keep"
SURE_MM = 1.0
"""Corners that are told less surely than this are not kept with a photo: it asks for them then."""


@dataclass(frozen=True)
class _Waiting:
    """A file that is on its way onto the ledge, and what is known of it."""

    file: Path
    corners: Corners | None
    found_by: FoundBy
    lens_k1: float
    say: str = ""


class Keeper(QObject):
    """One at a time. ``came``: canvas photos that are on the ledge now. ``said``: a sentence. ``changed``: it has
    begun, or is ready for another."""

    came = Signal(object)
    said = Signal(str)
    changed = Signal()

    def __init__(self, studio: Studio, outside: Outside, parent: QObject) -> None:
        super().__init__(parent)
        self._studio, self._outside = studio, outside
        self._intake = Intake(studio.painting, studio.worker, self)
        self._waiting: _Waiting | None = None
        self._intake.arrived.connect(self._arrived)
        self._intake.refused.connect(self._refused)
        self._intake.ended.connect(lambda _names: self._end())

    @property
    def is_busy(self) -> bool:
        return self._waiting is not None

    def keep(self, memory: Any, followed: "Followed | None") -> None:
        """Keep the best of these frames; ``followed``: where the canvas lay in them."""
        if self._waiting is not None:
            return
        folder = Path(tempfile.mkdtemp(prefix="easelside live "))
        file = folder / f"Live {datetime.now().strftime('%Y-%m-%d %H.%M.%S')}.png"
        self._waiting = _Waiting(file, *_sure_place(followed))
        self.changed.emit()

        def work(progress: Progress) -> str:
            progress(say="Choosing the sharpest frame")
            return self._outside.keep(memory, file)

        self._studio.worker.run(KEEP, work, self._bring_in, self._refused)

    def _bring_in(self, say: str) -> None:
        if self._waiting is not None:
            self._waiting = replace(self._waiting, say=say)
            self._intake.bring_in([self._waiting.file])

    def _arrived(self, canvas_photos: list[int]) -> None:
        waiting = self._waiting
        if waiting is not None and waiting.corners is not None:
            try:
                self._studio.painting.set_corners(
                    canvas_photos[0], waiting.corners, found_by=waiting.found_by, lens_k1=waiting.lens_k1
                )
            except PainterError as trouble:
                self.said.emit(str(trouble))
        self.came.emit(canvas_photos)
        if waiting is not None:
            self.said.emit(waiting.say)

    def _refused(self, sentence: str) -> None:
        self._end()
        self.said.emit(sentence)

    def _end(self) -> None:
        """The file is safe in the painting, or was never written."""
        waiting, self._waiting = self._waiting, None
        if waiting is not None:
            with suppress(OSError):
                waiting.file.unlink(missing_ok=True)
                waiting.file.parent.rmdir()
            self.changed.emit()


def _sure_place(followed: "Followed | None") -> tuple[Corners | None, FoundBy, float]:
    """Where the canvas lies, if that is told surely enough to be kept."""
    if followed is None or followed.by == "held" or followed.uncertainty_mm > SURE_MM:
        return None, "given", 0.0
    one, two, three, four = ((float(x), float(y)) for x, y in followed.corners_px)
    return (one, two, three, four), "tabs" if followed.by == "tabs" else "given", followed.k1
