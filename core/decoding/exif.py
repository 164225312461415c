"""What the camera wrote beside the picture (CIPA DC-008-2023, Exif 3.0)."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from PIL import Image

_MAKE, _MODEL, _ORIENTATION, _EXIF_IFD = 0x010F, 0x0110, 0x0112, 0x8769
_TAKEN, _FOCAL_LENGTH, _FOCAL_LENGTH_35MM = 0x9003, 0x920A, 0xA405
_COLOUR_SPACE, _INTEROP_IFD, _INTEROP_INDEX = 0xA001, 0xA005, 0x0001


@dataclass(frozen=True)
class CameraNotes:
    """Facts from a photograph's EXIF; everything is optional."""

    orientation: int = 1
    camera: str = ""
    focal_length_mm: float | None = None
    focal_length_35mm: float | None = None
    taken: datetime | None = None
    says_adobe_rgb: bool = False
    readable: bool = True


def read_exif(find: Callable[[], Image.Exif]) -> CameraNotes:
    """The notes in the EXIF that ``find`` reads from a file. Nothing is raised: damage only makes it unreadable."""
    try:
        exif = find()
        details = dict(exif.get_ifd(_EXIF_IFD))
        interop = dict(exif.get_ifd(_INTEROP_IFD)) if _INTEROP_IFD in details else {}
        orientation = exif.get(_ORIENTATION, 1)
        return CameraNotes(
            orientation=orientation if orientation in range(1, 9) else 1,
            camera=_camera(exif),
            focal_length_mm=_positive(details.get(_FOCAL_LENGTH)),
            focal_length_35mm=_positive(details.get(_FOCAL_LENGTH_35MM)),
            taken=_moment(details.get(_TAKEN)),
            # DCF 2.0 optional files: uncalibrated, with the interoperability index R03.
            says_adobe_rgb=details.get(_COLOUR_SPACE) != 1 and _text(interop.get(_INTEROP_INDEX)) == "R03",
        )
    except Exception:
        return CameraNotes(readable=False)


def _camera(exif: Image.Exif) -> str:
    make, model = _text(exif.get(_MAKE)), _text(exif.get(_MODEL))
    return model if make and model.startswith(make.split()[0]) else f"{make} {model}".strip()


def _text(entry: Any) -> str:
    if isinstance(entry, bytes):
        entry = entry.decode("utf-8", "replace")
    if not isinstance(entry, str):
        return ""
    return "".join(letter for letter in entry.split("\0")[0] if letter.isprintable()).strip()[:80]


def _positive(entry: Any) -> float | None:
    try:
        number = float(entry)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if math.isfinite(number) and number > 0.0 else None


def _moment(entry: Any) -> datetime | None:
    try:
        return datetime.strptime(_text(entry)[:19], "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None
