"""The tables of ``painting.sqlite`` and how an older file is brought up to date."""

import sqlite3
from collections.abc import Callable, Sequence

from core.store.faults import DAMAGED, DamagedError, NewerVersionError

APPLICATION_ID = 0x4541534C  # "EASL" in the file's header: this is a painting, not just any SQLite file

# A version beyond this was never written by any version of the program: the header is damaged.
_LARGEST_VERSION = 9999

# AUTOINCREMENT: a number once given is never given again, so that undoing an addition and adding something else
# cannot hand the old one's check to the new one.
_VERSION_1 = (
    """CREATE TABLE painting (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        uuid TEXT NOT NULL,
        title TEXT NOT NULL,
        width_mm REAL NOT NULL CHECK (width_mm > 0),
        height_mm REAL NOT NULL CHECK (height_mm > 0),
        steps INTEGER NOT NULL CHECK (steps BETWEEN 2 AND 10),
        drawing_id INTEGER REFERENCES drawing (id),
        made_at TEXT NOT NULL)""",
    """CREATE TABLE photo (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        file TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
        bytes INTEGER NOT NULL CHECK (bytes > 0),
        mtime_ns INTEGER NOT NULL,
        added_at TEXT NOT NULL)""",
    """CREATE TABLE reference (
        id INTEGER PRIMARY KEY CHECK (id = 1),
        photo_id INTEGER NOT NULL REFERENCES photo (id),
        crop TEXT)""",
    """CREATE TABLE canvas_photo (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        photo_id INTEGER NOT NULL REFERENCES photo (id),
        sitting INTEGER NOT NULL CHECK (sitting >= 1),
        position INTEGER NOT NULL,
        name TEXT NOT NULL,
        corners TEXT,
        found_by TEXT CHECK (found_by IN ('given', 'outline', 'tabs')),
        lens_k1 REAL NOT NULL DEFAULT 0,
        is_blank INTEGER NOT NULL DEFAULT 0 CHECK (is_blank IN (0, 1)),
        blank_id INTEGER REFERENCES canvas_photo (id),
        taken_at TEXT,
        added_at TEXT NOT NULL,
        note TEXT NOT NULL DEFAULT '',
        removed INTEGER NOT NULL DEFAULT 0 CHECK (removed IN (0, 1)))""",
    # A version is its base with one stretch changed: characters kept at the start and the end, and what is between.
    """CREATE TABLE drawing (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        base_id INTEGER REFERENCES drawing (id),
        depth INTEGER NOT NULL,
        kept_start INTEGER NOT NULL,
        kept_end INTEGER NOT NULL,
        middle TEXT NOT NULL,
        crc32 INTEGER NOT NULL,
        made_at TEXT NOT NULL,
        note TEXT NOT NULL DEFAULT '')""",
    "CREATE TABLE plan (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    # No foreign key: the check of a photo whose adding was undone is there again when it is redone.
    """CREATE TABLE check_result (
        canvas_photo_id INTEGER PRIMARY KEY,
        result TEXT NOT NULL,
        inputs TEXT NOT NULL,
        made_at TEXT NOT NULL)""",
    """CREATE TABLE step (
        id INTEGER PRIMARY KEY,
        label TEXT NOT NULL,
        made_at TEXT NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)))""",
    "CREATE INDEX step_by_state ON step (undone, id)",
    """CREATE TABLE step_change (
        step_id INTEGER NOT NULL REFERENCES step (id) ON DELETE CASCADE,
        place INTEGER NOT NULL,
        part TEXT NOT NULL,
        row_key TEXT NOT NULL,
        before TEXT,
        after TEXT,
        PRIMARY KEY (step_id, place)) WITHOUT ROWID""",
    # Counts every saved change; tells whether the kept copy is as new as the painting.
    "CREATE TABLE revision (id INTEGER PRIMARY KEY CHECK (id = 1), number INTEGER NOT NULL)",
    "INSERT INTO revision VALUES (1, 0)",
)

# Where the painter saw landmarks on a canvas photo, in the photo's own pixels: that holds when corners are placed anew.
_VERSION_2 = """CREATE TABLE landmark_by_hand (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    canvas_photo_id INTEGER NOT NULL REFERENCES canvas_photo (id),
    name TEXT NOT NULL,
    x_px REAL NOT NULL,
    y_px REAL NOT NULL,
    photo_width INTEGER NOT NULL CHECK (photo_width > 0),
    photo_height INTEGER NOT NULL CHECK (photo_height > 0),
    placed_at TEXT NOT NULL,
    UNIQUE (canvas_photo_id, name))"""

# No foreign key, and by photograph: its bytes decide what it is good for, whatever is undone.
_VERSION_3 = """CREATE TABLE photo_rating (
    photo_id INTEGER PRIMARY KEY,
    rating TEXT NOT NULL,
    inputs TEXT NOT NULL,
    version INTEGER NOT NULL)"""

Migration = Callable[[sqlite3.Connection], None]


def _to_version_1(connection: sqlite3.Connection) -> None:
    for statement in _VERSION_1:
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")


def _to_version_2(connection: sqlite3.Connection) -> None:
    connection.execute(_VERSION_2)


def _to_version_3(connection: sqlite3.Connection) -> None:
    connection.execute(_VERSION_3)


# Entry n brings a file from version n to n + 1.
MIGRATIONS: Sequence[Migration] = (_to_version_1, _to_version_2, _to_version_3)


def version_of(connection: sqlite3.Connection, newest: int) -> int:
    """The file's version.

    Raises DamagedError when this is not a painting's file, NewerVersionError when it comes from a newer program.
    """
    application = connection.execute("PRAGMA application_id").fetchone()[0]
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    if application != APPLICATION_ID or not 1 <= version <= _LARGEST_VERSION:
        raise DamagedError(DAMAGED)
    if version > newest:
        raise NewerVersionError(
            "This painting was saved by a newer version of Easelside. Open it there, or bring this one up to date; "
            "nothing in the folder was changed."
        )
    return version


def migrate(connection: sqlite3.Connection, migrations: Sequence[Migration] = MIGRATIONS) -> None:
    """Bring the file up to the newest version, one committed version at a time; a failure leaves the version before."""
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    for number, step in enumerate(migrations[version:], version + 1):
        connection.execute("BEGIN IMMEDIATE")
        try:
            step(connection)
            connection.execute(f"PRAGMA user_version = {number}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise
