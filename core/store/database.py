"""The SQLite file: opening it, making sure it is sound, writing in transactions, and keeping a good copy."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from core.errors import PainterError
from core.store import drawings, files
from core.store.faults import DAMAGED, DamagedError, NewerVersionError, is_damage, primary_code
from core.store.records import (
    canvas_photo_from,
    documents_from,
    landmark_by_hand_from,
    painting_from,
    photo_from,
    reference_from,
)
from core.store.schema import MIGRATIONS, Migration, migrate, version_of

DATABASE = "painting.sqlite"
KEPT_COPY = "painting.backup.sqlite"
LOG = "-wal"  # what SQLite adds to the name of the log beside a file

_BUSY_SECONDS = 2.0


def _as_uri(path: Path) -> str:
    uri = path.absolute().as_uri()
    # SQLite takes no host in an address: a Windows share is written with an empty one.
    return uri if uri.startswith("file:///") else uri.replace("file://", "file:////", 1)


def connect(path: Path, *, new: bool = False) -> sqlite3.Connection:
    """Open the file to write, setting what SQLite does not remember. ``new`` allows it to be made.

    Synchronous FULL: every commit waits for the disk, so a pulled plug costs only the change in hand. NORMAL would be
    quicker by one wait, but with a write-ahead log may lose every commit since the last checkpoint.
    Raises DamagedError, or sqlite3.Error when the disk refuses.
    """
    pragmas = ("synchronous = FULL", "fullfsync = ON")  # fullfsync: past the drive's own cache, on macOS only
    return _connect(path, "mode=rwc" if new else "mode=rw", pragmas)


def connect_to_read(path: Path) -> sqlite3.Connection:
    """Open the file only to read, changing nothing in it. Raises as ``connect`` does.

    A file without a log beside it is nobody's work at the moment; told so, SQLite leaves no log behind either.
    """
    has_log = path.with_name(path.name + LOG).exists()
    return _connect(path, "mode=ro" if has_log else "mode=ro&immutable=1", ("query_only = ON",))


def _connect(path: Path, mode: str, pragmas: Sequence[str]) -> sqlite3.Connection:
    with _damage_named():
        connection = sqlite3.connect(f"{_as_uri(path)}?{mode}", uri=True, timeout=_BUSY_SECONDS, isolation_level=None)
        connection.row_factory = sqlite3.Row
        try:
            for pragma in ("trusted_schema = OFF", "foreign_keys = ON", *pragmas):
                connection.execute(f"PRAGMA {pragma}")
        except BaseException:
            connection.close()
            raise
    return connection


def use_write_ahead_log(connection: sqlite3.Connection) -> None:
    """Let commits go to a log beside the file: one wait for the disk each, and readers are never kept waiting."""
    connection.execute("PRAGMA journal_mode = WAL").fetchone()


def open_sound(path: Path, *, migrations: Sequence[Migration] = MIGRATIONS) -> sqlite3.Connection:
    """Open an existing file to write once all that is in it was found sound, bringing an older one up to date.

    The file as it was before is then kept as ``painting.version-1.sqlite`` for the older program. Raises DamagedError
    with the file untouched, NewerVersionError, or sqlite3.Error when the disk refuses.
    """
    # Looked at only for reading first: closing a connection that may write would write the log into a damaged file.
    with closing(connect_to_read(path)) as looking:
        version = examine(looking, migrations)
        if version == len(migrations):
            read_all(looking)
    connection = connect(path)
    try:
        use_write_ahead_log(connection)
        if version < len(migrations):
            older = path.with_name(f"{path.stem}.version-{version}{path.suffix}")
            copy_to(connection, older, migrations=migrations)
            migrate(connection, migrations)
            read_all(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def open_sound_to_read(path: Path) -> sqlite3.Connection:
    """Open an existing file only to read. Raises as ``open_sound`` does, and DamagedError for an older file too, which
    cannot be read before it was brought up to date."""
    connection = connect_to_read(path)
    try:
        if examine(connection) < len(MIGRATIONS):
            raise DamagedError(DAMAGED)
        read_all(connection)
    except BaseException:
        connection.close()
        raise
    return connection


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All of the block is saved, or none of it."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def examine(connection: sqlite3.Connection, migrations: Sequence[Migration] = MIGRATIONS) -> int:
    """The version of a sound file. Raises DamagedError, NewerVersionError, or sqlite3.Error when the disk refuses."""
    with _damage_named():
        version = version_of(connection, len(migrations))
        found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
        if found != "ok":
            raise DamagedError(DAMAGED) from sqlite3.DatabaseError(found)
    return version


def read_all(connection: sqlite3.Connection) -> None:
    """Read every record once, so that damage quick_check cannot see is met now. Raises DamagedError."""
    with _damage_named():
        painting = connection.execute("SELECT * FROM painting").fetchone()
        revision = connection.execute("SELECT number FROM revision").fetchone()
        if painting is None or revision is None:
            raise DamagedError(DAMAGED)
        painting_from(painting)
        if painting["drawing_id"] is not None:
            drawings.read(connection, painting["drawing_id"])
        photos = {row["id"]: photo_from(row) for row in connection.execute("SELECT * FROM photo")}
        for row in connection.execute("SELECT * FROM canvas_photo"):
            canvas_photo_from(row, photos[row["photo_id"]])
        for row in connection.execute("SELECT * FROM landmark_by_hand"):
            landmark_by_hand_from(row)
        for row in connection.execute("SELECT * FROM reference"):
            reference_from(row, photos[row["photo_id"]])
        for table in ("plan", "setting"):
            documents_from(connection.execute(f"SELECT name, value FROM {table}"))


@contextmanager
def _damage_named() -> Iterator[None]:
    try:
        yield
    except (DamagedError, NewerVersionError, sqlite3.ProgrammingError):
        raise
    except sqlite3.Error as error:
        if is_damage(error) or primary_code(error) == sqlite3.SQLITE_ERROR:  # such as a table that is gone
            raise DamagedError(DAMAGED) from error
        raise
    except (ValueError, TypeError, KeyError, IndexError, PainterError) as error:
        raise DamagedError(DAMAGED) from error


def revision_of(connection: sqlite3.Connection) -> int:
    """How many changes were ever saved in this file."""
    return int(connection.execute("SELECT number FROM revision").fetchone()[0])


def copy_to(connection: sqlite3.Connection, path: Path, *, migrations: Sequence[Migration] = MIGRATIONS) -> None:
    """Copy the painting's file to ``path``, which has it whole or is left as it was.

    Raises DamagedError when what would be copied is not sound.
    """
    with files.partial_of(path) as partial, closing(sqlite3.connect(partial, isolation_level=None)) as copy:
        copy.execute("PRAGMA synchronous = OFF")  # synced below, once, instead of at every page
        connection.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE").fetchone()  # a copy is one file, without a log beside it
        examine(copy, migrations)


def copy_is_current(connection: sqlite3.Connection, folder: Path) -> bool:
    """Whether the kept copy has every saved change."""
    path = folder / KEPT_COPY
    if not path.exists():
        return False
    try:
        with closing(connect_to_read(path)) as copy:
            return revision_of(copy) == revision_of(connection)
    except (DamagedError, sqlite3.Error):
        return False
