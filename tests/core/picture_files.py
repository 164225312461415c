"""Picture files written for the loader's tests, of kinds that no installed library writes."""

import io
import struct
import zlib

import numpy as np
import tifffile
from PIL import Image


def patches(height: int = 24, width: int = 36) -> np.ndarray:
    """``(H, W, 3)`` uint8 with no symmetry: every turn and flip of it is another picture."""
    down, across = np.mgrid[0:height, 0:width]
    picture = np.stack([down * 255 // (height - 1), across * 255 // (width - 1), np.full_like(down, 90)], axis=-1)
    picture[: height // 3, : width // 4] = (200, 40, 30)
    return picture.astype(np.uint8)


def deep_patches(height: int = 24, width: int = 36) -> np.ndarray:
    """``(H, W, 3)`` uint16 whose low bytes matter."""
    return np.random.default_rng(16).integers(0, 65536, (height, width, 3), dtype=np.uint16)


def cube() -> np.ndarray:
    """``(12, 144, 3)`` uint8: a coarse sampling of all colours, black and white among them."""
    axis = np.linspace(0, 255, 12).round().astype(np.uint8)
    return np.stack(np.meshgrid(axis, axis, axis), axis=-1).reshape(12, 144, 3)


def saved(picture: np.ndarray | Image.Image, kind: str, **options: object) -> bytes:
    """The picture as a file written by Pillow."""
    image = picture if isinstance(picture, Image.Image) else Image.fromarray(picture)
    file = io.BytesIO()
    image.save(file, kind, **options)
    return file.getvalue()


def tiff(picture: np.ndarray, **options: object) -> bytes:
    """The picture as a file written by tifffile."""
    file = io.BytesIO()
    tifffile.imwrite(file, picture, **options)
    return file.getvalue()


def chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def png(picture: np.ndarray, *, before: bytes = b"", after: bytes = b"", filter_type: int = 0) -> bytes:
    """A PNG of ``(H, W, C)`` uint8 or uint16, C 1-4; ``before`` and ``after`` are chunks around the pixels."""
    height, width, channels = picture.shape
    depth = 8 * picture.dtype.itemsize
    colour_type = {1: 0, 2: 4, 3: 2, 4: 6}[channels]
    rows = picture.astype(picture.dtype.newbyteorder(">")).reshape(height, -1).view(np.uint8).astype(np.int16)
    pixel = channels * picture.dtype.itemsize
    if filter_type == 1:  # sub
        rows[:, pixel:] -= rows.copy()[:, :-pixel]
    elif filter_type == 2:  # up
        rows[1:] -= rows.copy()[:-1]
    lines = np.concatenate([np.full((height, 1), filter_type), rows & 0xFF], axis=1).astype(np.uint8)
    header = struct.pack(">IIBBBBB", width, height, depth, colour_type, 0, 0, 0)
    pixels = chunk(b"IDAT", zlib.compress(lines.tobytes()))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + before + pixels + after + chunk(b"IEND", b"")


def interlaced_png(picture: np.ndarray) -> bytes:
    """The same in Adam7 order (PNG third edition, 8.1)."""
    height, width, channels = picture.shape
    passes = ((0, 0, 8, 8), (0, 4, 8, 8), (4, 0, 8, 4), (0, 2, 4, 4), (2, 0, 4, 2), (0, 1, 2, 2), (1, 0, 2, 1))
    lines = b""
    for top, left, down, across in passes:
        part = picture[top::down, left::across]
        if part.size:
            big = np.ascontiguousarray(part).astype(picture.dtype.newbyteorder(">"))
            lines += b"".join(b"\0" + row.tobytes() for row in big)
    colour_type = {1: 0, 2: 4, 3: 2, 4: 6}[channels]
    header = struct.pack(">IIBBBBB", width, height, 8 * picture.dtype.itemsize, colour_type, 0, 0, 1)
    pixels = chunk(b"IDAT", zlib.compress(lines))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + pixels + chunk(b"IEND", b"")


def lzw_tiff(
    picture: np.ndarray,
    *,
    kind: int | None = None,
    extra: int | None = None,
    big_endian: bool = False,
    planes: bool = False,
) -> bytes:
    """A TIFF of ``(H, W, C)`` uint16 with LZW (TIFF 6.0, section 13), which tifffile alone does not undo.

    ``kind`` is its PhotometricInterpretation, else 1 (grey) or 2 (RGB); ``planes`` keeps the channels apart.
    """
    height, width, channels = picture.shape
    order = ">" if big_endian else "<"
    big = picture.astype(np.dtype(np.uint16).newbyteorder(order))
    strips = [_lzw(plane.tobytes()) for plane in (np.moveaxis(big, 2, 0) if planes else [big])]
    body, places = b"", []
    for strip in strips:
        places.append(8 + len(body))
        body += strip + bytes(len(strip) % 2)
    entries = {
        256: ("I", [width]), 257: ("I", [height]), 258: ("H", [16] * channels), 259: ("H", [5]),
        262: ("H", [kind or (2 if channels >= 3 else 1)]), 273: ("I", places), 277: ("H", [channels]),
        278: ("I", [height]), 279: ("I", [len(strip) for strip in strips]), 284: ("H", [2 if planes else 1]),
    }  # fmt: skip
    if extra is not None:
        entries[338] = ("H", [extra])
    table = b""
    for tag, (code, numbers) in entries.items():
        content = struct.pack(f"{order}{len(numbers)}{code}", *numbers)
        if len(content) > 4:
            place = struct.pack(order + "I", 8 + len(body))
            body, content = body + content, place
        table += struct.pack(order + "HHI", tag, {"H": 3, "I": 4}[code], len(numbers)) + content.ljust(4, b"\0")
    head = (b"MM\0*" if big_endian else b"II*\0") + struct.pack(order + "I", 8 + len(body))
    return head + body + struct.pack(order + "H", len(entries)) + table + bytes(4)


def _lzw(data: bytes) -> bytes:
    """Codes of 9 bits only, cleared often enough never to need ten: valid, if not small."""
    bits = ""
    for place in range(0, len(data), 200):
        bits += f"{256:09b}" + "".join(f"{byte:09b}" for byte in data[place : place + 200])
    bits += f"{257:09b}"
    bits += "0" * (-len(bits) % 8)
    return int(bits, 2).to_bytes(len(bits) // 8, "big")
