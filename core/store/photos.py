"""The photos folder: every photograph brought in, byte for byte, under a name of its own.

A photograph that was thrown away lies under the same name in the bin beside it, and is found there.
"""

import hashlib
import os
import re
import sqlite3
import unicodedata
from collections.abc import Generator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

from core.errors import PaintingError
from core.store import files, patience
from core.store.faults import told
from core.store.files import Progress
from core.store.patience import Patience
from core.store.records import PhotoRecord, PhotoState, now, photo_from, plain_text

PHOTOS = "photos"
BIN = "bin"

_HASH_LETTERS = 12
_LONGEST_STEM_BYTES = 120  # file systems stop at 255 bytes a name; the hash, a number and the ending come after
_NOT_IN_NAMES = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]')
_KEPT_NAME = re.compile(rf"-(?P<hash>[0-9a-f]{{{_HASH_LETTERS}}})(-\d+)?(\.[^.]*)?$")


@dataclass(frozen=True)
class StagedPhoto:
    """A photograph whose bytes are safe in the photos folder but which the painting does not list yet."""

    path: Path
    name: str
    sha256: str
    bytes: int


def readable_name(name: str, sha256: str) -> str:
    """The name a photo is kept under: the one it came with, made safe for every system, and a short content hash."""
    stem, ending = os.path.splitext(unicodedata.normalize("NFC", plain_text(name)))
    stem = _NOT_IN_NAMES.sub("_", stem).strip(" .")
    stem = stem.encode()[:_LONGEST_STEM_BYTES].decode("utf-8", "ignore").rstrip(" .") or "photo"
    ending = _NOT_IN_NAMES.sub("", ending).strip()
    return f"{stem}-{sha256[:_HASH_LETTERS]}{ending if len(ending.encode()) <= 12 else ''}"


