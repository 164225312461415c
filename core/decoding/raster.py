"""The numbers in a picture file, before any of them is a colour: JPEG, PNG and WebP, read with Pillow."""

import io
import zlib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, BinaryIO, Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, JpegImagePlugin, PngImagePlugin, WebPImagePlugin

from core.decoding.exif import CameraNotes, read_exif
from core.decoding.guards import MOST_SCANS, scans, webp_size
from core.profiles import Profile, ProfileError
from core.spaces import from_png_chunks
from core.tone import Codes, strips

Ink = Literal["grey", "rgb", "cmyk"]
Allow = Callable[[int, int], None]
"""Called with width and height as soon as the header is read; raises when the picture is too large."""


class UnsupportedError(Exception):
    """A sound file of a kind that is not read here; the text completes “It is …”."""


@dataclass(frozen=True)
class Raster:
    """``samples``: ``(H, W, C)`` uint8 or uint16 with C 1 (``grey``), 3 (``rgb``) or 4 (``cmyk``, 0 is no ink).

    ``alpha``: ``(H, W)`` of the same dtype, or None where all is opaque. ``premultiplied``: the samples were
    already multiplied by alpha. ``profile``: the embedded ICC profile; ``stated``: a colour space the file names
    in another way. ``camera.orientation`` is still to be applied.
    """

    samples: Codes
    ink: Ink
    format: str
    bits: int = 8
    alpha: Codes | None = None
    premultiplied: bool = False
    profile: bytes | None = None
    stated: Profile | None = None
    camera: CameraNotes = field(default_factory=CameraNotes)
    notes: tuple[str, ...] = ()


def read_jpeg(file: BinaryIO, allow: Allow) -> Raster:
    """A JPEG: grey, YCbCr or CMYK."""
    image = JpegImagePlugin.JpegImageFile(file)
    allow(*image.size)
    if "progressive" in image.info:
        file.seek(0)
        if scans(file.read()) > MOST_SCANS:
            raise UnsupportedError(f"a JPEG of more than {MOST_SCANS} scans")
        file.seek(image.tile[0].offset)
    camera = read_exif(image.getexif)
    return raster_of(image, format="JPEG", camera=camera, profile=embedded_profile(image))


def read_webp(file: BinaryIO, allow: Allow) -> Raster:
    """A WebP, lossy or lossless; the first picture of a moving one."""
    whole = webp_size(file)
    if whole is not None:
        allow(*whole)
    image = WebPImagePlugin.WebPImageFile(file)
    allow(*image.size)
    notes = ("A moving picture: its first frame was taken.",) if image.n_frames > 1 else ()
    camera = read_exif(image.getexif)
    return raster_of(image, format="WebP", camera=camera, profile=embedded_profile(image), notes=notes)


def read_png(file: BinaryIO, allow: Allow) -> Raster:
    """A PNG of 1-16 bits: grey, palette or colour, with or without alpha."""
    image = PngImagePlugin.PngImageFile(file)
    allow(*image.size)
    read = _read_deep_png if str(image.tile[0].args).endswith(";16B") else raster_of
    raster = read(image, format="PNG", profile=embedded_profile(image))
    # Only now: a PNG may carry its EXIF after the picture.
    camera = read_exif(image.getexif)
    stated, notes = _png_colour(image.info)
    return replace(raster, camera=camera, stated=stated, notes=notes)


def raster_of(image: Image.Image, **facts: Any) -> Raster:
    """The raster of an 8-bit Pillow picture, whatever its mode; ``facts`` are further fields of Raster."""
    see_through = "transparency" in image.info or image.mode in ("LA", "La", "PA", "RGBA", "RGBa")
    if image.mode in ("1", "L", "LA", "La"):
        mode = "LA" if see_through else "L"
    elif image.mode in ("P", "PA", "RGB", "RGBA", "RGBa", "RGBX", "YCbCr"):
        mode = "RGBA" if see_through else "RGB"
    elif image.mode == "CMYK":
        mode = "CMYK"
    else:
        raise UnsupportedError(f"a picture of a rare kind ({image.mode})")
    image.load()
    return split_alpha(_pixels(image if image.mode == mode else image.convert(mode)), mode in ("LA", "RGBA"), **facts)


