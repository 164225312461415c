"""Making a painting's folder, all of it or nothing."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from core.errors import PaintingError
from core.store import files
from core.store.database import DATABASE, KEPT_COPY
from core.store.faults import told
from core.store.lock import LOCK_FILE, FolderLock
from core.store.photos import PHOTOS
from core.store.records import plain_text
from core.store.rescue import MAKING

OF_THE_SYSTEM = {".DS_Store", "Thumbs.db", "desktop.ini"}
_OF_A_BROKEN_OFF_MAKING = {MAKING, PHOTOS, LOCK_FILE}


@contextmanager
def in_the_making(folder: Path) -> Iterator[Path]:
    """A passing folder to make the painting in; its contents move up into ``folder`` when the block ends well.

    The file that makes a folder a painting moves last, so that a crash leaves either a painting or none.
    """
    is_new = not folder.exists()
    with told("the painting was not made"):
        _require_free(folder)
        folder.mkdir(parents=True, exist_ok=True)
        lock = FolderLock(folder)
        lock.take()
        making = folder / MAKING
        try:
            shutil.rmtree(making, ignore_errors=True)
            (making / PHOTOS).mkdir(parents=True)
            yield making
        except BaseException:
            shutil.rmtree(making, ignore_errors=True)
            lock.release()
            _clear_away(folder, is_new=is_new)
            raise
        try:
            _move_up(making, folder)
        finally:
            lock.release()


def _require_free(folder: Path) -> None:
    shown = plain_text(folder.name)
    if not folder.exists():
        return
    if not folder.is_dir():
        raise PaintingError(f"“{shown}” is a file. Choose another name for the painting's folder.")
    names = {entry.name for entry in folder.iterdir()} - OF_THE_SYSTEM
    if DATABASE in names or KEPT_COPY in names:
        raise PaintingError(f"“{shown}” is a painting already. Open it, or choose another folder for the new one.")
    broken_off = MAKING in names and names <= _OF_A_BROKEN_OFF_MAKING
    if names - {LOCK_FILE} and not broken_off:
        raise PaintingError(f"“{shown}” has other files in it. Choose a new or empty folder for the painting.")


def _clear_away(folder: Path, *, is_new: bool) -> None:
    with suppress(OSError):  # whatever stays behind is empty and does not stand in the way of another try
        (folder / LOCK_FILE).unlink(missing_ok=True)
        if is_new:
            folder.rmdir()


def _move_up(making: Path, folder: Path) -> None:
    shelf = folder / PHOTOS
    shelf.mkdir(exist_ok=True)
    for photo in (making / PHOTOS).iterdir():
        os.replace(photo, shelf / photo.name)
    files.sync_folder(shelf)
    files.move_into_place(making / DATABASE, folder / DATABASE)
    if (making / KEPT_COPY).exists():
        files.move_into_place(making / KEPT_COPY, folder / KEPT_COPY)
    shutil.rmtree(making, ignore_errors=True)
