"""Where a picture file says it ends, to tell a file that was cut short from one that is damaged."""

import os
import struct
from collections.abc import Iterator
from itertools import chain
from typing import BinaryIO


def is_cut_short(file: BinaryIO, kind: str) -> bool:
    """Whether a file that could not be decoded ends before its own structure says it should."""
    try:
        return _ends_early(file, kind)
    except EOFError:
        return True
    except (OSError, struct.error, ValueError, KeyError, OverflowError):
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
    """Whether the first directory, or anything in it that the picture needs, lies beyond the end (TIFF 6.0, section 2;
    BigTIFF)."""
    order = {b"II": "<", b"MM": ">"}[_read(file, 0, 2)]
    big = struct.unpack(order + "H", _read(file, 2, 2)) == (43,)
    count_code, word_code, word = ("Q", "Q", 8) if big else ("H", "I", 4)
    (directory,) = struct.unpack(order + word_code, _read(file, 8 if big else 4, word))
    (entries,) = struct.unpack(order + count_code, _read(file, directory, struct.calcsize(count_code)))
    places: dict[int, tuple[int, ...]] = {}
    for index in range(min(entries, 1000)):
        start = directory + struct.calcsize(count_code) + (4 + 2 * word) * index
        tag, kind, count = struct.unpack(order + "HH" + word_code, _read(file, start, 4 + word))
        code = _TIFF_KINDS.get(kind, "") if tag in _TIFF_NEEDED else ""
        length = count * struct.calcsize(code)
        value = start + 4 + word
        if length > word:
            (value,) = struct.unpack(order + word_code, _read(file, value, word))
        if value + length > size:
            return True
        if code in ("H", "I", "Q"):
            places[tag] = struct.unpack(f"{order}{count}{code}", _read(file, value, length))
    pairs = (zip(places.get(at, ()), places.get(long, ()), strict=False) for at, long in ((273, 279), (324, 325)))
    return any(offset + length > size for offset, length in chain.from_iterable(pairs))


def _read(file: BinaryIO, place: int, length: int) -> bytes:
    file.seek(place)
    data = file.read(length)
    if len(data) < length:
        raise EOFError
    return data


# Bits, colour map, strips and tiles with their lengths, JPEG tables, colour profile.
_TIFF_NEEDED = (258, 273, 279, 320, 324, 325, 347, 34675)
# struct codes of TIFF's kinds of number, by length where the sign does not matter here.
_TIFF_KINDS = {1: "B", 2: "B", 3: "H", 4: "I", 5: "d", 6: "B", 7: "B", 8: "h", 9: "i", 10: "d", 11: "f", 12: "d",
               13: "I", 16: "Q", 17: "q", 18: "Q"}  # fmt: skip