def split_alpha(pixels: Codes, has_alpha: bool, **facts: Any) -> Raster:
    """Raster of interleaved ``pixels`` ``(H, W, C)``, whose last channel is alpha when ``has_alpha``."""
    alpha = np.ascontiguousarray(pixels[..., -1]) if has_alpha else None
    samples = np.ascontiguousarray(pixels[..., :-1]) if has_alpha else pixels
    if alpha is not None and alpha.min() == np.iinfo(alpha.dtype).max:
        alpha = None
    inks: dict[int, Ink] = {1: "grey", 3: "rgb", 4: "cmyk"}
    return Raster(samples=samples, ink=inks[samples.shape[2]], alpha=alpha, **facts)


def embedded_profile(image: Image.Image) -> bytes | None:
    """The ICC profile of a picture opened with Pillow, if any."""
    profile = image.info.get("icc_profile")
    return profile if isinstance(profile, bytes) and profile else None


def join_bytes(high: Codes, low: Codes) -> NDArray[np.uint16]:
    """16-bit numbers from their two halves."""
    deep = high.astype(np.uint16)
    deep <<= 8
    deep |= low
    return deep


def _pixels(image: Image.Image) -> NDArray[np.uint8]:
    """``(H, W, C)`` of a loaded picture, a strip at a time: Pillow's own conversion holds the picture three times."""
    shape = (image.height, image.width, len(image.getbands()))
    pixels = np.empty(shape, np.uint8)
    for rows in strips(shape, 4_000_000):
        strip = np.asarray(image.crop((0, rows.start, image.width, rows.stop)))
        pixels[rows] = strip.reshape(pixels[rows].shape)
    return pixels


def _read_deep_png(image: PngImagePlugin.PngImageFile, **facts: Any) -> Raster:
    """16 bits a channel. Pillow keeps the high bytes only, so the file is decoded twice: its unpacker for
    little-endian numbers takes the second byte of each pair, which in a PNG is the low one."""
    facts |= {"bits": 16}
    kind, transparent = str(image.tile[0].args), image.info.get("transparency")
    if kind == "I;16B":
        grey = np.asarray(image).astype(np.uint16)[..., None]
        return _with_transparent_colour(grey, transparent, **facts)
    assert image.fp is not None
    image.fp.seek(0)
    data = image.fp.read()
    image.fp.seek(image.tile[0].offset)
    if kind == "LA;16B":
        pairs = _pixels(_loaded(PngImagePlugin.PngImageFile(io.BytesIO(_as_four_channels(data)))))
        image.load()
        return split_alpha(join_bytes(pairs[..., 0::2], pairs[..., 1::2]), True, **facts)
    second = PngImagePlugin.PngImageFile(io.BytesIO(data))
    second.tile = [tile._replace(args=kind.replace("16B", "16L")) for tile in second.tile]
    low = _pixels(_loaded(second))
    del second, data  # of 60 megapixels, a quarter of a gigabyte
    deep = join_bytes(_pixels(_loaded(image)), low)
    del low
    if kind.startswith("RGBA"):
        return split_alpha(deep, True, **facts)
    return _with_transparent_colour(deep, transparent, **facts)


def _loaded(image: Image.Image) -> Image.Image:
    image.load()
    return image


def _as_four_channels(data: bytes) -> bytes:
    """The same PNG with its header saying 8-bit RGBA instead of 16-bit grey and alpha: both are four bytes a pixel
    and are filtered alike, so the bytes come through untouched."""
    header = b"IHDR" + data[16:24] + bytes((8, 6)) + data[26:29]
    return data[:12] + header + zlib.crc32(header).to_bytes(4, "big") + data[33:]


def _with_transparent_colour(deep: NDArray[np.uint16], colour: Any, **facts: Any) -> Raster:
    """Alpha from a PNG's one transparent colour (tRNS), if it has one."""
    raster = split_alpha(deep, False, **facts)
    if colour is None or np.size(colour) != deep.shape[2]:
        return raster
    clear = (deep == np.asarray(colour)).all(axis=2)
    alpha = np.where(clear, 0, 65535).astype(np.uint16)
    return replace(raster, alpha=alpha)


def _png_colour(info: dict[Any, Any]) -> tuple[Profile | None, tuple[str, ...]]:
    """The space named by gAMA and cHRM; an embedded profile or the sRGB chunk goes before them."""
    if "icc_profile" in info or "srgb" in info or not {"gamma", "chromaticity"} & set(info):
        return None, ()
    try:
        return from_png_chunks(info.get("gamma"), info.get("chromaticity")), ()
    except (ProfileError, ValueError, TypeError):
        return None, ("Its colour chunks make no sense and were passed over: the colours are read as sRGB.",)
