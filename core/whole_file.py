"""Files written whole or not at all: an older file stays until the new one is safely on disk."""

import errno
import os
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from core.errors import PainterError


def write_whole(path: Path, write: Callable[[BinaryIO], object]) -> None:
    """Have ``write`` fill a new file, and put that in the place of ``path``. What goes wrong is raised as it comes.

    The new file grows beside its place, not in the system's temporary folder: a file can only be moved into place on
    its own disk.
    """
    unfinished = path.with_name(f".{path.name[:40]}.{secrets.token_hex(4)}.part")
    try:
        with unfinished.open("xb") as file:
            write(file)
            file.flush()
            os.fsync(file.fileno())
        os.replace(unfinished, path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise


def made_folder(folder: Path | str) -> Path:
    """The folder, made if missing. Raises PainterError with a sentence when it cannot be made."""
    wanted = Path(folder)
    try:
        wanted.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise PainterError(
            f"The folder {wanted} cannot be made: {trouble.strerror}. Choose another place."
        ) from trouble
    return wanted


def save_bytes(path: Path, data: bytes) -> None:
    """Write a file whole. Raises PainterError with a sentence when it cannot be written."""
    try:
        write_whole(path, lambda file: file.write(data))
    except (OSError, ValueError) as error:
        raise PainterError(why_not_written(path, error)) from error


def why_not_written(path: Path, error: Exception) -> str:
    """A sentence for the painter: why a file was not written, and what to do."""
    number = error.errno if isinstance(error, OSError) else None
    if number in (errno.ENOSPC, errno.EDQUOT):
        return f"The disk is full: “{path.name}” was not saved. Make room on it, then save again."
    if number in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"“{path.name}” may not be written in “{path.parent}”. Choose another folder."
    if number in (errno.ENOENT, errno.ENOTDIR):
        return f"There is no folder “{path.parent}” to save “{path.name}” in. Choose another folder."
    if number == errno.EISDIR:
        return f"“{path.name}” is the name of a folder. Choose another name."
    return f"“{path.name}” could not be saved. Choose another folder or name, and save again."
