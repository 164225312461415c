"""Photographs coming in: copied in a worker, listed when each is safely there."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.work import Progress, Worker
from core.errors import CancelledError, PainterError
from core.painting import Painting, StagedPhoto

INTAKE = "intake"


@dataclass(frozen=True)
class Staged:
    """What came of one delivery: the photos that are safely copied, and a sentence for each that could not be."""

    photos: tuple[StagedPhoto, ...] = ()
    troubles: tuple[str, ...] = ()
    names: tuple[str, ...] = field(default=())


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
        sitting = sitting_for_today(self._painting)
        there = {photo.photo.id: photo for photo in self._painting.canvas_photos() if photo.is_blank == is_blank}
        try:
            with self._painting.step(_label(len(staged.photos))):
                for photo in staged.photos:
                    record = self._painting.import_staged(photo)
                    if record.id in there:
                        troubles.append(f"“{photo.name}” is on the ledge already, as “{there[record.id].name}”.")
                        continue
                    added.append(self._painting.add_canvas_photo(record.id, sitting=sitting, is_blank=is_blank).id)
        except PainterError as trouble:
            added.clear()
            troubles.append(str(trouble))
            safe.clear()
        if troubles:
            self.refused.emit("\n".join(troubles))
        if added:
            self.arrived.emit(added)
        self.ended.emit(tuple(safe))


def stage(
    copy_in: Callable[..., StagedPhoto],
    discard: Callable[[StagedPhoto], None],
    files: tuple[Path, ...],
    progress: Progress,
) -> Staged:
    """Copy each file that is a photograph; a file that is not is told, and hinders none of the others."""
    from core.photo import load_photo

    photos: list[StagedPhoto] = []
    troubles: list[str] = []
    try:
        for number, file in enumerate(files):
            say = f"Bringing in {file.name}"
            progress(number / len(files), say)
            try:
                load_photo(file)
                told = partial(_tell, progress, number, len(files), say)
                photos.append(copy_in(file, progress=told))
            except CancelledError:
                raise
            except PainterError as trouble:
                troubles.append(str(trouble))
    except CancelledError:
        for photo in photos:
            discard(photo)
        raise
    return Staged(tuple(photos), tuple(troubles), tuple(file.name for file in files))


def sitting_for_today(painting: Painting, today: date | None = None) -> int:
    """The latest sitting while its photos were brought in today, else a new one."""
    latest = painting.latest_sitting
    if latest == 0:
        return 1
    newest = max(photo.added_at for photo in painting.canvas_photos() if photo.sitting == latest)
    return latest if newest.astimezone().date() == (today or date.today()) else latest + 1


def _tell(progress: Progress, number: int, count: int, say: str, done: int, whole: int) -> None:
    progress((number + done / max(whole, 1)) / count, say)


def _label(count: int) -> str:
    return "added a canvas photo" if count == 1 else f"added {count} canvas photos"
