"""The photographs of an open painting: bringing them in, finding them, making sure of them."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from core.errors import PaintingError
from core.store import photos
from core.store.database import examine
from core.store.faults import told
from core.store.files import Progress
from core.store.observer import Change
from core.store.opening import Opened
from core.store.photos import StagedPhoto
from core.store.records import PhotoRecord, PhotoState
from core.store.session import Session

_SILENT = (
    "The disk with the photographs does not answer; all else can be seen and worked on. "
    "See that it is connected and awake, and open the painting again."
)

MOST_NAMED = 3  # missing photographs, before they are only counted


class PhotoKeeping(Session):
    """An open painting's photographs. Bringing one in is never undone: the file stays, whatever uses it."""

    def __init__(self, folder: Path, opened: Opened) -> None:
        super().__init__(folder, opened)
        self._troubled: dict[str, PhotoState] = {}  # by file name
        thrown_away = self.thrown_away()
        for record in self.photos():
            if record.id not in thrown_away:
                self._mark(record.file, record.state)

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences about the folder that the painter should see: how it opened, then which photographs are amiss."""
        if self._shelf.is_silent:
            return (*super().notices, _SILENT)
        return (*super().notices, *_sentences(self._troubled))

    def thrown_away(self) -> frozenset[int]:
        """The photographs whose files lie in the bin, by their numbers: that one is gone from there is no fault."""
        return frozenset()

    def photos(self) -> tuple[PhotoRecord, ...]:
        """Every photograph ever brought in, in order."""
        with told("the painting could not be read"):
            return self._shelf.records()

    def photo(self, photo_id: int) -> PhotoRecord:
        with told("the painting could not be read"):
            return self._shelf.record(photo_id)

    def import_photo(self, file: str | os.PathLike[str], *, progress: Progress | None = None) -> PhotoRecord:
        """Bring a photograph in, byte for byte, and list it once its file is safe.

        ``progress(bytes_done, bytes_in_all)`` is called as it goes; raise CancelledError in it to stop, and nothing is
        left behind. The very bytes the painting already has are answered with their record and ``already_there``; a
        file that was missing or altered is thereby put right. What the bytes are is not looked at: load it first.
        """
        return self.import_staged(self.stage_photo(file, progress=progress))

    def stage_photo(self, file: str | os.PathLike[str], *, progress: Progress | None = None) -> StagedPhoto:
        """The slow part of ``import_photo``, which touches files only and so may run in any thread."""
        self._require_writable()
        self._require_in_place()
        return photos.stage(Path(file), self._shelf.folder, progress)

    def import_staged(self, staged: StagedPhoto) -> PhotoRecord:
        """List a staged photograph, which is then used up: the quick part of ``import_photo``."""
        with told(f"“{staged.name}” was not brought in"):
            try:
                self._require_in_place()
                with self._saving("photo"):
                    record = self._shelf.adopt(staged)
            finally:
                staged.path.unlink(missing_ok=True)
        self._mark(record.file, "good")
        return record

    def discard_staged(self, staged: StagedPhoto) -> None:
        """Let a staged photograph go that is not wanted after all."""
        with suppress(OSError):  # cleared away at the next opening
            staged.path.unlink(missing_ok=True)

    def photo_file(self, photo_id: int) -> Path:
        """Where the photograph is, to be read. Raises PaintingError when its file is missing.

        A file that is not the one brought in any more is answered all the same, with a notice.
        """
        with told("the photograph could not be read"), _silence_told():
            path, state = self._shelf.path(photo_id, read_only=self.read_only)
        self._mark(path.name, state)
        if state == "missing":
            raise PaintingError(_missing(path.name))
        return path

    def verify(self, *, progress: Progress | None = None) -> tuple[str, ...]:
        """Read every byte again; a sentence for each thing that is wrong, none when all is well.

        ``progress(bytes_done, bytes_in_all)`` is called between photographs; what it raises stops the reading.
        """
        found: list[str] = []
        thrown_away = self.thrown_away()
        records = [each for each in self.photos() if each.id not in thrown_away or each.state != "missing"]
        done, in_all = 0, sum(record.bytes for record in records)
        for record in records:
            try:
                with told(f"“{record.file}” could not be read"):
                    state = self._shelf.reread(record.id)
            except PaintingError as error:
                if isinstance(error.__cause__, sqlite3.Error):
                    raise
                found.append(str(error))
                state = "good"  # of what does not answer nothing is known
            else:
                self._mark(record.file, state)
            if state != "good":
                found.append(_SENTENCES[state](record.file))
            done += record.bytes
            if progress is not None:
                progress(done, in_all)
        try:
            with told("the painting's file could not be read"):
                examine(self._connection)
        except PaintingError as error:
            found.append(str(error))
        return tuple(found)

    def _mark(self, file: str, state: PhotoState) -> None:
        before = self._troubled.get(file, "good")
        if state == "good":
            self._troubled.pop(file, None)
        else:
            self._troubled[file] = state
        if state != before:
            self.changed.emit(Change(frozenset({"notice"})))


@contextmanager
def _silence_told() -> Iterator[None]:
    try:
        yield
    except TimeoutError as error:
        raise PaintingError(_SILENT) from error


def _missing(file: str) -> str:
    return f"“{file}” is missing from the photos folder. Put it back, or bring the same photograph in again."


def _altered(file: str) -> str:
    return (
        f"“{file}” in the photos folder is not the photograph that was brought in any more. "
        "Bring the original in again; the altered file will be kept beside it."
    )


_SENTENCES: dict[str, Callable[[str], str]] = {"missing": _missing, "altered": _altered}


def _sentences(troubled: dict[str, PhotoState]) -> list[str]:
    missing = [file for file, state in troubled.items() if state == "missing"]
    sentences = [_altered(file) for file, state in troubled.items() if state == "altered"]
    if len(missing) <= MOST_NAMED:
        return [_missing(file) for file in missing] + sentences
    return [
        f"{len(missing)} photographs are missing from the photos folder, “{missing[0]}” the first of them. "
        "Put them back, or bring the same photographs in again.",
        *sentences,
    ]
