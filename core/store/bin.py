"""The bin: where the files of canvas photos that were thrown away lie, inside the painting's folder.

Nothing here is ever erased: the painter empties the bin in the file manager. What belongs in it is written in the
painting's own file, as a plan that is undone and done again like any other; the files follow. Between the two lies no
moment at which anything can be lost: a file is found in either place, it is moved by one renaming, and what a crash
left half done is finished, or taken back, when the painting is opened again.
"""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from core.errors import PaintingError
from core.store.faults import told
from core.store.observer import Change
from core.store.opening import Opened
from core.store.photo_keeping import PhotoKeeping
from core.store.photos import StagedPhoto
from core.store.records import PhotoRecord, now

THROWN_AWAY = "bin"
"""The plan that says what lies in it: for each photograph, by its number, the canvas photo and when it was."""

_OF_THE_BIN = frozenset({"plan", "canvas_photo", "reference", "photo"})
_NOT_MOVED = (
    "A photograph could not be moved between “photos” and “bin”; it is safe where it is. Check that no other program "
    "has it open; it is tried again when the painting is opened."
)


@dataclass(frozen=True)
class BinnedPhoto:
    """A photograph whose file lies in the bin. ``canvas_photo``: its number on the ledge before; None when the painting
    lists it no more, as after a rescue. ``binned_at``: in UTC, None when that is not known. ``bytes``: its length."""

    name: str
    file: Path
    bytes: int
    canvas_photo: int | None = None
    binned_at: datetime | None = None


class PhotoBin(PhotoKeeping):
    """An open painting's bin. What is thrown away and put back is a step of :class:`core.store.ledge.Ledge`."""

    def __init__(self, folder: Path, opened: Opened) -> None:
        super().__init__(folder, opened)
        self._settled = self.thrown_away()
        self._settle()

    @property
    def bin_folder(self) -> Path:
        """Where the bin lies; it is made when it is first wanted."""
        return self._shelf.bin

    def thrown_away(self) -> frozenset[int]:
        """What was thrown away and is used by nothing since."""
        binned = self._thrown()
        if not binned:
            return frozenset()
        used = self._rows("SELECT photo_id FROM reference UNION SELECT photo_id FROM canvas_photo WHERE removed = 0")
        return frozenset(binned) - {int(row["photo_id"]) for row in used}

    def _thrown(self) -> dict[int, dict[str, Any]]:
        """The plan as it is; what cannot be read is left out."""
        kept, found = self.plan(THROWN_AWAY), {}
        for photo, entry in (kept if isinstance(kept, dict) else {}).items():
            if str(photo).isdecimal() and isinstance(entry, dict):
                found[int(photo)] = entry
        return found

    def import_staged(self, staged: StagedPhoto) -> PhotoRecord:
        """As it was; the very bytes that lie in the bin are taken out of it instead of being kept twice."""
        record = super().import_staged(staged)
        if record.already_there and record.id in self._thrown():
            with self.step(f"took “{record.name}” out of the bin"):
                self._leave_bin(record.id)
        return record

    def _enter_bin(self, photo_id: int, canvas_photo_id: int) -> None:
        """Within a step: write it down, and move the file. Raises PaintingError when that cannot be done."""
        self._require_in_place()
        entry = {"canvas_photo": canvas_photo_id, "at": now()}
        self._set_thrown({**self._thrown(), photo_id: entry})
        with told("the photo was not moved to the bin"):
            self._shelf.put(photo_id, in_bin=True)

    def _leave_bin(self, photo_id: int) -> None:
        """Within a step: strike it off; the file follows when the step is saved."""
        kept = self._thrown()
        if kept.pop(photo_id, None) is not None:
            self._set_thrown(kept)

    def _set_thrown(self, entries: dict[int, dict[str, Any]]) -> None:
        self.set_plan(THROWN_AWAY, {str(photo): entry for photo, entry in sorted(entries.items())})

    def bin_contents(self) -> tuple[BinnedPhoto, ...]:
        """What lies in the bin, what was thrown away last first; then what the painting does not list any more."""
        away = self.thrown_away()
        entries = {photo: entry for photo, entry in self._thrown().items() if photo in away}
        newest = sorted(entries, key=lambda photo: str(entries[photo].get("at", "")), reverse=True)
        with told("the bin could not be read"):
            listed = [self._binned(photo, entries[photo]) for photo in newest]
            unlisted = [BinnedPhoto(path.name, path, path.stat().st_size) for path in self._shelf.unlisted_in_bin()]
        return (*(each for each in listed if each is not None), *unlisted)

    def _binned(self, photo_id: int, entry: dict[str, Any]) -> BinnedPhoto | None:
        """None when its file is not there any more."""
        path, state = self._shelf.path(photo_id, read_only=True)
        if state == "missing":
            return None
        number = entry.get("canvas_photo")
        row = None if not isinstance(number, int) else self._row("SELECT name FROM canvas_photo WHERE id = ?", number)
        if row is None:
            return BinnedPhoto(self.photo(photo_id).name, path, path.stat().st_size)
        return BinnedPhoto(row["name"], path, path.stat().st_size, number, _moment(entry.get("at")))

    def _list_again(self, binned: BinnedPhoto) -> int:
        """Within a step: the number of a photograph in the bin that the painting does not list, listed again."""
        with told("the photo was not put back"), self._saving("photo"):
            known = [record.id for record in self._shelf.records() if record.file == binned.file.name]
            return known[0] if known else self._shelf.list_in_place(binned.file)

    def _saved(self, parts: frozenset[str], *rest: Any) -> None:
        if parts & _OF_THE_BIN:
            self._settle()
        super()._saved(parts, *rest)

    def _settle(self) -> None:
        """Bring every file to where the painting says it lies; what cannot be moved now is found where it is."""
        away = self.thrown_away()
        if not self.read_only and self._is_in_place() and (away or self._shelf.bin.is_dir()):
            try:
                for row in self._rows("SELECT id FROM photo"):
                    self._shelf.put(row["id"], in_bin=row["id"] in away)
            except OSError:
                self._notice(_NOT_MOVED)
        moved, self._settled = away ^ self._settled, away
        for photo_id in moved:
            record = self.photo(photo_id)
            self._mark(record.file, "good" if photo_id in away else record.state)

    def _notice(self, sentence: str) -> None:
        if sentence not in self._opened.notices:
            self._opened.notices.append(sentence)
            self.changed.emit(Change(frozenset({"notice"})))


def require_unused(name: str, other: str) -> None:
    """Raise PaintingError when a photo is used elsewhere too; ``other``: as what, empty when it is not."""
    if other:
        raise PaintingError(f"“{name}” is {other} too, so its file has to stay. Remove it from the ledge instead.")


def _moment(text: Any) -> datetime | None:
    try:
        return datetime.fromisoformat(text)
    except (TypeError, ValueError):
        return None
