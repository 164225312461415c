"""Pictures with something wrong in one of their own parts: markers, chunks with their sums put right, directory
entries, boxes. A file that no longer has such parts comes back as it is, with a byte changed."""

import struct
import zlib
from collections.abc import Callable
from functools import cache

import numpy as np

from tests.core.picture_files import chunk

Rng = np.random.Generator
Parts = list[tuple[bytes, bytes]]
_ODD = (
    0, 1, 2, 3, 7, 8, 15, 16, 127, 128, 255, 256, 4096, 7000, 32767, 32768, 60000, 65535, 2**24, 2**31 - 1, 2**31,
    2**32 - 1,
)  # fmt: skip
_TIFF_TAGS = (256, 257, 258, 259, 262, 273, 277, 278, 279, 284, 317, 320, 322, 323, 324, 325, 338, 339, 347, 32997)
_TIFF_WORDS = (0, 1, 2, 3, 4, 5, 6, 7, 8, 16, 32, 32773, 32946, 34712, 50000)  # other compressions, kinds of picture


def odd_number(rng: Rng, size: int, order: str = "big") -> bytes:
    return (int(rng.choice(_ODD)) % 256**size).to_bytes(size, "big" if order == "big" else "little")


def _touched(content: bytes, rng: Rng, order: str = "big") -> bytes:
    """One number or a few bytes of a part's content changed, or its length."""
    if not content:
        return rng.bytes(int(rng.integers(1, 30)))
    way, place = int(rng.integers(4)), int(rng.integers(min(len(content), 64)))
    if way == 0:
        size = int(rng.choice((1, 2, 4)))
        return content[:place] + odd_number(rng, size, order) + content[place + size :]
    if way == 1:
        changed = bytearray(content)
        for at in rng.integers(0, len(content), rng.integers(1, 8)):
            changed[at] = int(rng.integers(256))
        return bytes(changed)
    return content[:place] if way == 2 else content + rng.bytes(int(rng.integers(1, 500)))


def _shuffled(parts: Parts, rng: Rng, touch: Callable[[bytes, bytes], bytes], extra: Parts) -> Parts:
    """A part touched, left out, doubled, moved, renamed, or one more put in."""
    at, other = (int(n) for n in rng.integers(0, len(parts), 2))
    name, content = parts[at]
    way = int(rng.integers(9))
    if way <= 3:
        return [*parts[:at], (name, touch(name, content)), *parts[at + 1 :]]
    if way == 4:
        return parts[:at] + parts[at + 1 :]
    if way == 5:
        return parts[:at] + [(name, content)] * int(rng.choice((2, 3, 50))) + parts[at + 1 :]
    if way == 6:
        changed = list(parts)
        changed[at], changed[other] = changed[other], changed[at]
        return changed
    if way == 7:
        return [*parts[:at], (parts[other][0], content), *parts[at + 1 :]]
    return [*parts[:at], extra[int(rng.integers(len(extra)))], *parts[at:]]


# JPEG (ITU-T T.81, annex B) ---------------------------------------------------------------------------------------


def jpeg(data: bytes, rng: Rng) -> bytes:
    parts, scan = _jpeg_parts(data)
    if not parts:
        return _touched(data, rng)
    extra = [
        (b"\xff\xdd", struct.pack(">H", int(rng.integers(4)))), (b"\xff\xe1", b"Exif\0\0" + rng.bytes(60)),
        (b"\xff\xe2", b"ICC_PROFILE\0\1\2" + rng.bytes(200)), (b"\xff\xee", b"Adobe\0d\0\0\0\0" + rng.bytes(1)),
        (b"\xff\xfe", rng.bytes(65000)), (b"\xff\xc2", dict(parts).get(b"\xff\xc0", b"\x08\0\x09\0\x09\1\1\x11\0")),
        (b"\xff\xe2", b"MPF\0II*\0" + rng.bytes(60)),
    ]  # fmt: skip
    parts = _shuffled(parts, rng, lambda _, content: _touched(content, rng), extra)
    said = [len(content) + 2 for _, content in parts]
    if rng.random() < 0.1:
        said[int(rng.integers(len(said)))] = int(rng.choice((0, 1, 2, 3, 65535)))
    head = b"".join(
        name + (length % 65536).to_bytes(2, "big") + content
        for (name, content), length in zip(parts, said, strict=True)
    )
    return b"\xff\xd8" + head + scan


