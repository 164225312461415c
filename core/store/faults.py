"""Turning what the disk and SQLite complain of into sentences for the painter."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from core.errors import PaintingError

# EFBIG is what a file system with small files (a FAT stick) or a quota answers instead of ENOSPC.
NO_ROOM = {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}
NOT_WRITABLE = {errno.EACCES, errno.EPERM, errno.EROFS}

# 0: the error comes from the Python side, such as text that is not UTF-8, which only damage can bring about.
_DAMAGED_CODES = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, 0}


DAMAGED = "The painting's file is damaged. Close the painting and open it again to put it right."


class DamagedError(PaintingError):
    """The painting's file is there but its contents are not sound."""


class NewerVersionError(PaintingError):
    """The painting was saved by a newer version of the program."""


def primary_code(error: sqlite3.Error) -> int:
    """SQLite's primary result code (the low byte of the extended one), or 0 when there is none."""
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF


def is_damage(error: sqlite3.Error) -> bool:
    """Whether the error says that the file's bytes are wrong, not that the disk refused."""
    return primary_code(error) in _DAMAGED_CODES


def database_sentence(error: sqlite3.Error, undone: str) -> str:
    """A sentence for an SQLite error; ``undone`` says what did not happen ("the change was not saved")."""
    if is_damage(error):
        return f"The painting's file is damaged, so {undone}. Close the painting and open it again to put it right."
    match primary_code(error):
        case sqlite3.SQLITE_FULL:
            return f"The disk is full, so {undone}. Make some room and do it again; all that was saved before is safe."
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_PERM | sqlite3.SQLITE_CANTOPEN | sqlite3.SQLITE_AUTH:
            return (
                f"The painting's folder cannot be written to, so {undone}. Check its permissions, or copy it elsewhere."
            )
        case sqlite3.SQLITE_CONSTRAINT:
            return f"The painting's records do not fit together ({error}), so {undone}. Nothing else was changed."
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return f"Another program is holding the painting's file, so {undone}. Close that program and do it again."
        case _:
            return (
                f"The disk did not answer as it should ({error}), so {undone}. Check that it is connected and has room."
            )


def disk_sentence(error: OSError, undone: str) -> str:
    """A sentence for an operating system error; ``undone`` as in ``database_sentence``."""
    if error.errno in NO_ROOM:
        return f"The disk is full, so {undone}. Make some room and do it again; all that was saved before is safe."
    if error.errno in NOT_WRITABLE:
        return f"The painting's folder cannot be written to, so {undone}. Check its permissions, or copy it elsewhere."
    if isinstance(error, TimeoutError):
        return f"The disk does not answer, so {undone}. See that it is connected and awake, and do it again."
    reason = error.strerror or str(error)
    return f"The disk did not answer as it should ({reason}), so {undone}. Check that it is connected and has room."


@contextmanager
def told_of_database(undone: str) -> Iterator[None]:
    """Raise what SQLite complains of inside the block as a PaintingError sentence."""
    try:
        yield
    except sqlite3.ProgrammingError:
        raise  # misuse by the caller, such as another thread: a bug to be seen, not the painter's to mend
    except sqlite3.Error as error:
        raise PaintingError(database_sentence(error, undone)) from error


@contextmanager
def told(undone: str) -> Iterator[None]:
    """Raise what the disk or SQLite complains of inside the block as a PaintingError sentence."""
    try:
        with told_of_database(undone):
            yield
    except OSError as error:
        raise PaintingError(disk_sentence(error, undone)) from error