class PhotoShelf:
    """The files in ``photos/`` and ``bin/`` and their rows in the painting."""

    def __init__(self, folder: Path, connection: sqlite3.Connection) -> None:
        self.folder = folder / PHOTOS
        self.bin = folder / BIN
        self._connection = connection
        self._altered: set[int] = set()  # found by reading the bytes; a wrong length is seen without
        self._patience = Patience()

    @property
    def is_silent(self) -> bool:
        """Whether the disk of the photos did not answer when it was asked last; they count as missing meanwhile."""
        return self._patience.is_silent

    def records(self) -> tuple[PhotoRecord, ...]:
        rows = self._connection.execute("SELECT * FROM photo ORDER BY id").fetchall()
        return tuple(map(photo_from, rows, self._states(rows)))

    def record(self, photo_id: int) -> PhotoRecord:
        return self._record(self._row(photo_id))

    def path(self, photo_id: int, *, read_only: bool) -> tuple[Path, PhotoState]:
        """Where the photo is, and whether it is still itself; its bytes are read again only if its time has changed."""
        row = self._row(photo_id)
        path, state, mtime_ns = self._patience.ask(lambda: self._found(row))
        if state == "good" and mtime_ns != row["mtime_ns"]:
            state = self._reread(row, path)
            if state == "good" and not read_only:
                self._connection.execute("UPDATE photo SET mtime_ns = ? WHERE id = ?", (mtime_ns, photo_id))
        return path, state

    def reread(self, photo_id: int) -> PhotoState:
        """Whether every byte is still as it was brought in."""
        row = self._row(photo_id)
        path, state, _ = self._patience.ask(lambda: self._found(row))
        return state if state == "missing" else self._reread(row, path)

    def put(self, photo_id: int, *, in_bin: bool) -> None:
        """Bring the photo's file into the bin or out of it; nothing when it lies there, or nowhere. OSError when the
        disk refuses."""
        file = photo_from(self._row(photo_id)).file
        lies, wanted = (self.folder, self.bin) if in_bin else (self.bin, self.folder)
        if (lies / file).is_file() and (in_bin or not (wanted / file).exists()):
            carry(lies / file, wanted / file)

    def unlisted_in_bin(self) -> list[Path]:
        """Files in the bin under the names photos are kept by that have no row, as after a rescue; by name."""
        if not self.bin.is_dir():
            return []
        listed = {row["file"] for row in self._connection.execute("SELECT file FROM photo")}
        there = [path for path in self.bin.iterdir() if path.is_file()]
        return sorted(path for path in there if path.name not in listed and _KEPT_NAME.search(path.name))

    def adopt(self, staged: StagedPhoto) -> PhotoRecord:
        """List a staged photo; inside a transaction. The very bytes already listed are answered with their record,
        whose file is put right if it was missing or altered."""
        row = self._connection.execute("SELECT * FROM photo WHERE sha256 = ?", (staged.sha256,)).fetchone()
        if row is None:
            return self._list(staged)
        if self.reread(row["id"]) == "good":
            staged.path.unlink()
        else:
            spoilt, path = self._where(row), self.folder / photo_from(row).file
            if spoilt.exists():
                files.set_aside(spoilt, "altered")
            files.move_into_place(staged.path, path)
            self._altered.discard(row["id"])
            mtime_ns = path.stat().st_mtime_ns
            self._connection.execute("UPDATE photo SET mtime_ns = ? WHERE id = ?", (mtime_ns, row["id"]))
        return photo_from(row, already_there=True)

    def unlisted(self) -> list[Path]:
        """Files in the folder under the names photos are kept by, still matching their hash, that have no row."""
        listed = {row["file"] for row in self._connection.execute("SELECT file FROM photo")}
        hashes = {row["sha256"] for row in self._connection.execute("SELECT sha256 FROM photo")}
        found = []
        there = [path for path in self.folder.iterdir() if path.is_file()]
        for path in sorted(there, key=lambda path: (path.stat().st_mtime_ns, path.name)):
            named = _KEPT_NAME.search(path.name)
            if named is None or path.name in listed:
                continue
            sha256 = files.sha256_of(path)
            if sha256.startswith(named["hash"]) and sha256 not in hashes:
                hashes.add(sha256)
                found.append(path)
        return found

    def list_in_place(self, path: Path) -> int:
        """Give a file of ``unlisted`` its row again; its number. The very bytes that have a row already are answered
        with that one's. Raises PaintingError when they are not those its name tells of."""
        named = _KEPT_NAME.search(path.name)
        assert named is not None
        name, sha256 = path.name[: named.start()] + (named[3] or ""), files.sha256_of(path)
        if not sha256.startswith(named["hash"]):
            raise PaintingError(f"“{path.name}” is not the photograph it was any more. Bring the original in again.")
        row = self._connection.execute("SELECT id FROM photo WHERE sha256 = ?", (sha256,)).fetchone()
        return int(row["id"]) if row is not None else self._insert(path, name, sha256)

    def _list(self, staged: StagedPhoto) -> PhotoRecord:
        path = self.folder / readable_name(staged.name, staged.sha256)
        binned = self.bin / path.name
        if not path.exists() and binned.is_file() and files.sha256_of(binned) == staged.sha256:
            carry(binned, path)
        # A crash between the file and its row leaves the file, good as it is.
        if path.is_file() and files.sha256_of(path) == staged.sha256:
            staged.path.unlink()
        else:
            path = files.free_name(path)
            files.move_into_place(staged.path, path)
        return self.record(self._insert(path, staged.name, staged.sha256))

    def _insert(self, path: Path, name: str, sha256: str) -> int:
        status = path.stat()
        added = self._connection.execute(
            "INSERT INTO photo (file, name, sha256, bytes, mtime_ns, added_at) VALUES (?, ?, ?, ?, ?, ?)",
            (path.name, name, sha256, status.st_size, status.st_mtime_ns, now()),
        )
        return int(added.lastrowid or 0)

    def _row(self, photo_id: int) -> sqlite3.Row:
        row: sqlite3.Row | None = self._connection.execute("SELECT * FROM photo WHERE id = ?", (photo_id,)).fetchone()
        if row is None:
            raise PaintingError("This photo is not one of the painting's. Bring it in first.")
        return row

    def _record(self, row: sqlite3.Row) -> PhotoRecord:
        return photo_from(row, self._states([row])[0])

    def _states(self, rows: list[sqlite3.Row]) -> list[PhotoState]:
        try:
            return self._patience.ask(lambda: [self._state(row) for row in rows])
        except TimeoutError:
            return ["missing"] * len(rows)

    def _where(self, row: sqlite3.Row) -> Path:
        """Where the file lies; where it should, when it is nowhere."""
        file = photo_from(row).file
        shelved, binned = self.folder / file, self.bin / file
        return binned if not shelved.exists() and binned.exists() else shelved

    def _found(self, row: sqlite3.Row) -> tuple[Path, PhotoState, int]:
        """Where the file lies, how it is, and its time in ns, 0 when it is missing."""
        path, state = self._where(row), self._state(row)
        return path, state, 0 if state == "missing" else path.stat().st_mtime_ns

    def _state(self, row: sqlite3.Row) -> PhotoState:
        try:
            length = self._where(row).stat().st_size
        except OSError:
            return "missing"
        return "altered" if length != row["bytes"] or row["id"] in self._altered else "good"

    def _reread(self, row: sqlite3.Row, path: Path) -> PhotoState:
        if patience.sha256_of(path) == row["sha256"]:
            self._altered.discard(row["id"])
            return "good"
        self._altered.add(row["id"])
        return "altered"