def _jpeg_parts(data: bytes) -> tuple[Parts, bytes]:
    """The segments up to and with the first scan's header, and all after it."""
    parts: Parts = []
    place = 2
    while place + 4 <= len(data) and data[place] == 0xFF:
        length = int.from_bytes(data[place + 2 : place + 4], "big")
        parts.append((data[place : place + 2], data[place + 4 : place + 2 + length]))
        place += 2 + max(2, length)
        if parts[-1][0] == b"\xff\xda":
            break
    return parts, data[place:]


# PNG ----------------------------------------------------------------------------------------------------------------


def png(data: bytes, rng: Rng) -> bytes:
    parts: Parts = []
    place = 8
    while place + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, place)
        parts.append((data[place + 4 : place + 8], data[place + 8 : place + 8 + length]))
        place += 12 + length
    if not parts:
        return _touched(data, rng)
    profile = _packed_nothing(int(rng.choice((10, 10_000, 50_000_000))))
    extra = [
        (b"iCCP", b"a\0\0" + profile), (b"zTXt", b"a\0\0" + profile), (b"iTXt", b"a\0\1\0\0\0" + profile),
        (b"tEXt", rng.bytes(40)), (b"tRNS", rng.bytes(int(rng.integers(300)))), (b"gAMA", odd_number(rng, 4)),
        (b"cHRM", rng.bytes(32)), (b"eXIf", b"II*\0\x08\0\0\0" + rng.bytes(60)), (b"sRGB", rng.bytes(1)),
        (b"pHYs", bytes(9)), (b"acTL", struct.pack(">II", 2**31 - 1, 0)), (b"fdAT", rng.bytes(40)),
        (b"fcTL", rng.bytes(26)), (b"PLTE", rng.bytes(int(rng.integers(900)))), (b"IDAT", rng.bytes(30)),
    ]  # fmt: skip
    parts = _shuffled(parts, rng, lambda name, content: _png_touched(name, content, rng), extra)
    return data[:8] + b"".join(chunk(name[:4].ljust(4), content) for name, content in parts)


@cache
def _packed_nothing(length: int) -> bytes:
    return zlib.compress(bytes(length))


def _png_touched(name: bytes, content: bytes, rng: Rng) -> bytes:
    if name != b"IDAT" or rng.random() < 0.3:
        return _touched(content, rng)
    try:
        return zlib.compress(_touched(zlib.decompress(content), rng))
    except zlib.error:
        return _touched(content, rng)


# TIFF 6.0, section 2, and BigTIFF -----------------------------------------------------------------------------------


def tiff(data: bytes, rng: Rng) -> bytes:
    """One to three entries of the first directory changed in place: tag, kind, count, value, or the next directory."""
    broken = bytearray(data)
    order = "<" if data[:2] == b"II" else ">"
    big = len(data) > 16 and struct.unpack_from(order + "H", data, 2)[0] == 43
    word, size, step = ("Q", 8, 20) if big else ("I", 4, 12)
    try:
        (place,) = struct.unpack_from(order + word, data, 8 if big else 4)
        (count,) = struct.unpack_from(order + ("Q" if big else "H"), data, place)
    except struct.error:
        return _touched(data, rng)
    entries = place + (8 if big else 2)
    little = "little" if order == "<" else "big"
    for _ in range(int(rng.integers(1, 4))):
        entry = entries + step * int(rng.integers(min(count, 60) + 1))
        value = (4 + size, size)
        at, length = ((0, 2), (2, 2), (4, size), value, (4 + size, 2), value)[int(rng.integers(6))]
        if entry + step > len(broken):
            continue
        number = odd_number(rng, length, little)
        if at == 0 and rng.random() < 0.8:  # another of the tags that matter
            number = int(rng.choice(_TIFF_TAGS)).to_bytes(2, little)
        elif at == 2:
            number = int(rng.integers(0, 19)).to_bytes(2, little)
        elif at > 4 and rng.random() < 0.4:
            number = int(rng.choice(_TIFF_WORDS)).to_bytes(length, little)
        broken[entry + at : entry + at + length] = number
    return bytes(broken)


