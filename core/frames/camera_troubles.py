"""Why a camera gives no pictures, as far as the system tells: pulled out, denied, used by another program."""

import errno
import os
from contextlib import suppress
from pathlib import Path

_MOST_PROCESSES = 4000


PULLED_OUT = "“{name}” is gone: it was pulled out or switched off. Plug it in again, and open it again."
BUSY = "“{name}” is in use by another program{by}. Close it there, then try again."
DENIED = (
    "This account may not use “{name}”. Add it to the group “video” in the system's settings for users, log in anew, "
    "then try again."
)
ASLEEP = "No picture comes from “{name}”. Wake it or plug it in anew, and see that no other program uses it."
HANGS = "“{name}” does not answer. Plug it in anew, and close other programs that use cameras."
WILL_NOT_OPEN = (
    "“{name}” could not be opened. Close other programs that use cameras, see that the computer's privacy settings "
    "allow them, and try again."
)
_BY_ERROR = {
    errno.EACCES: DENIED,
    errno.EPERM: DENIED,
    errno.EBUSY: BUSY,
    errno.ENODEV: PULLED_OUT,
    errno.ENXIO: PULLED_OUT,
    errno.ENOENT: PULLED_OUT,
    errno.EIO: PULLED_OUT,
}


def why_none(name: str, path: str, *, was_open: bool, processes: Path = Path("/proc")) -> str:
    """A sentence. ``path``: of its node on Linux, "" elsewhere, where the system does not tell. ``was_open``: pictures
    had come before."""
    told = None
    program: str | None = None
    if path.startswith("/"):
        told = _BY_ERROR.get(_error_of(path))
        program = user_of(path, processes) if told is None else None
    if program is not None:
        told = BUSY
    if told is None and was_open:
        told = ASLEEP if path.startswith("/") else PULLED_OUT
    return (told or WILL_NOT_OPEN).format(name=name, by=f" ({program})" if program else "")


def _error_of(path: str) -> int:
    """The number of what stands in the way of opening a node; 0 for nothing."""
    try:
        os.close(os.open(path, os.O_RDWR | getattr(os, "O_NONBLOCK", 0)))
    except OSError as error:
        return error.errno or 0
    return 0


def user_of(path: str, processes: Path = Path("/proc")) -> str | None:
    """The program of this account's that holds a file open, other than this one; "" when it has no name."""
    own = str(os.getpid())
    with suppress(OSError):
        for process in sorted(processes.iterdir())[:_MOST_PROCESSES]:
            if process.name.isdigit() and process.name != own and _holds(process / "fd", path):
                with suppress(OSError):
                    return (process / "comm").read_text("utf-8", "replace").strip()[:40]
                return ""
    return None


def _holds(handles: Path, path: str) -> bool:
    try:
        for handle in handles.iterdir():
            with suppress(OSError):
                if os.readlink(handle) == path:
                    return True
    except OSError:
        return False
    return False
