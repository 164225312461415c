"""A photograph: its pixels as linear light, and where they came from."""

import io
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO

import cv2
import numpy as np
from numpy.typing import NDArray

from core import tone
from core.decoding.decode import PhotoTooLargeError, decode
from core.decoding.raster import Raster
from core.develop import develop, half_codes, half_curve, srgb_curve
from core.errors import PhotoError
from core.reduce import reduced_linear
from core.save import save_jpeg, save_png

__all__ = [
    "Photo", "PhotoTooLargeError", "Source", "half_codes", "half_curve", "load_photo", "load_photo_bytes",
    "save_jpeg", "save_png", "srgb_curve",
]  # fmt: skip


@dataclass(frozen=True)
class Source:
    """Where a photograph's pixels came from, in words a painter can read.

    ``notes``: whole sentences about anything that had to be assumed. The camera's facts are there when its file
    told them: ``taken`` is local time where it was taken.
    """

    name: str = ""
    format: str = ""
    profile: str = "sRGB"
    bits: int = 8
    notes: tuple[str, ...] = ()
    camera: str = ""
    focal_length_mm: float | None = None
    focal_length_35mm: float | None = None
    taken: datetime | None = None


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
        return tone.linear_of_codes(self.codes if rows is None else self.codes[rows], self.curve)

    def reduced(self, longest_side_px: int) -> NDArray[np.float32]:
        """Linear light ``(h, w, 3)`` float32 with the longer side ``longest_side_px``: each pixel is the mean light
        of the area it covers. A photo that is already smaller keeps its size."""
        return reduced_linear(self.codes, self.curve, longest_side_px)

    def value(self) -> NDArray[np.float32]:
        """Munsell value ``(H, W)`` float32, within 0.003 V of ASTM D1535."""
        return tone.value_map(self.codes, self.curve)

    def display(self) -> NDArray[np.uint8]:
        """sRGB codes for the screen, ``(H, W, 3)`` uint8, clipped to the sRGB gamut."""
        return tone.display_codes(self.codes, self.curve)

    def grey(self) -> NDArray[np.uint8]:
        """sRGB codes ``(H, W)`` uint8 of the neutral greys with the same luminance."""
        return tone.grey_codes(self.codes, self.curve)


def load_photo(path: Path | str, *, largest_megapixels: float = 60.0) -> Photo:
    """Read a photograph: JPEG, PNG, TIFF, WebP or HEIC, 8 or 16 bits, upright, in linear light.

    An untagged picture is read as sRGB; see-through places are laid on a neutral grey of Munsell value 5.
    Raises PhotoTooLargeError above ``largest_megapixels``, before anything is decoded, and PhotoError with a plain
    sentence for whatever else stands in the way.
    """
    name = Path(path).name or str(path)
    try:
        if not Path(path).is_file():
            raise PhotoError(_why_no_file(Path(path), name))
        with Path(path).open("rb") as file:
            return _load(file, name, largest_megapixels)
    except PermissionError as error:
        raise PhotoError(
            f"“{name}” may not be opened: this computer does not allow it. Change the file's permissions, or copy it "
            "to a folder of your own."
        ) from error
    except (OSError, ValueError) as error:
        raise PhotoError(f"“{name}” could not be opened. Check that its disk or card is still connected.") from error


def load_photo_bytes(data: bytes, name: str, *, largest_megapixels: float = 60.0) -> Photo:
    """Read a photograph from the bytes of its file, as :func:`load_photo` does; ``name`` is for messages."""
    return _load(io.BytesIO(data), name, largest_megapixels)


def _why_no_file(path: Path, name: str) -> str:
    if path.is_dir():
        return f"“{name}” is a folder. Choose a photograph inside it."
    if path.exists():
        return f"“{name}” is not an ordinary file. Choose a photograph."
    return f"There is no file “{name}”. It may have been moved or renamed: choose it again."


def _load(file: BinaryIO, name: str, largest_megapixels: float) -> Photo:
    raster = decode(file, name, largest_megapixels=largest_megapixels)
    try:
        codes, curve, profile, notes = develop(raster)
        codes = _upright(codes, raster.camera.orientation)
    except MemoryError as error:
        raise PhotoError(
            f"There is not enough memory to open “{name}”. Close other programs, or make a smaller copy of it."
        ) from error
    return Photo(codes, curve, _source(raster, name, profile, notes))


def _source(raster: Raster, name: str, profile: str, notes: tuple[str, ...]) -> Source:
    camera = raster.camera
    return Source(
        name=name,
        format=raster.format,
        profile=profile,
        bits=raster.bits,
        notes=notes,
        camera=camera.camera,
        focal_length_mm=camera.focal_length_mm,
        focal_length_35mm=camera.focal_length_35mm,
        taken=camera.taken,
    )


def _upright(codes: NDArray[Any], orientation: int) -> NDArray[Any]:
    """The picture as the camera was held; ``orientation`` 1-8 as in Exif 3.0, 4.6.5.1.6."""
    if orientation in (5, 7):
        codes = np.asarray(cv2.transpose(codes))
    turns = {3: cv2.ROTATE_180, 6: cv2.ROTATE_90_CLOCKWISE, 7: cv2.ROTATE_180, 8: cv2.ROTATE_90_COUNTERCLOCKWISE}
    if orientation in turns:
        return np.asarray(cv2.rotate(codes, turns[orientation]))
    flips = {2: 1, 4: 0}
    return np.asarray(cv2.flip(codes, flips[orientation])) if orientation in flips else codes
