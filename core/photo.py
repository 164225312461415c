"""A photograph: its pixels as linear light, and where they came from."""

import io
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core import tone
from core.colorimetry import decode_srgb
from core.errors import PhotoError


class PhotoTooLargeError(PhotoError):
    """The photograph has more pixels than the limit it was opened with."""


@dataclass(frozen=True)
class Source:
    """Where a photograph's pixels came from, in words a painter can read."""

    name: str = ""
    format: str = ""
    profile: str = "sRGB"
    bits: int = 8
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Photo:
    """Pixels as small whole-number codes and the one curve that turns every code into linear light.

    ``codes``: ``(H, W, 3)`` uint8 or uint16, upright (EXIF orientation already applied).
    ``curve``: ``(256,)`` or ``(65536,)`` float32, linear light in the sRGB primaries of each code; it may go
    below 0 and above 1 for colours outside the sRGB gamut.
    """

    codes: NDArray[Any]
    curve: NDArray[np.float32]
    source: Source = field(default_factory=Source)

    @property
    def width(self) -> int:
        return int(self.codes.shape[1])

    @property
    def height(self) -> int:
        return int(self.codes.shape[0])

    def linear(self, rows: slice | None = None) -> NDArray[np.float32]:
        """Linear light of all rows, or of a slice of them: ``(rows, W, 3)`` float32."""
        return np.take(self.curve, self.codes if rows is None else self.codes[rows])

    def value(self) -> NDArray[np.float32]:
        """Munsell value, ``(H, W)`` float32."""
        return tone.value_map(self.codes, self.curve)

    def display(self) -> NDArray[np.uint8]:
        """sRGB codes for the screen, ``(H, W, 3)`` uint8, clipped to the sRGB gamut."""
        return tone.display_codes(self.codes, self.curve)


@cache
def srgb_curve(codes: int = 256) -> NDArray[np.float32]:
    """Linear light of every sRGB code: ``(256,)`` or ``(65536,)`` float32 (IEC 61966-2-1)."""
    curve = decode_srgb(np.arange(codes) / (codes - 1)).astype(np.float32)
    curve.setflags(write=False)
    return curve


def load_photo(path: Path | str, *, largest_megapixels: float = 60.0) -> Photo:
    """Read a photograph."""
    return load_photo_bytes(Path(path).read_bytes(), Path(path).name, largest_megapixels=largest_megapixels)


def load_photo_bytes(data: bytes, name: str, *, largest_megapixels: float = 60.0) -> Photo:
    """Read a photograph from the bytes of its file."""
    from PIL import Image, ImageOps

    try:
        with Image.open(io.BytesIO(data)) as image:
            codes = np.array(ImageOps.exif_transpose(image).convert("RGB"))
            kind = image.format or ""
    except Exception as error:
        raise PhotoError(f"“{name}” could not be read as a picture.") from error
    return Photo(codes, srgb_curve(), Source(name=name, format=kind))
