"""Where a picture file says it ends, to tell a file that was cut short from one that is damaged."""

import os
import struct
from collections.abc import Iterator
from typing import BinaryIO

from core.decoding.quiet import quietly


def is_cut_short(file: BinaryIO, kind: str) -> bool:
    """Whether a file that could not be decoded ends before its own structure says it should."""
    try:
        return _ends_early(file, kind)
    except (OSError, struct.error, ValueError):
        return False


def _ends_early(file: BinaryIO, kind: str) -> bool:
    size = file.seek(0, os.SEEK_END)
    if kind == "JPEG":
        file.seek(max(0, size - 65536))
        return b"\xff\xd9" not in file.read()
    if kind == "WebP":
        file.seek(4)
        return size < int.from_bytes(file.read(4), "little") + 8
    if kind == "PNG":
        return _runs_out(_png_chunks(file, size), b"IEND")
    if kind == "HEIC":
        return _runs_out(_heif_boxes(file, size), b"")
    return _tiff_runs_out(file, size)


def _runs_out(parts: Iterator[tuple[bytes, bool]], last: bytes) -> bool:
    name = b""
    for part, whole in parts:
        if not whole:
            return True
        name = part
    return bool(last) and name != last


def _png_chunks(file: BinaryIO, size: int) -> Iterator[tuple[bytes, bool]]:
    place = 8
    while place + 8 <= size:
        file.seek(place)
        length, name = struct.unpack(">I4s", file.read(8))
        place += 12 + length
        yield name, place <= size
        if name == b"IEND":
            return


def _heif_boxes(file: BinaryIO, size: int) -> Iterator[tuple[bytes, bool]]:
    place = 0
    while place < size:
        file.seek(place)
        head = file.read(16)
        if len(head) < 8:
            yield b"", False
            return
        length = int.from_bytes(head[:4], "big")
        if length == 1:
            length = int.from_bytes(head[8:16], "big")
        if length < 8:  # 0 runs to the end of the file; anything else is nonsense
            return
        place += length
        yield head[4:8], place <= size


def _tiff_runs_out(file: BinaryIO, size: int) -> bool:
    import tifffile

    file.seek(0)
    try:
        with quietly(), tifffile.TiffFile(file) as tiff:
            page = tiff.pages.first
            ends = (start + count for start, count in zip(page.dataoffsets, page.databytecounts, strict=False))
            return len(page.dataoffsets) == 0 or max(ends) > size
    except Exception:
        # Directories are commonly written last: without one the end of the file is missing.
        file.seek(4)
        return int.from_bytes(file.read(4), "little") >= size or size < 64