# RIFF ---------------------------------------------------------------------------------------------------------------


def webp(data: bytes, rng: Rng) -> bytes:
    parts: Parts = []
    place = 12
    while place + 8 <= len(data):
        (length,) = struct.unpack_from("<I", data, place + 4)
        parts.append((data[place : place + 4], data[place + 8 : place + 8 + length]))
        place += 8 + length + length % 2
    if not parts:
        return _touched(data, rng)
    extra = [
        (b"VP8X", bytes((int(rng.integers(64)), 0, 0, 0)) + rng.bytes(6)), (b"ALPH", rng.bytes(30)),
        (b"ANIM", rng.bytes(6)), (b"ANMF", rng.bytes(16) + b"VP8 " + rng.bytes(40)), (b"ICCP", rng.bytes(300)),
        (b"EXIF", rng.bytes(40)), (b"VP8L", b"\x2f" + rng.bytes(40)), (b"VP8X", b"\x02\0\0\0" + b"\xff" * 6),
    ]  # fmt: skip
    parts = _shuffled(parts, rng, lambda _, content: _touched(content, rng, "little"), extra)
    body = b"WEBP"
    for name, content in parts:
        length = len(content) if rng.random() > 0.05 else int(rng.choice(_ODD))
        body += name + struct.pack("<I", length) + content + bytes(len(content) % 2)
    length = len(body) if rng.random() > 0.1 else int(rng.choice(_ODD))
    return b"RIFF" + struct.pack("<I", length) + body


# ISO base media file format (ISO/IEC 14496-12) ----------------------------------------------------------------------

_HOLDERS = {b"meta": 4, b"iprp": 0, b"ipco": 0, b"iinf": 6, b"dinf": 0, b"iref": 4}
"""Boxes that hold boxes, and the bytes before the first of them."""


def heic(data: bytes, rng: Rng) -> bytes:
    """One box at any depth touched, left out, doubled or moved; the lengths around it put right, or not."""
    parts = _boxes(data)
    return _box_file(_boxes_broken(parts, rng), rng) if parts else _touched(data, rng)


def _boxes(data: bytes) -> Parts:
    parts: Parts = []
    place = 0
    while place + 8 <= len(data):
        length = int.from_bytes(data[place : place + 4], "big")
        if length < 8:
            break
        parts.append((data[place + 4 : place + 8], data[place + 8 : place + length]))
        place += length
    return parts


def _boxes_broken(parts: Parts, rng: Rng) -> Parts:
    holders = [at for at, (name, content) in enumerate(parts) if name in _HOLDERS and _boxes(content[_HOLDERS[name] :])]
    if holders and rng.random() < 0.85:
        at = holders[int(rng.integers(len(holders)))]
        name, content = parts[at]
        start = _HOLDERS[name]
        inner = _boxes_broken(_boxes(content[start:]), rng)
        return [*parts[:at], (name, content[:start] + _box_file(inner, rng)), *parts[at + 1 :]]
    extra = [
        (b"ispe", bytes(4) + odd_number(rng, 4) + odd_number(rng, 4)), (b"irot", rng.bytes(1)), (b"imir", rng.bytes(1)),
        (b"pixi", bytes(4) + rng.bytes(4)), (b"colr", b"nclx" + rng.bytes(7)), (b"colr", b"prof" + rng.bytes(200)),
        (b"clap", rng.bytes(32)), (b"free", bytes(100)), (b"auxC", bytes(4) + rng.bytes(40)),
    ]  # fmt: skip
    return _shuffled(parts, rng, lambda _, content: _touched(content, rng), extra)


def _box_file(parts: Parts, rng: Rng) -> bytes:
    data = b""
    for name, content in parts:
        length = len(content) + 8 if rng.random() > 0.01 else int(rng.choice(_ODD))
        data += length.to_bytes(4, "big") + name + content
    return data


PARTS: dict[str, Callable[[bytes, Rng], bytes]] = {"JPEG": jpeg, "PNG": png, "TIFF": tiff, "WebP": webp, "HEIC": heic}
