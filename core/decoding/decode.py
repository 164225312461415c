"""From a file to a raster: what kind of file it is, and what to tell the painter when it cannot be read."""

import os
from collections.abc import Callable
from typing import BinaryIO

from core.decoding.heif import read_heif
from core.decoding.quiet import quietly
from core.decoding.raster import Allow, Raster, UnsupportedError, read_jpeg, read_png, read_webp
from core.decoding.structure import is_cut_short
from core.decoding.tiff import read_tiff
from core.errors import PhotoError

_READERS: dict[str, Callable[[BinaryIO, Allow], Raster]] = {
    "JPEG": read_jpeg,
    "PNG": read_png,
    "WebP": read_webp,
    "TIFF": read_tiff,
    "HEIC": read_heif,
}
_RAW_ENDINGS = frozenset((
    ".3fr", ".arw", ".cr2", ".cr3", ".crw", ".dcr", ".dng", ".erf", ".fff", ".iiq", ".kdc", ".mef",
    ".mos", ".mrw", ".nef", ".nrw", ".orf", ".pef", ".raf", ".raw", ".rw2", ".rwl", ".sr2", ".srf", ".srw", ".x3f",
))  # fmt: skip
_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"hevm", b"hevs", b"mif1", b"msf1", b"mif2")
_NO_PHOTO_MEGAPIXELS = 10_000.0
_READABLE = "JPEG, PNG, TIFF, WebP and HEIC"


class PhotoTooLargeError(PhotoError):
    """More megapixels than the limit the photograph was opened with; it can be opened again with a higher one."""

    def __init__(self, name: str, width: int, height: int, limit: float) -> None:
        self.width, self.height, self.limit = width, height, limit
        self.megapixels = width * height / 1e6
        super().__init__(
            f"“{name}” is {width} × {height} pixels ({_plain_number(self.megapixels)} megapixels), more than the limit "
            f"of {_plain_number(limit)}. {_what_to_do(self.megapixels)}"
        )


def _what_to_do(megapixels: float) -> str:
    if megapixels > _NO_PHOTO_MEGAPIXELS:
        return "No photograph is so large: the file is damaged. Bring in another copy of the picture."
    memory = max(1, round(megapixels * 12e6 / 1e9))
    return f"Make a smaller copy of it, or raise the limit: opening it takes about {memory} GB of memory."


def _plain_number(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")


def decode(file: BinaryIO, name: str, *, largest_megapixels: float) -> Raster:
    """The raster in an open, seekable ``file`` called ``name``.

    Raises PhotoTooLargeError as soon as the header tells the size, and PhotoError with a plain sentence for anything
    else that stands in the way; nothing else is raised.
    """

    def allow(width: int, height: int) -> None:
        if width < 1 or height < 1:
            raise ValueError("a picture without pixels")
        if width * height > largest_megapixels * 1e6:
            raise PhotoTooLargeError(name, width, height, largest_megapixels)

    kind = _kind(file, name)
    try:
        file.seek(0)
        with quietly():
            return _READERS[kind](file, allow)
    except PhotoError:
        raise
    except UnsupportedError as error:
        raise PhotoError(
            f"“{name}” is {error}, which cannot be read here. Save it as an 8-bit or 16-bit RGB TIFF or as a PNG first."
        ) from error
    except MemoryError as error:
        raise PhotoError(
            f"There is not enough memory to open “{name}”. Close other programs, or make a smaller copy of it."
        ) from error
    except Exception as error:
        raise PhotoError(_why_unreadable(file, name, kind)) from error


def _kind(file: BinaryIO, name: str) -> str:
    try:
        file.seek(0)
        start = file.read(32)
    except OSError as error:
        raise PhotoError(f"“{name}” could not be read from the disk. Copy it again and try once more.") from error
    if not start:
        raise PhotoError(f"“{name}” is empty: there is nothing in the file. Copy it again from the camera or phone.")
    if os.path.splitext(name)[1].lower() in _RAW_ENDINGS:
        raise PhotoError(
            f"“{name}” is a camera's raw file. Develop it first, and bring in a JPEG or a 16-bit TIFF made from it."
        )
    kind = _kind_by_signature(start)
    if kind is None:
        raise PhotoError(f"“{name}” is not a photograph that can be read here. {_READABLE} files can.")
    return kind


def _kind_by_signature(start: bytes) -> str | None:
    if start.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if start.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if start[:4] == b"RIFF" and start[8:12] == b"WEBP":
        return "WebP"
    if start[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        return "TIFF"
    if start[4:8] == b"ftyp" and start[8:12] in _HEIF_BRANDS:
        return "HEIC"
    return None


def _why_unreadable(file: BinaryIO, name: str, kind: str) -> str:
    if is_cut_short(file, kind):
        return f"“{name}” is cut short: part of the picture is missing. Copy it again from the camera or phone."
    return f"“{name}” is damaged and cannot be read. Copy it again, or bring in another copy of the picture."
