"""Opening a painting's folder: to work in it, or only to look when it is open elsewhere or cannot be written to."""

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from core.errors import PaintingError
from core.store import days, files, rescue, seal
from core.store.database import DATABASE, KEPT_COPY, LOG, copy_is_current, copy_to, open_sound, open_sound_to_read
from core.store.faults import NO_ROOM, NOT_WRITABLE, DamagedError, is_damage, primary_code, told
from core.store.lock import FolderLock
from core.store.photos import PHOTOS

_NO_LOCKS = "This folder's disk cannot keep two windows apart: have this painting open in one window only."
_TO_LOOK = "This painting is open only to look: nothing can be changed here."
_NOT_WRITABLE = (
    "This painting's folder cannot be written to, so it is open only to look. "
    "Check its permissions, or copy it elsewhere, to go on working."
)
_NO_ROOM = "The disk is full, so the painting is open only to look. Make some room and open it again."
_FOUND_DAMAGED = (
    "The painting's file was found damaged, so the safety copy was left as it was. "
    "Close the painting and open it again to put it right."
)
KEPT_SHOWN = (
    "The painting's file is damaged, so the copy kept earlier is shown. "
    "Open the painting to work in it, in a folder that can be written to, and it will be put right."
)
_COPY_SHOWN = "This is an earlier copy of the painting, open only to look."

_WHY_ONLY_LOOK = {
    sqlite3.SQLITE_FULL: _NO_ROOM,
    sqlite3.SQLITE_READONLY: _NOT_WRITABLE,
    sqlite3.SQLITE_CANTOPEN: _NOT_WRITABLE,
    sqlite3.SQLITE_PERM: _NOT_WRITABLE,
}


@dataclass
class Opened:
    """An open painting's file and what came of opening it. ``lock`` is None when it is open only to look."""

    connection: sqlite3.Connection
    lock: FolderLock | None
    notices: list[str] = field(default_factory=list)
    scratch: "TemporaryDirectory[str] | None" = None

    def close(self, sealing: Path | None = None) -> None:
        """Let go of the folder, and seal it first when it was open to work in and ends well."""
        try:
            self.connection.close()
            if sealing is not None and self.lock is not None:
                with suppress(OSError):  # without a seal the next opening only looks less closely
                    seal.write(sealing)
        finally:
            if self.scratch is not None:
                self.scratch.cleanup()
            if self.lock is not None:
                self.lock.release()


def open_folder(folder: Path, *, look_only: bool = False) -> Opened:
    """Open a painting's folder, putting right what can be put right.

    Raises AlreadyOpenError when another window has it, NewerVersionError, or PaintingError with a sentence.
    """
    rescue.require_painting_folder(folder)
    with told("the painting could not be opened"):
        if look_only:
            return _open_to_look(folder, _TO_LOOK)
        try:
            return _open_to_work(folder)
        except (OSError, sqlite3.Error) as error:
            why = _why_only_look(error)
            if why is None:
                raise
        return _open_to_look(folder, why)


def _why_only_look(error: OSError | sqlite3.Error) -> str | None:
    if isinstance(error, sqlite3.Error):
        return _WHY_ONLY_LOOK.get(primary_code(error))
    if error.errno in NO_ROOM:
        return _NO_ROOM
    return _NOT_WRITABLE if error.errno in NOT_WRITABLE else None


def _open_to_work(folder: Path) -> Opened:
    lock = FolderLock(folder)
    lock.take()
    try:
        (folder / PHOTOS).mkdir(exist_ok=True)
        files.clear_partials(folder, folder / PHOTOS)
        _try_writing(folder)
        notices: list[str] = [] if lock.is_real else [_NO_LOCKS]
        broken = seal.broken(folder)
        told_before = len(notices)
        connection = _sound_connection(folder, broken, notices)
        try:
            _try_changing(connection)
            if len(notices) == told_before:  # nothing had to be put right
                days.keep(connection, folder, notices)
            seal.remove(folder)
            if broken:
                renew_kept_copy(connection, folder, notices)
        except BaseException:
            connection.close()
            raise
    except BaseException:
        lock.release()
        raise
    return Opened(connection, lock, notices)


