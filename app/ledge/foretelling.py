"""New canvas photos without tabs: laid flat as the photo before was, where the canvas's own edges bear that out."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.kept_reads import KeptReads
from app.studio import Studio
from app.work import Progress
from core.errors import PainterError
from core.painting import CanvasPhotoRecord, Corners
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.foretold import LastSeen
    from core.canvas.locate import CanvasFix

_WORK = "corners: foretell"


@dataclass(frozen=True)
class _Last:
    """A photo whose corners are placed."""

    file: Path
    corners: Corners
    k1: float


class Foretelling(QObject):
    """``laid``: canvas photos that lie flat now, and those that still want corners placed."""

    said = Signal(str)
    laid = Signal(object, object)  # list of int, each

    def __init__(self, studio: Studio, parent: QObject) -> None:
        super().__init__(parent)
        self._studio = studio
        self._last_seen: tuple[_Last, LastSeen] | None = None

    def find(self, canvas_photos: Sequence[int]) -> None:
        """Lay these flat, where that can be; ``laid`` follows."""
        there = self._studio.canvas_photos
        wanted = [photo for photo in there if photo.id in canvas_photos and photo.corners is None]
        last = self._last_before(there, set(canvas_photos))
        if last is None or not wanted or self._studio.painting.read_only:
            self.laid.emit([], [photo.id for photo in wanted])
            return
        painting, ids = self._studio.painting, [photo.id for photo in wanted]
        files = {photo.id: painting.photo_file(photo.photo.id) for photo in wanted}
        known = self._last_seen[1] if self._last_seen is not None and self._last_seen[0] == last else None
        work = partial(_foretold, files, last, known, painting.size, self._studio.checker.kept)
        self._studio.worker.run(_WORK, work, partial(self._take, last, ids), lambda _: self.laid.emit([], ids))

    def _last_before(self, there: Sequence[CanvasPhotoRecord], new: set[int]) -> _Last | None:
        """The latest photo with corners; of blanks only where there is no other, since they show little."""
        placed = [photo for photo in there if photo.corners is not None and photo.id not in new]
        placed = [photo for photo in placed if not photo.is_blank] or placed
        if not placed or placed[-1].corners is None or placed[-1].photo.state == "missing":
            return None
        photo = placed[-1]
        return _Last(self._studio.painting.photo_file(photo.photo.id), placed[-1].corners, photo.lens_k1)

    def _take(self, last: _Last, wanted: list[int], found: "_Found") -> None:
        if found.last_seen is not None:
            self._last_seen = (last, found.last_seen)
        done, painting, fixes = [], self._studio.painting, self._studio.checker.kept.fixes
        try:
            with painting.step("laid photos flat as the one before"):
                for canvas_photo, fix in found.fixes.items():
                    corners = tuple((float(x), float(y)) for x, y in fix.corners_px)
                    painting.set_corners(canvas_photo, corners, found_by="outline", lens_k1=fix.k1)
                    kept = painting.canvas_photo(canvas_photo)
                    assert kept.corners is not None
                    file = painting.photo_file(kept.photo.id)
                    fixes[file, kept.corners] = fix
                    done.append(canvas_photo)
                    if canvas_photo in found.seen:
                        self._last_seen = (_Last(file, kept.corners, kept.lens_k1), found.seen[canvas_photo])
        except PainterError as trouble:
            done.clear()
            self.said.emit(str(trouble))
        self.laid.emit(done, [photo for photo in wanted if photo not in done])


@dataclass(frozen=True, eq=False)
class _Found:
    """``last_seen``: the photo gone by; ``seen``: the last of those laid flat, for the photo that comes next."""

    fixes: "dict[int, CanvasFix]"
    last_seen: "LastSeen | None"
    seen: "dict[int, LastSeen]"


def _foretold(
    files: dict[int, Path], last: _Last, known: "LastSeen | None", size: Size, kept: KeptReads, progress: Progress
) -> _Found:
    """Photos in which the canvas is not found for certain are left."""
    from core.canvas.foretold import LastSeen, locate_again, marks_of

    seen, fixes = known, {}
    ready: dict[int, LastSeen] = {}
    for number, (canvas_photo, file) in enumerate(files.items()):
        progress(number / len(files), "Looking for the canvas, as in the photo before")
        try:
            if seen is None:
                seen = LastSeen.of(kept.photos.photo(last.file), last.corners, size, last.k1)
            photo = kept.photos.photo(file)
            marks = marks_of(photo)
            fix = fixes[canvas_photo] = locate_again(photo, seen, marks=marks)
            ready = {canvas_photo: LastSeen.of(photo, fix.corners_px, size, fix.k1, marks=marks)}
        except PainterError:
            continue
    return _Found(fixes, seen, ready)