def carry(path: Path, target: Path) -> None:
    """Move a file to another folder of the painting in one indivisible step, and wait for the disk; a file that is in
    the way is kept beside. OSError when the disk refuses."""
    if not target.parent.is_dir():
        target.parent.mkdir()
        files.sync_folder(target.parent.parent)
    if target.exists():
        files.set_aside(target, "older")
    files.move_into_place(path, target)
    files.sync_folder(path.parent)


def stage(source: Path, folder: Path, progress: Progress | None = None) -> StagedPhoto:
    """Copy a photograph into the photos folder under a passing name, wait for the disk, and read it back.

    ``progress(bytes_done, bytes_in_all)`` is called as it goes; whatever it raises stops the copy and leaves nothing.
    Touches files only, so it may run in any thread. Raises PaintingError with a sentence.
    """
    name = plain_text(source.name)
    partial = folder / f"{files.INCOMING}{uuid4().hex}{files.PARTIAL}"
    try:
        with told(f"“{name}” was not brought in"):
            sha256, size = _copy(source, partial, progress)
            if files.sha256_of(partial) != sha256:
                raise PaintingError(
                    f"The disk gave back other bytes than “{name}” has, so it was not brought in. "
                    "Try again; if it happens again, the disk is failing."
                )
    except BaseException:
        partial.unlink(missing_ok=True)
        raise
    return StagedPhoto(partial, name, sha256, size)


def _copy(source: Path, partial: Path, progress: Progress | None) -> tuple[str, int]:
    digest, done = hashlib.sha256(), 0
    status = _status(source)
    with closing(_read(source)) as reading, partial.open("xb") as writing:
        for chunk in reading:
            digest.update(chunk)
            writing.write(chunk)
            done += len(chunk)
            if done > status.st_size:
                break
            if progress is not None:
                progress(done, status.st_size)
        if (done, _status(source).st_mtime_ns) != (status.st_size, status.st_mtime_ns):
            raise PaintingError(f"“{source.name}” is still being written. Wait until it is finished, then bring it in.")
        if done == 0:
            raise PaintingError(f"“{source.name}” is empty. Copy it from the camera or phone again.")
        os.utime(partial, ns=(status.st_atime_ns, status.st_mtime_ns))  # the camera's time stays on the file
        files.sync(writing)
    return digest.hexdigest(), done


def _status(source: Path) -> os.stat_result:
    try:
        return patience.answered(source.stat)
    except OSError as error:
        raise PaintingError(_unreadable(source, error)) from error


def _read(source: Path) -> Generator[bytes, None, None]:
    try:
        yield from patience.chunks_of(source)
    except OSError as error:
        raise PaintingError(_unreadable(source, error)) from error


def _unreadable(source: Path, error: OSError) -> str:
    name = plain_text(source.name)
    if isinstance(error, TimeoutError):
        return f"The disk with “{name}” does not answer. See that it is connected and awake, then bring it in again."
    if source.is_dir():
        return f"“{name}” is a folder. Choose the photographs inside it."
    if isinstance(error, FileNotFoundError):
        return f"“{name}” is not there any more. Look whether it was moved, or choose it again."
    if isinstance(error, PermissionError):
        return f"“{name}” may not be read. Check its permissions, or copy it elsewhere first."
    return f"“{name}” could not be read ({error.strerror or error}). Check that its disk is connected."
