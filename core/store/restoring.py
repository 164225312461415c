"""A painting out of its backup: a new folder, whole or not at all.

A zip may come from anywhere and be anything: nothing in it is trusted, and nothing is written outside the new folder.
Everything is unpacked beside, compared with the list of checksums, opened once as a painting, and only then named.
"""

import hashlib
import os
import shutil
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

from core.errors import PaintingError
from core.store import files
from core.store.back_up import in_words
from core.store.database import DATABASE, KEPT_COPY, open_sound, transaction
from core.store.faults import DamagedError, told
from core.store.files import Progress
from core.store.lock import LOCK_FILE, AlreadyOpenError, FolderLock
from core.store.photos import BIN, PHOTOS
from core.store.records import plain_text
from core.store.seal import SEAL
from core.store.zip_names import SUMS, is_safe, sums_from

MOST_FILES = 100_000
_LONGEST_SUMS = 32 << 20
# Of what is packed only databases grow when unpacked, and those hardly more than thirtyfold (measured: 28 for one with
# nothing in it, 9 after a hundred drawings); a bomb of zeros grows a thousandfold.
_MOST_GROWTH, _ALWAYS_ALLOWED = 100, 64 << 20

_NEVER_RESTORED = {
    LOCK_FILE,
    KEPT_COPY,
    SEAL,
    SUMS,
    *(f"{DATABASE}{ending}" for ending in ("-wal", "-shm", "-journal")),
}
_READABLE = {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
# What zipfile raises about bytes that make no sense.
_BROKEN = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, RuntimeError, ValueError, LookupError, OverflowError)
_NOTHING = "so nothing was restored"
_BY_HAND = "or unpack it in the file manager and open what comes out: it is put right as far as can be."


@dataclass(frozen=True)
class Restored:
    """A painting that was restored. ``notices``: sentences about what in the zip was left alone."""

    folder: Path
    files: int
    bytes: int
    notices: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Plan:
    """What of a zip is to be unpacked: by name, its entry and its checksum."""

    wanted: dict[str, tuple[zipfile.ZipInfo, str]]
    left_alone: tuple[str, ...]

    @property
    def bytes(self) -> int:
        return sum(entry.file_size for entry, _ in self.wanted.values())


def restore(
    zip_path: str | os.PathLike[str], folder: str | os.PathLike[str], *, progress: Progress | None = None
) -> Restored:
    """Make a painting's folder out of a backup; ``folder`` must not be there yet. It is opened like any other.

    The painting gets an identity of its own, since the one it was backed up from may still be there.
    ``progress(bytes_done, bytes_in_all)`` is called as it goes; what it raises stops it and leaves nothing behind.
    Touches files only, so it may run in any thread. Raises PaintingError with a sentence.
    """
    source, place = Path(zip_path).absolute(), Path(folder).absolute()
    with told("the backup was not restored"):
        _require_new(place)
        with _opened(source) as archive, _told_of_breakage(source):
            plan = _plan(archive, source)
            _require_room(plan, source, place)
            with _beside(place) as making:
                _unpack(archive, plan, making, source, progress)
                _make_its_own(making, source)
    left = f"{len(plan.left_alone)} files in the zip are not on its list, so they were left in it."
    return Restored(place, len(plan.wanted), plan.bytes, (left,) if plan.left_alone else ())


def check_back_up(zip_path: str | os.PathLike[str], *, progress: Progress | None = None) -> int:
    """Read a whole backup and compare it with its list of checksums, writing nothing; how many files are in it.

    Raises PaintingError with a sentence about the first thing that is wrong. ``progress`` as in ``restore``.
    """
    source = Path(zip_path).absolute()
    with told("the backup could not be read"), _opened(source) as archive, _told_of_breakage(source):
        plan, done = _plan(archive, source), 0
        for name, (entry, sha256) in plan.wanted.items():
            digest = hashlib.sha256()
            for chunk in _chunks(archive, entry):
                digest.update(chunk)
                done = _gone_on(done + len(chunk), plan, progress)
            _require_same(name, digest.hexdigest(), sha256, source)
    return len(plan.wanted)


