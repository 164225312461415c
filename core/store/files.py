"""Files that are safe before they are seen: synced, then renamed into place."""

import hashlib
import os
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

if sys.platform != "win32":
    import fcntl

CHUNK = 1 << 20
PARTIAL = ".part"  # ending of every file that is still being written
INCOMING = ".incoming-"  # beginning of those that have no name yet: no kept photo's name begins with a dot

# Only what this program itself writes: a photograph called “garden.part” is a photograph.
_HALF_COPIED = re.compile(r"\.incoming-\w+\.part")
_HALF_SAVED = re.compile(r"painting\.[\w.-]+\.part(-wal|-shm|-journal)?")

Progress = Callable[[int, int], object]


def sync(file: BinaryIO) -> None:
    """Wait until the file's bytes are on the disk itself."""
    file.flush()
    if sys.platform == "darwin":
        # On macOS fsync leaves the bytes in the drive's own cache.
        fcntl.fcntl(file.fileno(), fcntl.F_FULLFSYNC)
    else:
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Wait until the folder's list of names is on the disk; Windows has no such call and needs none."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):  # some network disks refuse; the rename itself has been asked for
            os.fsync(descriptor)
    finally:
        os.close(descriptor)


def move_into_place(partial: Path, path: Path) -> None:
    """Give a finished, synced file its name in one indivisible step."""
    os.replace(partial, path)
    sync_folder(path.parent)


@contextmanager
def partial_of(path: Path) -> Iterator[Path]:
    """A passing file to write what will be ``path``: synced and put in its place if the block ends well, else gone."""
    partial = path.with_name(path.name + PARTIAL)
    partial.unlink(missing_ok=True)
    try:
        yield partial
        with partial.open("r+b") as file:
            sync(file)
        move_into_place(partial, path)
    except BaseException:
        partial.unlink(missing_ok=True)
        raise


def chunks(file: BinaryIO) -> Iterator[bytes]:
    """The file's bytes, a mebibyte at a time."""
    while chunk := file.read(CHUNK):
        yield chunk


def sha256_of(path: Path) -> str:
    """SHA-256 of the file's bytes, hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def free_name(path: Path) -> Path:
    """``path``, or with -2, -3 … before its ending when that name is taken."""
    candidate, number = path, 1
    while candidate.exists() or candidate.is_symlink():
        number += 1
        candidate = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return candidate


def set_aside(path: Path, word: str) -> Path:
    """Rename a file that must not be used, keeping it beside its old name with the word and the date; the new path."""
    kept = free_name(path.with_name(f"{path.stem}.{word}-{datetime.now():%Y-%m-%d-%H%M%S}{path.suffix}"))
    path.rename(kept)
    sync_folder(path.parent)
    return kept


def is_passing(name: str) -> bool:
    """Whether a file of this name is one of our own that is still being written."""
    return bool(_HALF_COPIED.fullmatch(name) or _HALF_SAVED.fullmatch(name))


def clear_partials(folder: Path, photos: Path) -> None:
    """Remove what a crash left half-written; only for the holder of the folder's lock."""
    left = [path for path in folder.iterdir() if _HALF_SAVED.fullmatch(path.name)]
    left += [path for place in (folder, photos) for path in place.iterdir() if _HALF_COPIED.fullmatch(path.name)]
    for path in left:
        with suppress(OSError):  # tried again at the next opening
            path.unlink()