def renew_kept_copy(connection: sqlite3.Connection, folder: Path, notices: list[str]) -> None:
    """Make the kept copy as new as the painting; a copy that cannot be made is a notice, not the end of the work."""
    try:
        with told("the safety copy of the painting's file was not renewed"):
            copy_to(connection, folder / KEPT_COPY)
    except PaintingError as error:
        cause = error.__cause__
        damaged = isinstance(error, DamagedError) or (isinstance(cause, sqlite3.Error) and is_damage(cause))
        sentence = _FOUND_DAMAGED if damaged else str(error)
        if sentence not in notices:
            notices.append(sentence)


def _try_writing(folder: Path) -> None:
    """OSError unless new files can be made in the folder and in its photos."""
    for place in (folder, folder / PHOTOS):
        with tempfile.TemporaryFile(dir=place, prefix=files.INCOMING, suffix=files.PARTIAL) as trial:
            trial.write(b"\0" * 512)
            trial.flush()


def _try_changing(connection: sqlite3.Connection) -> None:
    """sqlite3.Error when the file may not be written, which SQLite says only at the first row that changes."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        connection.execute("UPDATE revision SET number = number")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


def _sound_connection(folder: Path, broken: set[str], notices: list[str]) -> sqlite3.Connection:
    if not (folder / DATABASE).exists():
        return rescue.restore(folder, notices)
    try:
        connection = open_sound(folder / DATABASE)
    except DamagedError:
        return rescue.restore(folder, notices)
    # Other bytes than were sealed, though nothing was saved since: letters have changed where SQLite does not look.
    if broken == {DATABASE} and copy_is_current(connection, folder):
        connection.close()
        return rescue.restore(folder, notices)
    return connection


def _open_to_look(folder: Path, why: str) -> Opened:
    # With a log beside it the file is at work elsewhere, and is read where it is, to see what is saved there. Without,
    # SQLite would leave a log behind even after only reading, so a copy is read.
    if (folder / f"{DATABASE}{LOG}").exists():
        with suppress(DamagedError, sqlite3.Error):
            return Opened(open_sound_to_read(folder / DATABASE), None, [why])
    return _open_scratch(folder, why)


def _open_scratch(folder: Path, why: str) -> Opened:
    with _scratch() as scratch:
        for path in _usable(folder):
            with suppress(DamagedError):
                return _copy_opened(path, scratch, [why] if path.name == DATABASE else [why, KEPT_SHOWN])
        raise PaintingError(
            "The painting's file is damaged and cannot be put right where it is. "
            "Copy the whole folder to a disk that can be written to and open it there; its photographs are in “photos”."
        )


def _usable(folder: Path) -> Iterator[Path]:
    """The painting's file, then its copies, the best first."""
    yield from (path for path in (folder / DATABASE, folder / KEPT_COPY) if path.exists())
    yield from (copy.file for copy in days.copies(folder) if days.is_itself(copy))


def open_copy(folder: Path, file: Path) -> Opened:
    """Open a copy of the painting's file only to look. Raises DamagedError when it is not sound."""
    rescue.require_painting_folder(folder)
    with told("the copy could not be opened"), _scratch() as scratch:
        return _copy_opened(file, scratch, [_COPY_SHOWN])


@contextmanager
def _scratch() -> "Iterator[TemporaryDirectory[str]]":
    """A passing folder; the one who opens something in it keeps it, and otherwise it is cleared away."""
    scratch = TemporaryDirectory(prefix="easelside-", ignore_cleanup_errors=True)
    try:
        yield scratch
    except BaseException:
        scratch.cleanup()
        raise


def _copy_opened(path: Path, scratch: "TemporaryDirectory[str]", notices: list[str]) -> Opened:
    connection = open_sound(_copied(path, Path(scratch.name)))
    connection.execute("PRAGMA query_only = ON")
    return Opened(connection, None, notices, scratch)


def _copied(path: Path, scratch: Path) -> Path:
    for ending in ("", LOG):
        source = path.with_name(f"{path.name}{ending}")
        if source.exists():
            shutil.copyfile(source, scratch / source.name)
    return scratch / path.name
