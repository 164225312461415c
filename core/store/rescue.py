"""When the painting's file is damaged or gone: putting it right from the kept copy, or from the photos alone.

Nothing is ever deleted: what cannot be used is kept beside, with the date in its name.
"""

import shutil
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from core.errors import PainterError, PaintingError
from core.size import Size
from core.store import days, files
from core.store.database import DATABASE, KEPT_COPY, connect, connect_to_read, open_sound, transaction
from core.store.faults import DamagedError
from core.store.lock import LOCK_FILE
from core.store.photos import PHOTOS, PhotoShelf
from core.store.records import FEWEST_STEPS, MOST_STEPS, now, plain_text
from core.store.schema import APPLICATION_ID, migrate

MAKING = ".making"  # inside the folder while a painting is being made

DEFAULT_STEPS = 5
_UNKNOWN_SIZE = Size(400, 300)
_WITH_DATABASE = ("-wal", "-shm", "-journal")


def restore(folder: Path, notices: list[str]) -> sqlite3.Connection:
    """A sound ``painting.sqlite`` in place of one that is damaged or gone, from the kept copy or else from the photos.

    What was done is added to ``notices`` as sentences. Raises NewerVersionError when the copy is a newer program's.
    """
    main, kept = folder / DATABASE, folder / KEPT_COPY
    salvaged = _salvage(main)
    if not (kept.exists() and _put_in_place(kept, main, notices)):
        if kept.exists():
            set_database_aside(kept)
        if not _put_right_by_day(folder, notices):
            _rebuild(main, salvaged, notices)
    connection = open_sound(main)
    try:
        _bring_back_photos(folder, connection, notices)
    except BaseException:
        connection.close()
        raise
    return connection


def set_database_aside(path: Path) -> Path:
    """Keep a database under a dated name, with the log beside it that belongs to it and to no other; its new path."""
    kept = files.set_aside(path, "damaged")
    for ending in _WITH_DATABASE:
        companion = path.with_name(path.name + ending)
        if companion.exists():
            companion.rename(files.free_name(kept.with_name(kept.name + ending)))
    return kept


def write_new(path: Path, title: str, size: Size, steps: int) -> None:
    """Write the file of a painting that has nothing in it yet."""
    with closing(connect(path, new=True)) as connection:
        migrate(connection)
        connection.execute(
            "INSERT INTO painting (id, uuid, title, width_mm, height_mm, steps, made_at) VALUES (1, ?, ?, ?, ?, ?, ?)",
            (str(uuid4()), plain_text(title), size.width_mm, size.height_mm, steps, now()),
        )


def _put_in_place(kept: Path, main: Path, notices: list[str]) -> bool:
    """Make the kept copy the painting's file, unless it is damaged too."""
    saved = datetime.fromtimestamp(kept.stat().st_mtime)
    trouble = _copied_in_place(kept, main)
    if trouble is None:
        return False
    notices.append(
        f"The painting's file {trouble}. It was put right from the copy kept on {saved:%d.%m.%Y at %H:%M}: "
        "look over what was done after that."
    )
    return True


def _put_right_by_day(folder: Path, notices: list[str]) -> bool:
    """Make the last good copy kept by day the painting's file."""
    for copy in days.copies(folder):
        trouble = _copied_in_place(copy.file, folder / DATABASE) if days.is_itself(copy) else None
        if trouble is not None:
            notices.append(
                f"The painting's file {trouble}, and its newest copy could not be used. It was put right from the copy "
                f"of {copy.day:%d.%m.%Y}, made before that day's work: what was changed since then is lost, "
                "but no photograph is."
            )
            return True
    return False


def _copied_in_place(copy: Path, main: Path) -> str | None:
    """Make a copy the painting's file; what had happened to that, in words, or None when the copy is damaged."""
    try:
        with files.partial_of(main) as partial:
            shutil.copyfile(copy, partial)
            open_sound(partial).close()
            return _make_way(main)
    except DamagedError:
        return None


def _rebuild(main: Path, salvaged: tuple[str, Size, int] | None, notices: list[str]) -> None:
    if salvaged is None:
        title, size, steps = main.parent.name, _UNKNOWN_SIZE, DEFAULT_STEPS
        asked = f"its size had to be guessed as {size.in_cm()}: set it again"
    else:
        title, size, steps = salvaged
        asked = f"its size was read as {size.in_cm()}: make sure of it"
    with files.partial_of(main) as partial:
        write_new(partial, title, size, steps)
        trouble = _make_way(main)
    notices.append(
        f"The painting's file {trouble}, and no copy of it could be used. The photographs are all on the ledge again; "
        f"{asked}, choose the reference, place the corners and bring the drawing in again."
    )


def _make_way(main: Path) -> str:
    """Set the damaged file aside, only once what takes its place is ready; what happened to it, in words."""
    if not main.exists():
        return "was gone"
    return f"was damaged and is kept as “{set_database_aside(main).name}”"


def _salvage(damaged: Path) -> tuple[str, Size, int] | None:
    """Title, size and steps out of a damaged file, if those few bytes can still be read."""
    try:
        with closing(connect_to_read(damaged)) as connection:
            row = connection.execute("SELECT title, width_mm, height_mm, steps FROM painting").fetchone()
            title, size, steps = str(row["title"]), Size(row["width_mm"], row["height_mm"]), int(row["steps"])
    except (sqlite3.Error, PainterError, TypeError, ValueError, IndexError):
        return None
    return (title, size, steps) if FEWEST_STEPS <= steps <= MOST_STEPS else None


def _bring_back_photos(folder: Path, connection: sqlite3.Connection, notices: list[str]) -> None:
    shelf = PhotoShelf(folder, connection)
    found = shelf.unlisted()
    if not found:
        return
    with transaction(connection):
        sitting, position = connection.execute(
            "SELECT coalesce(max(sitting), 1), coalesce(max(position), 0) FROM canvas_photo"
        ).fetchone()
        for place, path in enumerate(found, position + 1):
            photo_id = shelf.list_in_place(path)
            connection.execute(
                "INSERT INTO canvas_photo (photo_id, sitting, position, name, added_at) VALUES (?, ?, ?, ?, ?)",
                (photo_id, sitting, place, path.stem, now()),
            )
    count = "One photograph" if len(found) == 1 else f"{len(found)} photographs"
    notices.append(f"{count} that the painting no longer listed went back on the ledge from the photos folder.")


def require_painting_folder(folder: Path) -> None:
    """Raise PaintingError unless the folder is a painting's, or was one before its file was damaged or lost."""
    shown = plain_text(str(folder))
    if not folder.exists():
        raise PaintingError(f"The folder “{shown}” is not there. Connect its disk, or look where it was moved.")
    if not folder.is_dir():
        raise PaintingError(f"“{shown}” is a file, not a painting's folder. Choose the folder it is in.")
    was_one = (folder / KEPT_COPY).exists() or ((folder / LOCK_FILE).exists() and (folder / PHOTOS).is_dir())
    was_one = was_one and not (folder / MAKING).exists()
    if not was_one and not _is_marked(folder / DATABASE):
        raise PaintingError(
            f"“{shown}” is not a painting's folder. Choose one with a “{DATABASE}” in it, or start a new painting."
        )


def _is_marked(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            header = file.read(72)
    except OSError:
        return False
    return header[68:72] == APPLICATION_ID.to_bytes(4, "big")  # sqlite.org, “Database File Format”, offset 68
