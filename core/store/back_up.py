"""A painting as one zip, to be kept on another disk: everything in its folder, and a list of checksums.

The painting may be open and at work meanwhile: its file is copied by SQLite itself, as it is at one moment. Photographs
are stored as they are, since they are packed already; databases are packed. The zip unpacks in any file manager to a
folder that opens as a painting, and ``sha256sum -c everything.sha256`` in it makes sure of every byte.
"""

import errno
import hashlib
import json
import os
import shutil
import sqlite3
import zipfile
from collections.abc import Generator, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO, Protocol

from core.errors import PaintingError
from core.store import files, patience
from core.store.database import DATABASE, KEPT_COPY, copy_to
from core.store.faults import told
from core.store.files import Progress
from core.store.lock import LOCK_FILE
from core.store.making import OF_THE_SYSTEM
from core.store.opening import KEPT_SHOWN, open_folder
from core.store.photos import BIN, PHOTOS
from core.store.records import plain_text
from core.store.rescue import MAKING
from core.store.seal import SEAL
from core.store.zip_names import SUMS, folder_name, is_safe, sums_text

_NOT_KEPT = {DATABASE, KEPT_COPY, SEAL, LOCK_FILE, MAKING, SUMS, *OF_THE_SYSTEM}
_BESIDE_DATABASE = ("-wal", "-shm", "-journal")
_LARGE = 1 << 30  # a file that may grow past what a short entry can tell while it is read
_SAID_NOT_DONE = "the backup was not made"


class HasFolder(Protocol):
    """An open painting, as far as it matters here."""

    folder: Path


@dataclass(frozen=True)
class BackUp:
    """A backup that was made. ``files``: how many are in it. ``bytes``: the zip's length. ``notices``: sentences about
    what is not in it, or not as it was brought in."""

    path: Path
    files: int
    bytes: int
    notices: tuple[str, ...] = ()


class _UnreadableError(Exception):
    """A file of the painting could not be read."""


@dataclass
class _Packing:
    """A zip being filled. ``sums``: SHA-256 by name of what is in it; ``left_out``: why, of what could not be."""

    archive: zipfile.ZipFile
    top: str
    progress: Progress | None
    in_all: int
    done: int = 0
    sums: dict[str, str] = field(default_factory=dict)
    left_out: dict[str, str] = field(default_factory=dict)

    def pack(self, path: Path, name: str) -> None:
        """Put a file in under a name. Raises _UnreadableError, with nothing put in, when it cannot be read."""
        try:
            info = _entry(path, f"{self.top}/{name}")
        except OSError as error:
            raise _UnreadableError(error.strerror or str(error)) from error
        try:
            with self.archive.open(info, "w", force_zip64=info.file_size > _LARGE) as packed:
                self.sums[name] = self._poured(path, packed)
        except _UnreadableError:
            self._forget(info)
            raise

    def _poured(self, path: Path, packed: IO[bytes]) -> str:
        digest = hashlib.sha256()
        with closing(_readable(path)) as reading:
            for chunk in reading:
                digest.update(chunk)
                packed.write(chunk)
                self.done += len(chunk)
                if self.progress is not None:
                    self.progress(min(self.done, self.in_all), self.in_all)
        return digest.hexdigest()

    def _forget(self, info: zipfile.ZipInfo) -> None:
        """Strike off an entry that broke off; its bytes stay in the zip, and nothing leads to them."""
        self.archive.filelist.remove(info)
        del self.archive.NameToInfo[info.filename]


def back_up(
    painting: HasFolder | str | os.PathLike[str], zip_path: str | os.PathLike[str], *, progress: Progress | None = None
) -> BackUp:
    """Make a zip of a painting, open or not; whatever has the zip's name is replaced once the new one is whole.

    ``progress(bytes_done, bytes_in_all)`` is called as it goes; what it raises stops it and leaves nothing behind.
    Touches files only, so it may run in any thread. A photograph that cannot be read is left out and told in
    ``notices``. Raises PaintingError with a sentence.
    """
    folder = Path(painting if isinstance(painting, str | os.PathLike) else painting.folder).absolute()
    target = Path(zip_path).absolute()
    _require_outside(folder, target)
    with told(_SAID_NOT_DONE), TemporaryDirectory(prefix="easelside-", ignore_cleanup_errors=True) as scratch:
        database = Path(scratch) / DATABASE
        listed = _copied_database(folder, database)
        found = dict(_files_of(folder))
        in_all = database.stat().st_size + sum(length for _, length in found.values())
        _require_room(target, in_all)
        with _large_told(target), files.partial_of(target) as partial:
            packing = _packed(partial, folder, database, found, in_all, progress)
        notices = (*packing.left_out.values(), *_amiss(listed, packing))
        return BackUp(target, len(packing.sums), target.stat().st_size, notices)


