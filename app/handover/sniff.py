"""What a file that came really is, whatever its name says.

Two ways were tried on pictures of 24 megapixels (6000 × 4000): reading the whole picture as the ledge does takes
0.23 s (JPEG), 0.83 s (PNG) and 0.77 s (HEIC), in which no other photo comes in; its header, its checksums and its end
take 0.2 ms, 8 ms and 0.7 ms. So a file is refused here by its header and its end, and the ledge, which reads all of it
in the worker, tells of damage in between.
"""

from pathlib import Path
from typing import Any, BinaryIO

from core.decoding.guards import webp_size
from core.decoding.quiet import quietly
from core.decoding.structure import is_cut_short

LARGEST_MEGAPIXELS = 60.0
"""As in ``core.photo.load_photo``: what could not be opened afterwards is not taken in."""

_PILLOW = {"JPEG": ("JPEG", ".jpg"), "MPO": ("JPEG", ".jpg"), "PNG": ("PNG", ".png"), "WEBP": ("WebP", ".webp"),
           "TIFF": ("TIFF", ".tif")}  # fmt: skip

NO_PHOTO = "This is not a photo that can be read here. JPEG, PNG, TIFF, WebP and HEIC can."
CUT_SHORT = "Part of this photo is missing. Send it again."
RAW = "This is a camera's raw file. Send the photo as a JPEG or HEIC."
TOO_FINE = f"This photo has more than {LARGEST_MEGAPIXELS:g} megapixels. Send a smaller copy."


class NoPhotoError(Exception):
    """Not a photograph that can be brought in; ``str(error)`` is a sentence for the page."""


def ending_of_photo(file: Path) -> str:
    """The ending that the file's contents call for, such as ``.jpg``. Raises NoPhotoError."""
    with file.open("rb") as opened, quietly():
        try:
            kind, ending, pixels = _header(opened)
        except NoPhotoError:
            raise
        except Exception as error:  # whatever a decoder makes of a stranger's bytes
            raise NoPhotoError(NO_PHOTO) from error
        if pixels > LARGEST_MEGAPIXELS * 1e6:
            raise NoPhotoError(TOO_FINE)
        if is_cut_short(opened, kind):
            raise NoPhotoError(CUT_SHORT)
    return ending


def _header(file: BinaryIO) -> tuple[str, str, int]:
    if file.read(12)[4:8] == b"ftyp":
        import pillow_heif

        file.seek(0)
        width, height = pillow_heif.open_heif(file).size
        return "HEIC", ".heic", int(width) * int(height)
    from PIL import Image

    made_room_for = webp_size(file)  # as soon as it is opened
    if made_room_for is not None and made_room_for[0] * made_room_for[1] > LARGEST_MEGAPIXELS * 1e6:
        raise NoPhotoError(TOO_FINE)
    with Image.open(file, formats=("JPEG", "PNG", "WEBP", "TIFF")) as picture:
        kind, ending = _PILLOW[picture.format or ""]
        pixels = picture.width * picture.height
        if kind == "TIFF" and _is_raw(picture):
            raise NoPhotoError(RAW)
        picture.verify()
    return kind, ending, pixels


def _is_raw(picture: Any) -> bool:
    """Whether a TIFF only wraps a camera's raw data, so that what could be read of it is its small preview.

    A DNG says its version in tag 50706 (DNG 1.4, chapter 4); in others the first picture calls itself a smaller copy of
    another (TIFF 6.0, NewSubfileType, bit 0).
    """
    return 50706 in picture.tag_v2 or bool(int(picture.tag_v2.get(254, 0)) & 1)
