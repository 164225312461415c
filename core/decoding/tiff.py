"""TIFF of 1-16 bits: tifffile reads the header and plain pixels, Pillow with its libtiff the rest."""

import logging
import sys
from dataclasses import replace
from typing import Any, BinaryIO

import numpy as np
from PIL import Image, TiffImagePlugin

from core.decoding.exif import CameraNotes, read_exif
from core.decoding.raster import Allow, Raster, UnsupportedError, join_bytes, raster_of, split_alpha
from core.decoding.structure import is_cut_short
from core.decoding.tiff_guard import check_tiff
from core.decoding.tiff_planes import read_planes
from core.tone import Codes

_GREY_FROM_WHITE, _GREY, _RGB, _CMYK, _LAB = 0, 1, 2, 5, 8
_RAW_PHOTOMETRICS = (32803, 34892)  # colour filter array, linear raw (TIFF/EP, DNG)
_DNG_VERSION = 50706
_CHANNELS = {_GREY_FROM_WHITE: 1, _GREY: 1, _RGB: 3, _CMYK: 4}
_PLAIN = (1, 8, 32946)  # compressions that tifffile undoes by itself, and fast: none and deflate
_FLOAT = 3


def read_tiff(file: BinaryIO, allow: Allow) -> Raster:
    """The first picture of a TIFF: grey, RGB, palette or CMYK, with alpha if it has any.

    Raises UnsupportedError for raw, Lab, floating-point and other rare kinds.
    """
    import tifffile

    logging.getLogger("tifffile").setLevel(logging.CRITICAL)  # what it complains about is said in our own words
    if is_cut_short(file, "TIFF"):  # the decoders would go on without a profile, or with strips of black
        raise EOFError("the file ends early")
    file.seek(0)
    with tifffile.TiffFile(file) as tiff:
        page = tiff.pages.first
        allow(page.imagewidth, page.imagelength)
        _refuse_rare_kinds(page)
        check_tiff(file, page)
        facts: dict[str, Any] = {"format": "TIFF", "camera": _camera(file, tiff), "profile": page.iccprofile or None}
        if _is_plain(page):
            return _with_its_channels(_plain_pixels(page), page, **facts)
        if page.bitspersample == 16 and _has_planes(page):
            return _with_its_channels(read_planes(file, page), page, **facts)
        # Pillow turns a TIFF upright itself while it decodes.
        facts["camera"] = replace(facts["camera"], orientation=1)
        if page.bitspersample == 16:
            return _with_its_channels(_two_halves(file, page), page, **facts)
        return raster_of(_opened_with_pillow(file, page), **facts)


def _refuse_rare_kinds(page: Any) -> None:
    kind = int(page.photometric)
    if kind in _RAW_PHOTOMETRICS or _DNG_VERSION in page.tags:
        raise UnsupportedError("a camera's raw file")
    if kind == _LAB:
        raise UnsupportedError("a TIFF in Lab colour")
    if int(page.sampleformat) == _FLOAT:
        raise UnsupportedError("a TIFF of floating-point numbers")
    if page.bitspersample == 16 and kind not in _CHANNELS:
        raise UnsupportedError("a 16-bit TIFF of a rare kind")
    if not isinstance(page.bitspersample, int):  # each channel has its own
        raise UnsupportedError("a TIFF of a rare kind")
    if page.bitspersample not in (1, 2, 4, 8, 16):
        raise UnsupportedError(f"a TIFF with {page.bitspersample} bits a channel")


def _is_plain(page: Any) -> bool:
    return page.bitspersample in (8, 16) and int(page.photometric) in _CHANNELS and int(page.compression) in _PLAIN


def _has_planes(page: Any) -> bool:
    return bool(page.samplesperpixel > 1 and int(page.planarconfig) == 2)


def _plain_pixels(page: Any) -> Codes:
    # tifffile fills strips that are not there with black.
    if 0 in page.databytecounts or len(page.databytecounts) < int(np.prod(page.chunked)):
        raise ValueError("strips are missing")
    pixels = np.asarray(page.asarray(), dtype=np.uint8 if page.bitspersample == 8 else np.uint16)
    if _has_planes(page):
        pixels = np.moveaxis(pixels, 0, -1)
    return np.ascontiguousarray(pixels.reshape(page.imagelength, page.imagewidth, page.samplesperpixel))


def _two_halves(file: BinaryIO, page: Any) -> Codes:
    """16-bit pixels of a compressed TIFF. Pillow keeps one byte of each pair: the high one when it unpacks in the
    machine's own order, in which libtiff hands them over, the low one when it unpacks in the other."""
    native, other = ("L", "B") if sys.byteorder == "little" else ("B", "L")
    halves = []
    for order in (native, other):
        image = _opened_with_pillow(file, page)
        if image.mode == "I;16":
            return np.asarray(image).astype(np.uint16)[..., None]
        (tile,) = image.tile
        # RGBa would be divided by alpha half by half: it is left as it is and divided later.
        arguments = tuple(tile.args or ())
        unpacker = arguments[0].replace("RGBa", "RGBA").replace("16N", "16" + order)
        image.tile = [tile._replace(args=(unpacker, *arguments[1:]))]
        halves.append(np.array(image))
    return join_bytes(*halves)


def _opened_with_pillow(file: BinaryIO, page: Any) -> TiffImagePlugin.TiffImageFile:
    file.seek(0)
    try:
        image = TiffImagePlugin.TiffImageFile(file)
    except (SyntaxError, KeyError) as error:
        raise UnsupportedError("a TIFF of a rare kind") from error
    # Of a tag that stands twice, tifffile takes the first and Pillow the last; by then the size was let in.
    if sorted(image.size) != sorted((page.imagewidth, page.imagelength)):
        raise ValueError("two sizes for one picture")
    return image


def _with_its_channels(pixels: Codes, page: Any, **facts: Any) -> Raster:
    kind = int(page.photometric)
    inks = _CHANNELS[kind]
    if pixels.shape[2] < inks:
        raise ValueError("fewer channels than its kind needs")
    if kind == _GREY_FROM_WHITE:
        pixels = np.concatenate([np.iinfo(pixels.dtype).max - pixels[..., :1], pixels[..., 1:]], axis=2)
    extra = [int(kind) for kind in page.extrasamples or ()][: pixels.shape[2] - inks]
    has_alpha = bool(extra) and extra[0] in (1, 2)
    pixels = np.ascontiguousarray(pixels[..., : inks + has_alpha])
    return split_alpha(pixels, has_alpha, bits=page.bitspersample, premultiplied=has_alpha and extra[0] == 1, **facts)


def _camera(file: BinaryIO, tiff: Any) -> CameraNotes:
    def find() -> Image.Exif:
        exif = Image.Exif()
        exif.bigtiff, exif.endian = bool(tiff.is_bigtiff), tiff.byteorder
        exif.load_from_fp(file, tiff.pages.first.offset)
        return exif

    return read_exif(find)