def _shown(source: Path) -> str:
    return plain_text(source.name)


@contextmanager
def _opened(source: Path) -> Iterator[zipfile.ZipFile]:
    name = _shown(source)
    if not source.exists():
        raise PaintingError(f"“{name}” is not there any more. Look whether it was moved, or connect its disk.")
    if source.is_dir():
        raise PaintingError(f"“{name}” is a folder. Choose a backup's zip, or open the folder as a painting.")
    try:
        archive = zipfile.ZipFile(source)
    except (*_BROKEN, NotImplementedError) as error:
        with source.open("rb") as file:
            begins_well = file.read(4) == b"PK\x03\x04"
        if begins_well:
            raise PaintingError(f"“{name}” was cut short or damaged. Copy it again, or choose another.") from error
        raise PaintingError(f"“{name}” is not a backup of a painting. Choose its zip.") from error
    with archive:
        yield archive


@contextmanager
def _told_of_breakage(source: Path) -> Iterator[None]:
    try:
        yield
    except (*_BROKEN, NotImplementedError) as error:
        raise PaintingError(
            f"“{_shown(source)}” is damaged, {_NOTHING}. Copy it again, choose another, {_BY_HAND}"
        ) from error


def _plan(archive: zipfile.ZipFile, source: Path) -> _Plan:
    """Which entries are unpacked and where to. Raises PaintingError when the zip is not one to unpack."""
    entries = _entries(archive, source)
    tops = {name.partition("/")[0] for name in entries if name.endswith(f"/{SUMS}") and name.count("/") == 1}
    if len(tops) != 1:
        raise PaintingError(
            f"“{_shown(source)}” is not a backup of a painting: there is no “{SUMS}” in it. Choose another."
        )
    top = f"{tops.pop()}/"
    sums = sums_from(_sums_text(archive, entries[f"{top}{SUMS}"]))
    if DATABASE not in sums:
        raise PaintingError(f"“{_shown(source)}” is not a backup of a painting. Choose another.")
    wanted = {}
    for name, sha256 in sums.items():
        entry = entries.pop(f"{top}{name}", None)
        if entry is None:
            raise PaintingError(f"“{name}” is missing from “{_shown(source)}”, {_NOTHING}. Choose another backup.")
        if name not in _NEVER_RESTORED:
            wanted[name] = (entry, sha256)
    return _Plan(wanted, tuple(sorted(entries.keys() - {f"{top}{SUMS}"})))


def _entries(archive: zipfile.ZipFile, source: Path) -> dict[str, zipfile.ZipInfo]:
    """The zip's files by name, all of them safe."""
    found: dict[str, zipfile.ZipInfo] = {}
    if len(archive.infolist()) > MOST_FILES:
        raise PaintingError(f"“{_shown(source)}” holds more files than a painting has, {_NOTHING}. Choose another.")
    for entry in archive.infolist():
        # As it stands in the zip: zipfile itself turns slashes and cuts the name at a zero.
        name = entry.orig_filename
        kind = stat.S_IFMT(entry.external_attr >> 16)
        if entry.is_dir() and is_safe(name.rstrip("/")):
            continue
        if not is_safe(name) or name in found or kind not in (0, stat.S_IFREG):
            raise PaintingError(
                f"“{_shown(source)}” holds a file that would be written elsewhere than in the painting's folder "
                f"(“{name.encode('utf-8', 'replace').decode()[:80]!s}”), {_NOTHING}. Choose a backup that you made."
            )
        if entry.flag_bits & 0x1 or entry.compress_type not in _READABLE:
            raise PaintingError(f"“{_shown(source)}” is locked or packed in another way. Choose a backup made here.")
        found[name] = entry
    return found


