"""What JPEG, WebP and HEIC files may ask for, told from their headers before a decoder makes room for it."""

import os
import re
import struct
from collections.abc import Iterator
from typing import BinaryIO

MOST_SCANS = 64
"""Of a progressive JPEG. Cameras and editors write ten or so; each further one costs a pass over the whole picture,
for as little as 100 bytes (0.06 s at 56 megapixels)."""

_AFTER_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")  # ITU-T T.81, B.1.1.2: any marker but restarts and stuffing
_SPATIAL_EXTENTS = re.compile(rb"\0\0\0\x14ispe\0{4}(.{8})", re.DOTALL)  # ISO/IEC 23008-12, 6.5.3
_HEVC_PADDING = 64  # a coded picture is as large as whole blocks, of 64 pixels at most
_MOST_META = 16_000_000


def scans(data: bytes) -> int:
    """How many scans the first picture in a JPEG has, up to one more than ``MOST_SCANS``."""
    place, count = 2, 0
    while place + 4 <= len(data) and count <= MOST_SCANS:
        marker, length = data[place + 1], int.from_bytes(data[place + 2 : place + 4], "big")
        if data[place] != 0xFF or marker == 0xD9:
            break
        if marker == 0xFF or 0xD0 <= marker <= 0xD8 or marker == 0x01:  # fill, or a marker without a length
            place += 1 if marker == 0xFF else 2
            continue
        place += 2 + length
        if marker == 0xDA:
            count += 1
            found = _AFTER_SCAN.search(data, place)
            if found is None:
                break
            place = found.start()
    return count


def webp_size(file: BinaryIO) -> tuple[int, int] | None:
    """Width and height of the whole of an extended WebP (RFC 9649, 2.7), which its decoder makes room for as soon
    as it is opened; None for simple ones, of 16383 pixels a side at most."""
    file.seek(0)
    head = file.read(30)
    file.seek(0)
    if len(head) < 30 or head[12:16] != b"VP8X":
        return None
    return int.from_bytes(head[24:27], "little") + 1, int.from_bytes(head[27:30], "little") + 1


def heif_coded_size(file: BinaryIO) -> tuple[int, int]:
    """Width and height of the largest picture that is coded in a HEIF, of which its crop may show little; without
    what only fills its last blocks. ``(0, 0)`` when it names none."""
    largest = (0, 0)
    for found in _SPATIAL_EXTENTS.finditer(_meta(file)):
        width, height = (max(side - _HEVC_PADDING + 1, min(side, 1)) for side in struct.unpack(">II", found[1]))
        if width * height > largest[0] * largest[1]:
            largest = width, height
    return largest


def _meta(file: BinaryIO) -> bytes:
    for name, start, length in _boxes(file):
        if name == b"meta":
            file.seek(start)
            meta = file.read(min(length, _MOST_META))
            file.seek(0)
            return meta
    file.seek(0)
    return b""


def _boxes(file: BinaryIO) -> Iterator[tuple[bytes, int, int]]:
    """Name, beginning and length of each box of a file."""
    size, place = file.seek(0, os.SEEK_END), 0
    while place + 8 <= size:
        file.seek(place)
        head = file.read(16)
        length = int.from_bytes(head[:4], "big")
        if length == 1:
            length = int.from_bytes(head[8:16], "big")
        if length < 8:
            length = size - place
        yield head[4:8], place, length
        place += length
