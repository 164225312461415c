"""16-bit TIFFs that keep each channel by itself under a compression that only libtiff undoes (LZW, PackBits)."""

import io
import struct
from typing import Any, BinaryIO

import numpy as np
from PIL import TiffImagePlugin

from core.tone import Codes

_SHORT, _LONG = 3, 4


def read_planes(file: BinaryIO, page: Any) -> Codes:
    """``(H, W, C)`` uint16. Each channel is handed to libtiff as a grey picture of its own, of which Pillow keeps all
    16 bits; of separate colour channels it would keep 8."""
    segments = len(page.dataoffsets) // page.samplesperpixel
    planes = []
    for channel in range(page.samplesperpixel):
        part = slice(channel * segments, (channel + 1) * segments)
        grey = _as_grey_tiff(file, page, page.dataoffsets[part], page.databytecounts[part])
        planes.append(np.asarray(TiffImagePlugin.TiffImageFile(io.BytesIO(grey))).astype(np.uint16))
    return np.stack(planes, axis=-1)


def _as_grey_tiff(file: BinaryIO, page: Any, offsets: tuple[int, ...], lengths: tuple[int, ...]) -> bytes:
    order = page.parent.byteorder
    body, places = b"", []
    for offset, length in zip(offsets, lengths, strict=True):
        places.append(8 + len(body))
        file.seek(offset)
        body += file.read(length)
    entries: list[tuple[int, int, list[int]]] = [
        (256, _LONG, [page.imagewidth]), (257, _LONG, [page.imagelength]), (258, _SHORT, [16]),
        (259, _SHORT, [int(page.compression)]), (262, _SHORT, [1]), (277, _SHORT, [1]),
        (317, _SHORT, [int(page.predictor)]),
    ]  # fmt: skip
    if page.is_tiled:
        entries += [(322, _LONG, [page.tilewidth]), (323, _LONG, [page.tilelength])]
        entries += [(324, _LONG, places), (325, _LONG, list(lengths))]
    else:
        entries += [(273, _LONG, places), (278, _LONG, [page.rowsperstrip]), (279, _LONG, list(lengths))]
    return _tiff_file(order, body, sorted(entries))


def _tiff_file(order: str, body: bytes, entries: list[tuple[int, int, list[int]]]) -> bytes:
    """TIFF 6.0, section 2: header, ``body``, long values, and the directory last."""
    body += bytes(len(body) % 2)
    table = b""
    for tag, kind, numbers in entries:
        value = struct.pack(f"{order}{len(numbers)}{'H' if kind == _SHORT else 'I'}", *numbers)
        if len(value) > 4:
            place = struct.pack(order + "I", 8 + len(body))
            body, value = body + value, place
        table += struct.pack(order + "HHI", tag, kind, len(numbers)) + value.ljust(4, b"\0")
    mark = b"II*\0" if order == "<" else b"MM\0*"
    header = mark + struct.pack(order + "I", 8 + len(body))
    return header + body + struct.pack(order + "H", len(entries)) + table + bytes(4)