def _sums_text(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> str:
    if entry.file_size > _LONGEST_SUMS:
        raise zipfile.BadZipFile("the list is too long")
    return b"".join(_chunks(archive, entry)).decode()


def _require_new(place: Path) -> None:
    name = plain_text(place.name)
    if place.exists() or place.is_symlink():
        raise PaintingError(f"“{name}” is there already. Give the restored painting a new folder.")
    if not place.parent.is_dir():
        raise PaintingError(f"The folder “{plain_text(str(place.parent))}” is not there. Choose one that is.")


def _require_room(plan: _Plan, source: Path, place: Path) -> None:
    if plan.bytes > max(_ALWAYS_ALLOWED, _MOST_GROWTH * source.stat().st_size):
        raise PaintingError(f"“{_shown(source)}” would grow to {in_words(plan.bytes)}, {_NOTHING}. Choose another.")
    free = shutil.disk_usage(place.parent).free
    if plan.bytes > free:
        raise PaintingError(
            f"The painting needs {in_words(plan.bytes)} and the disk has {in_words(free)} free. "
            "Make some room, or choose a folder on another disk."
        )


@contextmanager
def _beside(place: Path) -> Iterator[Path]:
    """A passing folder to unpack in, which becomes ``place`` when the block ends well and else is gone."""
    making = place.with_name(f".restoring-{hashlib.sha256(os.fsencode(place.name)).hexdigest()[:12]}")
    if making.is_symlink():
        making.unlink()
    making.mkdir(exist_ok=True)  # a crash may have left one
    lock = FolderLock(making)
    try:
        lock.take()
    except AlreadyOpenError as error:
        raise PaintingError("A backup is being restored to this folder in another window. Wait for it.") from error
    try:
        for left in making.iterdir():
            if left.name != LOCK_FILE:
                shutil.rmtree(left) if left.is_dir() and not left.is_symlink() else left.unlink()
        yield making
        files.sync_folder(making)
        lock.release()
        _require_new(place)
        os.rename(making, place)
        files.sync_folder(place.parent)
    except BaseException:
        lock.release()
        shutil.rmtree(making, ignore_errors=True)
        raise


def _unpack(archive: zipfile.ZipFile, plan: _Plan, making: Path, source: Path, progress: Progress | None) -> None:
    (making / PHOTOS).mkdir()
    done = 0
    for name, (entry, sha256) in plan.wanted.items():
        path, digest = making / name, hashlib.sha256()
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            for chunk in _chunks(archive, entry):
                digest.update(chunk)
                file.write(chunk)
                done = _gone_on(done + len(chunk), plan, progress)
            files.sync(file)
        _require_same(name, digest.hexdigest(), sha256, source)
    for place in {(making / name).parent for name in plan.wanted}:
        files.sync_folder(place)


def _chunks(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    """An entry's bytes; never more of them than it was said to have."""
    length = 0
    with archive.open(entry) as packed:
        while chunk := packed.read(files.CHUNK):
            length += len(chunk)
            if length > entry.file_size:
                raise zipfile.BadZipFile("an entry is longer than it says")
            yield chunk
    if length != entry.file_size:
        raise zipfile.BadZipFile("an entry is shorter than it says")


def _gone_on(done: int, plan: _Plan, progress: Progress | None) -> int:
    if progress is not None:
        progress(done, plan.bytes)
    return done


def _require_same(name: str, sha256: str, wanted: str, source: Path) -> None:
    if sha256 != wanted:
        raise PaintingError(
            f"“{name}” in “{_shown(source)}” is not what was put in, {_NOTHING}. Choose another backup, {_BY_HAND}"
        )


def _make_its_own(making: Path, source: Path) -> None:
    """Make sure that it opens as a painting, and tell it from the one it was made of."""
    try:
        connection = open_sound(making / DATABASE)
    except DamagedError as error:
        raise PaintingError(f"The painting in “{_shown(source)}” is damaged, {_NOTHING}. Choose another.") from error
    try:
        with transaction(connection):
            connection.execute("UPDATE painting SET uuid = ?", (str(uuid4()),))
            connection.execute("UPDATE revision SET number = number + 1")
        # With their own times again, photographs need not be read to be known.
        for row in connection.execute("SELECT file, mtime_ns FROM photo").fetchall():
            for place in (PHOTOS, BIN):
                with suppress(OSError, OverflowError):
                    os.utime(making / place / row["file"], ns=(row["mtime_ns"], row["mtime_ns"]))
    finally:
        connection.close()
