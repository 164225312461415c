"""Files written whole or not at all: an older file stays until the new one is safely on disk."""

import os
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO


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