def _packed(
    partial: Path,
    folder: Path,
    database: Path,
    found: dict[str, tuple[Path, int]],
    in_all: int,
    progress: Progress | None,
) -> _Packing:
    """Fill the zip."""
    with zipfile.ZipFile(partial, "x", allowZip64=True) as archive:
        packing = _Packing(archive, folder_name(folder.name), progress, in_all)
        packing.pack(database, DATABASE)
        for name, (path, _) in sorted(found.items()):
            if not is_safe(name):
                shown = plain_text(name)
                packing.left_out[name] = f"“{shown}” has a name that not every disk can hold, so it was left out."
                continue
            try:
                packing.pack(_where(path, folder), name)
            except _UnreadableError as error:
                packing.left_out[name] = f"“{name}” could not be read ({error}), so it was left out. Check its disk."
        archive.writestr(f"{packing.top}/{SUMS}", sums_text(packing.sums), zipfile.ZIP_DEFLATED)
    return packing


def _copied_database(folder: Path, target: Path) -> list[tuple[str, str]]:
    """Copy the painting's file as it is now; the photographs listed, each with its SHA-256, empty when thrown away."""
    opened = open_folder(folder, look_only=True)
    try:
        if KEPT_SHOWN in opened.notices:
            raise PaintingError(
                "The painting's file is damaged, so no backup was made of it. Open the painting first: it is put right."
            )
        copy_to(opened.connection, target)
        return _listed(opened.connection)
    finally:
        opened.close()


def _listed(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    row = connection.execute("SELECT value FROM plan WHERE name = ?", (BIN,)).fetchone()
    binned = json.loads(row["value"]) if row is not None else {}
    thrown_away = set(binned) if isinstance(binned, dict) else set()
    rows = connection.execute("SELECT id, file, sha256 FROM photo ORDER BY id")
    return [(row["file"], "" if str(row["id"]) in thrown_away else row["sha256"]) for row in rows]


def _amiss(listed: Iterable[tuple[str, str]], packing: _Packing) -> Iterator[str]:
    """Sentences about listed photographs that are not in the backup as they were brought in."""
    for file, sha256 in listed:
        names = (f"{PHOTOS}/{file}", f"{BIN}/{file}")
        there = next((packing.sums[name] for name in names if name in packing.sums), None)
        if not sha256 or there == sha256 or not packing.left_out.keys().isdisjoint(names):
            continue
        if there is None:
            yield f"“{file}” is not in the backup, since it is missing from the photos folder."
        else:
            yield f"“{file}” is in the backup as it is now, which is not as it was brought in."


def _files_of(folder: Path) -> Iterator[tuple[str, tuple[Path, int]]]:
    """Every file that goes along, by its name in the backup, with its length; of folders that are links only the
    painting's own are followed."""
    for top in sorted(folder.iterdir()):
        if top.name in _NOT_KEPT or files.is_passing(top.name):
            continue
        if top.name.startswith(DATABASE) and top.name.removeprefix(DATABASE) in _BESIDE_DATABASE:
            continue
        if top.is_symlink() and top.is_dir() and top.name not in (PHOTOS, BIN):
            continue
        places = [(str(top.parent), [top.name])] if top.is_file() else ((at, names) for at, _, names in os.walk(top))
        for place, names in places:
            for path in (Path(place) / name for name in names if not _passes(name)):
                if path.is_file():
                    yield path.relative_to(folder).as_posix(), (path, path.stat().st_size)


def _passes(name: str) -> bool:
    return name in OF_THE_SYSTEM or files.is_passing(name)


def _where(path: Path, folder: Path) -> Path:
    """Where a photograph lies that was carried to the bin, or out of it, since it was found."""
    if not path.exists() and path.parent in (folder / PHOTOS, folder / BIN):
        other = folder / (BIN if path.parent.name == PHOTOS else PHOTOS) / path.name
        return other if other.exists() else path
    return path


def _entry(path: Path, name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
    info.external_attr = 0o100644 << 16
    info.compress_type = zipfile.ZIP_DEFLATED if path.suffix == ".sqlite" else zipfile.ZIP_STORED
    return info


def _readable(path: Path) -> Generator[bytes, None, None]:
    try:
        yield from patience.chunks_of(path)
    except OSError as error:
        raise _UnreadableError(error.strerror or str(error)) from error


def _require_outside(folder: Path, target: Path) -> None:
    if target.is_dir():
        raise PaintingError(f"“{plain_text(target.name)}” is a folder. Give the backup a name of its own.")
    if not target.parent.is_dir():
        raise PaintingError(
            f"The folder “{plain_text(str(target.parent))}” is not there. Choose another for the backup."
        )
    if folder.resolve() in (target.resolve(), *target.resolve().parents):
        raise PaintingError("Keep the backup outside the painting's folder, best on another disk.")


def _require_room(target: Path, wanted: int) -> None:
    free = shutil.disk_usage(target.parent).free
    if free < wanted:
        raise PaintingError(
            f"The backup needs {in_words(wanted)} and the disk has {in_words(free)} free. "
            "Make some room, or choose another disk."
        )


def in_words(length: int) -> str:
    """A length in bytes as file managers tell it: ``4.2 MB``, ``1.3 GB``."""
    if length >= 1_000_000_000:
        return f"{length / 1e9:.1f} GB"
    return f"{length / 1e6:.1f} MB" if length >= 1_000_000 else f"{length / 1e3:.0f} kB"


@contextmanager
def _large_told(target: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if error.errno != errno.EFBIG:
            raise
        raise PaintingError(
            f"The disk of “{plain_text(target.name)}” cannot hold a file this large; many sticks stop at 4 GB. "
            "Choose another disk for the backup."
        ) from error
