"""New canvas photos without tabs: laid flat as the photo before was, where the canvas's own edges bear that out."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.checks import Order
from app.kept_reads import KeptReads
from app.studio import Studio
from app.work import Progress
from core.errors import PainterError
from core.painting import CanvasPhotoRecord, Corners
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.foretold import LastSeen
    from core.canvas.locate import CanvasFix

_WORK, _READY = "corners: foretell", "corners: get ready"


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

    def get_ready(self) -> None:
        """Read in the background what the next photo will be laid flat and checked by, so that it need not wait."""
        placed = self._placed(self._studio.canvas_photos, set())
        last = self._last_before(self._studio.canvas_photos, set())
        if placed is None or last is None or self._studio.painting.read_only:
            return
        try:
            order = self._studio.checker.order(placed.id)
        except PainterError:
            return
        if order is not None:
            self._studio.worker.run(
                _READY, partial(_ready, order, self._studio.checker.kept), partial(self._know, last)
            )

    def _know(self, last: _Last, seen: "LastSeen") -> None:
        if self._last_seen is None:
            self._last_seen = (last, seen)

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

    def _placed(self, there: Sequence[CanvasPhotoRecord], new: set[int]) -> CanvasPhotoRecord | None:
        """The latest photo with corners; of blanks only where there is no other, since they show little."""
        placed = [photo for photo in there if photo.corners is not None and photo.id not in new]
        placed = [photo for photo in placed if not photo.is_blank] or placed
        return placed[-1] if placed and placed[-1].photo.state != "missing" else None

    def _last_before(self, there: Sequence[CanvasPhotoRecord], new: set[int]) -> _Last | None:
        photo = self._placed(there, new)
        if photo is None or photo.corners is None:
            return None
        return _Last(self._studio.painting.photo_file(photo.photo.id), photo.corners, photo.lens_k1)

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


def _ready(order: Order, kept: KeptReads, progress: Progress) -> "LastSeen":
    """The last photo, and the reference at the resolution that one like it is checked at."""
    from core.canvas.canvas_map import grid_mm
    from core.canvas.foretold import LastSeen, locate_again
    from core.check import working_px_per_mm
    from core.check_reference import ReferenceWanted
    from core.value.keying import Keying
    from core.value.reach import Reach

    photo = kept.photos.photo(order.photo)
    seen = LastSeen.of(photo, order.corners, order.size, order.lens_k1)
    progress()
    with suppress(PainterError):  # what finding it takes is loaded with that
        locate_again(photo, seen)
    progress()
    px_per_mm = working_px_per_mm(order.size, float(seen.canvas.scales(grid_mm(order.size)).min()))
    keyed = order.keyed
    flat, _ = kept.reference.flat(
        ReferenceWanted(
            kept.references.photo(order.reference),
            None if order.crop is None else np.asarray(order.crop, dtype=np.float64),
            order.size,
            px_per_mm,
            None if keyed is None else Keying(keyed.keying),
            None if keyed is None else Reach(keyed.darkest, keyed.lightest),
        )
    )
    progress()
    kept.reference.edges(flat)
    return seen
