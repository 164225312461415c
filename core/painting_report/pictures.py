"""Pictures of a report: laid flat, no finer than print shows, and small enough that many make no large file."""

import io
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.lay_flat import lay_flat, reference_flat, supported_px_per_mm
from core.errors import CancelledError, PainterError
from core.painting_report.parts import ReportPicture
from core.photo import Photo, load_photo
from core.size import Size
from core.tone import display_of_linear

Pixels = NDArray[np.uint8]
Linear = NDArray[np.float32]

DPI = 200
MOST_BYTES = 13_000_000
"""Of all pictures together."""
_PER_PICTURE = 1_200_000
_QUALITIES = ((90, 0), (86, 2), (78, 2), (68, 2))
_SMALLER = 0.75
_SMALLEST_PX = 200


@dataclass(frozen=True, eq=False)
class Made:
    """A picture as a JPEG file; or the sentence why there is none."""

    jpeg: bytes = b""
    width_px: int = 0
    height_px: int = 0
    problem: str = ""


def share_of(pictures: int) -> int:
    """How many bytes each of so many pictures may have."""
    return min(_PER_PICTURE, MOST_BYTES // max(1, pictures))


def made(picture: ReportPicture, size: Size, room_mm: tuple[float, float], most_bytes: int) -> Made:
    """The picture for a rectangle of ``room_mm`` width and height; what stands in its way as a sentence."""
    try:
        return packed(flat(picture, read(picture), size, room_mm), most_bytes)
    except CancelledError:
        raise
    except PainterError as trouble:
        return Made(problem=str(trouble))
    except MemoryError:
        return Made(
            problem=f"There is not enough memory to print “{picture.name}”. Close other programs, and try again."
        )


def read(picture: ReportPicture) -> Photo:
    """Its photo. Raises PainterError with a sentence."""
    if picture.problem or picture.file is None:
        raise PainterError(picture.problem or f"“{picture.name}” is not there.")
    return load_photo(picture.file)


def flat(
    picture: ReportPicture,
    photo: Photo,
    size: Size,
    room_mm: tuple[float, float],
    correct: Callable[[Linear], Linear] | None = None,
) -> Pixels:
    """sRGB codes ``(h, w, 3)``, the canvas's face alone where its corners are known. ``correct``: makes other linear
    light ``(h, w, 3)`` of it."""
    if picture.corners is None and not picture.whole_is_canvas:
        scale = min(room_mm[0] / photo.width, room_mm[1] / photo.height)
        light = photo.reduced(max(1, round(max(photo.width, photo.height) * scale * DPI / 25.4)))
    else:
        finest = min(room_mm[0] / size.width_mm, room_mm[1] / size.height_mm) * DPI / 25.4
        light = _on_canvas(picture, photo, size, finest)
    return display_of_linear(light if correct is None else correct(light))


def _on_canvas(picture: ReportPicture, photo: Photo, size: Size, finest: float) -> Linear:
    if picture.whole_is_canvas:
        most = max(photo.width / size.width_mm, photo.height / size.height_mm)
        return reference_flat(photo, size, min(finest, most), crop=picture.corners)[0].linear
    corners = np.asarray(picture.corners, dtype=np.float64)
    supported = supported_px_per_mm(corners, size, picture.lens_k1, photo.width, photo.height)
    return lay_flat(photo, corners, size, k1=picture.lens_k1, px_per_mm=min(finest, supported)).linear


def halved(pixels: Pixels) -> Pixels:
    """Half as wide and high."""
    small = (max(1, pixels.shape[1] // 2), max(1, pixels.shape[0] // 2))
    return np.asarray(cv2.resize(pixels, small, interpolation=cv2.INTER_AREA))


def packed(pixels: Pixels, most_bytes: int) -> Made:
    """As a JPEG of so many bytes at most: coarser first, then smaller."""
    while True:
        for quality, subsampling in _QUALITIES:
            data = _jpeg(pixels, quality, subsampling)
            if len(data) <= most_bytes:
                return Made(data, pixels.shape[1], pixels.shape[0])
        wide, high = (round(side * _SMALLER) for side in (pixels.shape[1], pixels.shape[0]))
        if min(wide, high) < _SMALLEST_PX:
            return Made(data, pixels.shape[1], pixels.shape[0])
        pixels = np.asarray(cv2.resize(pixels, (wide, high), interpolation=cv2.INTER_AREA))


def _jpeg(pixels: Pixels, quality: int, subsampling: int) -> bytes:
    from PIL import Image

    held = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(pixels)).save(
        held, "JPEG", quality=quality, subsampling=subsampling, dpi=(DPI, DPI)
    )
    return held.getvalue()
