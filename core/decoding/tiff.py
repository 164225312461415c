"""TIFF of 8 and 16 bits: tifffile reads the header and plain 16-bit pixels, Pillow's libtiff the rest."""

import logging
import sys
from dataclasses import replace
from typing import Any, BinaryIO

import numpy as np
from PIL import Image, TiffImagePlugin

from core.decoding.exif import CameraNotes, read_exif
from core.decoding.raster import Allow, Raster, UnsupportedError, join_bytes, raster_of, split_alpha
from core.decoding.structure import is_cut_short
from core.tone import Codes

_GREY_FROM_WHITE, _GREY, _RGB, _CMYK, _LAB = 0, 1, 2, 5, 8
_RAW_PHOTOMETRICS = (32803, 34892)  # colour filter array, linear raw (TIFF/EP, DNG)
_DNG_VERSION = 50706
_CHANNELS = {_GREY_FROM_WHITE: 1, _GREY: 1, _RGB: 3, _CMYK: 4}
_PLAIN = (1, 8, 32773, 32946)  # compressions that tifffile undoes by itself: none, deflate, PackBits
_FLOAT = 3


def read_tiff(file: BinaryIO, allow: Allow) -> Raster:
    """The first picture of a TIFF: grey, RGB, palette or CMYK, any extra channel that is alpha, 1-16 bits."""
    import tifffile

    logging.getLogger("tifffile").setLevel(logging.CRITICAL)  # what it complains about is said in our own words
    if is_cut_short(file, "TIFF"):  # the decoders would go on without a profile, or with strips of black
        raise EOFError("the file ends early")
    file.seek(0)
    with tifffile.TiffFile(file) as tiff:
        page = tiff.pages.first
        allow(page.imagewidth, page.imagelength)
        _refuse_rare_kinds(page)
        facts = {"format": "TIFF", "camera": _camera(file, tiff), "profile": page.iccprofile or None}
        if page.bitspersample == 16:
            pixels = _plain_pixels(page) if int(page.compression) in _PLAIN else _two_halves(file)
            return _deep_raster(pixels, page, **facts)
    file.seek(0)
    with TiffImagePlugin.TiffImageFile(file) as image:
        return raster_of(image, **_turned(facts))


def _refuse_rare_kinds(page: Any) -> None:
    kind = int(page.photometric)
    if kind in _RAW_PHOTOMETRICS or _DNG_VERSION in page.tags:
        raise UnsupportedError("a camera's raw file")
    if kind == _LAB:
        raise UnsupportedError("a TIFF in Lab colour")
    if int(page.sampleformat) == _FLOAT or page.bitspersample > 16:
        raise UnsupportedError(f"a TIFF with {page.bitspersample} bits a channel")
    if page.bitspersample == 16 and kind not in _CHANNELS:
        raise UnsupportedError("a 16-bit TIFF of a rare kind")
    if page.bitspersample not in (1, 2, 4, 8, 16):
        raise UnsupportedError(f"a TIFF with {page.bitspersample} bits a channel")


def _plain_pixels(page: Any) -> Codes:
    # tifffile fills strips that are not there with black.
    if 0 in page.databytecounts or len(page.databytecounts) < int(np.prod(page.chunked)):
        raise ValueError("strips are missing")
    pixels = np.asarray(page.asarray(), dtype=np.uint16)
    if page.samplesperpixel > 1 and int(page.planarconfig) == 2:
        pixels = np.moveaxis(pixels, 0, -1)
    return np.ascontiguousarray(pixels.reshape(page.imagelength, page.imagewidth, page.samplesperpixel))


def _two_halves(file: BinaryIO) -> Codes:
    """16-bit pixels of a compressed TIFF. Pillow keeps one byte of each pair: the high one when it unpacks in the
    machine's own order, in which libtiff hands them over, the low one when it unpacks in the other."""
    native, other = ("L", "B") if sys.byteorder == "little" else ("B", "L")
    halves = []
    for order in (native, other):
        file.seek(0)
        image = TiffImagePlugin.TiffImageFile(file)
        if image.mode == "I;16":
            return np.asarray(image).astype(np.uint16)[..., None]
        (tile,) = image.tile
        # RGBa would be divided by alpha half by half: it is left as it is and divided later.
        arguments = tuple(tile.args or ())
        unpacker = arguments[0].replace("RGBa", "RGBA").replace("16N", "16" + order)
        image.tile = [tile._replace(args=(unpacker, *arguments[1:]))]
        halves.append(np.array(image))
    return join_bytes(*halves)


def _deep_raster(pixels: Codes, page: Any, **facts: Any) -> Raster:
    kind = int(page.photometric)
    inks = _CHANNELS[kind]
    if pixels.shape[2] < inks:
        raise ValueError("fewer channels than its kind needs")
    if kind == _GREY_FROM_WHITE:
        pixels = np.concatenate([65535 - pixels[..., :1], pixels[..., 1:]], axis=2)
    extra = [int(kind) for kind in page.extrasamples or ()][: pixels.shape[2] - inks]
    has_alpha = bool(extra) and extra[0] in (1, 2)
    if int(page.compression) not in _PLAIN:
        facts = _turned(facts)
    pixels = np.ascontiguousarray(pixels[..., : inks + has_alpha])
    return split_alpha(pixels, has_alpha, bits=16, premultiplied=has_alpha and extra[0] == 1, **facts)


def _turned(facts: dict[str, Any]) -> dict[str, Any]:
    """Pillow turns a TIFF upright itself while it decodes."""
    return {**facts, "camera": replace(facts["camera"], orientation=1)}


def _camera(file: BinaryIO, tiff: Any) -> CameraNotes:
    def find() -> Image.Exif:
        exif = Image.Exif()
        exif.bigtiff, exif.endian = bool(tiff.is_bigtiff), tiff.byteorder
        exif.load_from_fp(file, tiff.pages.first.offset)
        return exif

    return read_exif(find)
