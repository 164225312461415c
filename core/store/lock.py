"""One window at a time: an operating system lock on a file in the painting's folder.

The system lets go of the lock when its process ends, however it ends, so a crash never leaves the folder shut.
"""

import errno
import json
import os
import socket
import sys
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from core.errors import PaintingError

LOCK_FILE = "painting.lock"

_HELD = {errno.EAGAIN, errno.EACCES, errno.EDEADLK}
_UNSUPPORTED = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL}


class AlreadyOpenError(PaintingError):
    """The painting is open in another window."""


if sys.platform == "win32":
    import msvcrt

    # Windows locks bytes against reading too: one far past the text keeps the text readable.
    _LOCKED_BYTE = 1 << 30

    def _lock(descriptor: int) -> None:
        os.lseek(descriptor, _LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        os.lseek(descriptor, 0, os.SEEK_SET)

    def _unlock(descriptor: int) -> None:
        os.lseek(descriptor, _LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _lock(descriptor: int) -> None:
        # flock, not lockf: it also keeps two windows of one process apart.
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_UN)


class FolderLock:
    """The lock on one painting's folder; hold it as long as the painting may be changed."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / LOCK_FILE
        self._descriptor: int | None = None
        self.is_real = True  # False where the disk knows no locks
        self._written = b""

    def take(self) -> None:
        """Take the lock, or raise AlreadyOpenError; OSError when the lock file itself cannot be written."""
        descriptor = os.open(self._path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666)
        try:
            _lock(descriptor)
        except OSError as error:
            if error.errno in _HELD:
                os.close(descriptor)
                raise AlreadyOpenError(self._already_open()) from error
            if error.errno not in _UNSUPPORTED:
                os.close(descriptor)
                raise
            self.is_real = False
        self._descriptor = descriptor
        self._write({"pid": os.getpid(), "host": socket.gethostname(), "since": datetime.now().isoformat()})

    def release(self) -> None:
        """Let go; the file stays, since removing it could take it from under another window's feet."""
        if self._descriptor is None:
            return
        self._write({})
        if self.is_real:
            with suppress(OSError):  # closing lets go all the same
                _unlock(self._descriptor)
        os.close(self._descriptor)
        self._descriptor = None

    def is_in_place(self) -> bool:
        """Whether the folder still lies where the lock was taken, and is no other."""
        try:
            return self._path.read_bytes() == self._written if self._written else self._path.exists()
        except OSError:
            return False

    def _write(self, holder: dict[str, object]) -> None:
        # Only for the sentence of the next one who asks: a full disk must not stop the lock.
        self._written = b""
        with suppress(OSError):
            assert self._descriptor is not None
            text = json.dumps(holder).encode()
            os.lseek(self._descriptor, 0, os.SEEK_SET)
            os.ftruncate(self._descriptor, 0)
            if os.write(self._descriptor, text) == len(text):
                self._written = text

    def _already_open(self) -> str:
        where = ""
        try:
            holder = json.loads(self._path.read_text("utf-8"))
            since = datetime.fromisoformat(holder["since"])
            where = f" on {holder['host']} since {since:%H:%M on %d.%m.%Y} (process {int(holder['pid'])})"
        except (OSError, ValueError, KeyError, TypeError):
            where = ""  # the holder has only just taken it
        return (
            f"This painting is already open in another window{where}. "
            "Close it there first, or open it here only to look."
        )
