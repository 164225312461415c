"""HEIC and HEIF of 8, 10 and 12 bits, read with pillow-heif."""

from dataclasses import replace
from typing import Any, BinaryIO

import numpy as np
from PIL import Image

from core.decoding.exif import CameraNotes, read_exif
from core.decoding.guards import heif_coded_size
from core.decoding.raster import Allow, Raster, split_alpha
from core.profiles import Profile, ProfileError
from core.spaces import from_code_points
from core.tone import Codes


def read_heif(file: BinaryIO, allow: Allow) -> Raster:
    """The primary picture of a HEIF. The decoder turns it upright itself; an orientation in the EXIF only repeats
    what was done (ISO/IEC 23008-12, 6.5.10) and is passed over."""
    import pillow_heif

    container = pillow_heif.open_heif(file, convert_hdr_to_8bit=False)
    picture = container[container.primary_index]
    allow(*picture.size)
    coded = heif_coded_size(file)  # all of it is decoded, however little of it is shown
    if coded != (0, 0):
        allow(*coded)
    bits = int(picture.info["bit_depth"])
    stated, notes = _stated_space(picture.info)
    return split_alpha(
        _pixels(picture, bits),
        bool(picture.has_alpha),
        format="HEIC",
        bits=bits,
        premultiplied=bool(picture.premultiplied_alpha),
        profile=picture.info.get("icc_profile") or None,
        stated=stated,
        camera=_camera(picture.info.get("exif")),
        notes=notes,
    )


def _pixels(picture: Any, bits: int) -> Codes:
    pixels = np.array(picture)
    pixels = pixels.reshape(*pixels.shape[:2], -1)[:, : picture.size[0]]
    if pixels.dtype == np.uint16:
        # 10 and 12 bits arrive moved up to the top of 16: repeating the top bits below makes full white 65535.
        pixels |= pixels >> bits
    return pixels


def _stated_space(info: dict[str, Any]) -> tuple[Profile | None, tuple[str, ...]]:
    points = info.get("nclx_profile")
    if not points:
        return None, ()
    try:
        return from_code_points(int(points["color_primaries"]), int(points["transfer_characteristics"])), ()
    except (ProfileError, KeyError):
        return None, ("It names a rare colour space, which was passed over: the colours are read as sRGB.",)


def _camera(data: bytes | None) -> CameraNotes:
    if not data:
        return CameraNotes()

    def find() -> Image.Exif:
        exif = Image.Exif()
        exif.load(data)
        return exif

    return replace(read_exif(find), orientation=1)
