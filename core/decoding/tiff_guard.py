"""What a TIFF may ask for before any of its pixels are unpacked: a few bytes could otherwise fill the memory."""

import zlib
from typing import Any, BinaryIO

from core.decoding.raster import UnsupportedError

MOST_CHANNELS = 8  # of a large picture: colours, and what an editor kept beside them
_MOST_OF_MANY_CHANNELS = 500_000_000  # bytes
_MOST_TILE_PIXELS = 4096 * 4096  # a tile may be larger than its picture, but not out of all proportion
_DEFLATE = (8, 32946)
_ROOM = 4  # a strip may hold more rows than the picture still has
_MORE_ROOM = 1_000_000


def check_tiff(file: BinaryIO, page: Any) -> None:
    """Refuse a picture whose parts do not fit its size or its file. Raises ValueError where it is damaged or made to
    fill the memory, UnsupportedError where it is of a rare kind."""
    pixels = page.imagewidth * page.imagelength
    unpacked = pixels * page.samplesperpixel * (page.bitspersample // 8)
    if page.samplesperpixel > MOST_CHANNELS and unpacked > _MOST_OF_MANY_CHANNELS:
        raise UnsupportedError(f"a TIFF of {page.samplesperpixel} channels")
    if page.imagedepth != 1:
        raise UnsupportedError("a TIFF of several layers in depth")
    tile = page.tilewidth * page.tilelength * page.tiledepth if page.is_tiled else 0
    if tile > max(pixels, _MOST_TILE_PIXELS):
        raise ValueError("tiles much larger than the picture")
    if sum(page.databytecounts) > file.seek(0, 2):
        raise ValueError("strips that lie over one another")
    _bound_tifffile()


def inflated(data: bytes, /, *, out: int | None = None) -> bytes:
    """Deflate undone, of which ``out`` bytes are wanted. Raises ValueError for far more than that, before it is all
    unpacked, and zlib.error for damage."""
    room = _ROOM * (out or 0) + _MORE_ROOM
    unpacker = zlib.decompressobj()
    plain = unpacker.decompress(data, room)
    if not unpacker.eof:
        raise ValueError("a strip that is cut short, or holds far more than its place in the picture")
    return plain


def _bound_tifffile() -> None:
    """tifffile by itself unpacks deflate whatever comes of it: 1 MB to 1 GB, for a picture of 24 rows."""
    import tifffile

    for code in _DEFLATE:
        tifffile.TIFF.DECOMPRESSORS._codecs[code] = inflated
