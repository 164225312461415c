"""Photographs coming in: copied in a worker, listed when each is safely there."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.ledge.sittings import sitting_for
from app.work import Progress, Worker
from core.errors import CancelledError, PainterError
from core.painting import CanvasPhotoRecord, Painting, StagedPhoto

INTAKE = "intake"


@dataclass(frozen=True)
class Staged:
    """What came of one delivery: the photos that are safely copied, when each was taken as far as its file tells, and
    a sentence for each that could not be."""

    photos: tuple[StagedPhoto, ...] = ()
    troubles: tuple[str, ...] = ()
    names: tuple[str, ...] = field(default=())
    taken: tuple[datetime | None, ...] = ()

    @property
    def by_time(self) -> "list[tuple[StagedPhoto, datetime | None]]":
        """The photos as they were taken; those that do not tell come last, as they came."""
        pairs = list(zip(self.photos, self.taken, strict=True))
        return sorted(pairs, key=lambda pair: pair[1] or datetime.max)


class Intake(QObject):
    """Brings files onto the ledge of a painting, all of one delivery as one step that can be undone."""

    arrived = Signal(object)  # list of canvas photo ids
    refused = Signal(str)
    reference_changed = Signal()
    ended = Signal(object)  # names of the files that are safe in the painting now, also those that were before

    def __init__(self, painting: Painting, worker: Worker, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._painting = painting
        self._worker = worker

    def bring_in(self, files: Sequence[Path], *, is_blank: bool = False) -> None:
        """Copy the files in; ``arrived`` and ``refused`` follow. Another delivery waits for none: it goes beside."""
        channel = f"{INTAKE} {' '.join(str(f) for f in files)[:80]}"
        work = partial(stage, self._painting.stage_photo, self._painting.discard_staged, tuple(files))
        self._worker.run(channel, work, partial(self._list, is_blank), self.refused.emit)

    def change_reference(self, file: Path) -> None:
        """Copy a photograph in and paint from it, whole; ``reference_changed`` or ``refused`` follows."""
        work = partial(stage, self._painting.stage_photo, self._painting.discard_staged, (file,))
        self._worker.run(f"{INTAKE} reference", work, self._use_reference, self.refused.emit)

    def _use_reference(self, staged: Staged) -> None:
        if staged.troubles:
            self.refused.emit("\n".join(staged.troubles))
            return
        try:
            with self._painting.step("changed the reference"):
                self._painting.set_reference(self._painting.import_staged(staged.photos[0]).id)
        except PainterError as trouble:
            self.refused.emit(str(trouble))
        else:
            self.reference_changed.emit()

    def _list(self, is_blank: bool, staged: Staged) -> None:
        troubles, safe = list(staged.troubles), [photo.name for photo in staged.photos]
        added: list[int] = []
        on_ledge, off_ledge = _known(self._painting, is_blank)
        try:
            with self._painting.step(_label(len(staged.photos))):
                for photo, taken in staged.by_time:
                    record = self._painting.import_staged(photo)
                    if record.id in on_ledge:
                        troubles.append(f"“{photo.name}” is on the ledge already, as “{on_ledge[record.id].name}”.")
                    elif record.id in off_ledge:
                        known = off_ledge[record.id]
                        self._painting.restore_canvas_photo(known.id)
                        troubles.append(_back(photo.name, known))
                        added.append(known.id)
                    else:
                        added.append(self._add(record.id, taken, is_blank))
        except PainterError as trouble:
            added.clear()
            troubles.append(str(trouble))
            safe.clear()
        if troubles:
            self.refused.emit("\n".join(troubles))
        if added:
            self.arrived.emit(added)
        self.ended.emit(tuple(safe))

    def _add(self, photo_id: int, taken: datetime | None, is_blank: bool) -> int:
        today = date.today()
        day = today if taken is None else min(taken.date(), today)  # a clock that is ahead is wrong
        sitting = sitting_for(self._painting.canvas_photos(), day)
        return self._painting.add_canvas_photo(photo_id, sitting=sitting, taken_at=taken, is_blank=is_blank).id


def stage(
    copy_in: Callable[..., StagedPhoto],
    discard: Callable[[StagedPhoto], None],
    files: tuple[Path, ...],
    progress: Progress,
) -> Staged:
    """Copy each file that is a photograph; a file that is not is told, and hinders none of the others."""
    from core.photo import load_photo

    photos: list[StagedPhoto] = []
    taken: list[datetime | None] = []
    troubles: list[str] = []
    try:
        for number, file in enumerate(files):
            say = f"Bringing in {file.name}"
            progress(number / len(files), say)
            try:
                moment = load_photo(file).source.taken
                told = partial(_tell, progress, number, len(files), say)
                photos.append(copy_in(file, progress=told))
                taken.append(moment)
            except CancelledError:
                raise
            except PainterError as trouble:
                troubles.append(str(trouble))
    except CancelledError:
        for photo in photos:
            discard(photo)
        raise
    return Staged(tuple(photos), tuple(troubles), tuple(file.name for file in files), tuple(taken))


Known = dict[int, CanvasPhotoRecord]


def _known(painting: Painting, is_blank: bool) -> tuple[Known, Known]:
    """By their photographs: what is on the ledge, and what was taken off it or thrown away."""
    on_ledge: Known = {}
    off_ledge: Known = {}
    for photo in painting.canvas_photos(with_removed=True):
        if photo.is_blank == is_blank:
            (off_ledge if photo.removed else on_ledge)[photo.photo.id] = photo
    return on_ledge, off_ledge


def _back(name: str, photo: CanvasPhotoRecord) -> str:
    return f"“{name}” was on the ledge before: it is back in sitting {photo.sitting}, as it was left."


def _tell(progress: Progress, number: int, count: int, say: str, done: int, whole: int) -> None:
    progress((number + done / max(whole, 1)) / count, say)


def _label(count: int) -> str:
    return "added a canvas photo" if count == 1 else f"added {count} canvas photos"
