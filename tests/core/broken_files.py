"""Small sound picture files of every kind, and ways to break them."""

import io

import numpy as np
import pillow_heif
from PIL import Image

from tests.core import icc_files
from tests.core.picture_files import deep_patches, lzw_tiff, patches, png, saved, tiff


def seeds() -> dict[str, bytes]:
    """Sound files by name; the ending tells the kind."""
    picture, deep = patches(), deep_patches()
    p3 = icc_files.matrix_profile("P3", icc_files.P3, icc_files.srgb_curve())
    inks = icc_files.table_profile("inks", b"CMYK", 3, _simple_inks)
    exif = Image.Exif()
    exif[0x0112], exif[0x010F], exif[0x0110] = 6, "Maker", "Maker One"
    exif.get_ifd(0x8769).update({0x9003: "2026:03:01 10:00:00", 0x920A: 50.0})
    image = Image.fromarray(picture)
    see_through = np.dstack([picture, picture[..., :1]])
    return {
        "plain.jpg": saved(picture, "JPEG", quality=90, exif=exif),
        "steps.jpg": saved(picture, "JPEG", progressive=True, icc_profile=p3),
        "inks.jpg": saved(image.convert("CMYK"), "JPEG", icc_profile=inks),
        "plain.png": saved(picture, "PNG", icc_profile=p3, exif=exif),
        "deep.png": png(deep),
        "palette.png": saved(image.quantize(16), "PNG", transparency=3),
        "plain.tif": saved(picture, "TIFF", exif=exif.tobytes()),
        "lzw.tif": saved(picture, "TIFF", compression="tiff_lzw", icc_profile=p3),
        "jpeg.tif": saved(picture, "TIFF", compression="jpeg"),
        "deep.tif": tiff(deep, photometric="rgb", rowsperstrip=5),
        "deflate.tif": tiff(deep, photometric="rgb", compression="zlib", predictor=True, rowsperstrip=5),
        "deep-lzw.tif": lzw_tiff(deep),
        "planes.tif": lzw_tiff(deep, planes=True),
        "plain.webp": saved(picture, "WEBP", exif=exif),
        "clear.webp": saved(see_through, "WEBP", lossless=True),
        "plain.heic": heic(picture, exif=exif.tobytes()),
        "deep.heic": heic(deep >> 6 << 6, bit_depth=10),
    }


def heic(picture: np.ndarray, **options: object) -> bytes:
    """A HEIC of ``(H, W, 3 or 4)`` uint8 or uint16 (10 bits or 12 in the upper part), without loss."""
    height, width, channels = picture.shape
    mode = {3: "RGB", 4: "RGBA"}[channels] + (";16" if picture.dtype == np.uint16 else "")
    file = io.BytesIO()
    image = pillow_heif.from_bytes(mode=mode, size=(width, height), data=picture.tobytes())
    image.save(file, quality=-1, chroma=444, matrix_coefficients=0, **options)
    return file.getvalue()


def mutated(data: bytes, seed: int) -> bytes:
    """``data`` with one thing wrong, or a few: the same for the same ``seed``."""
    rng = np.random.default_rng(seed)
    broken = bytearray(data)
    kind = seed % 6
    if kind == 0:
        return bytes(broken[: rng.integers(0, len(broken))])
    if kind == 1:
        for place in rng.integers(0, len(broken), rng.integers(1, 12)):
            broken[place] ^= 1 << rng.integers(0, 8)
    elif kind == 2:
        for place in rng.integers(0, min(400, len(broken)), rng.integers(1, 6)):
            broken[place] = rng.integers(0, 256)
    elif kind == 3:
        start = rng.integers(0, len(broken))
        length = min(int(rng.integers(1, 400)), len(broken) - start)
        broken[start : start + length] = bytes(length)
    elif kind == 4:
        one, two = sorted(rng.integers(0, len(broken) - 16, 2))
        broken[one : one + 16], broken[two : two + 16] = broken[two : two + 16], broken[one : one + 16]
    else:
        start = rng.integers(0, len(broken))
        del broken[start : start + rng.integers(1, 60)]
        broken[0:0] = b"" if rng.random() < 0.7 else bytes(rng.integers(0, 256, 3, dtype=np.uint8))
    return bytes(broken)


def _simple_inks(inks: np.ndarray) -> np.ndarray:
    light = (1 - inks[:, 3]) * (1 - inks[:, :3].mean(axis=1))
    return np.stack([100 * light, 60 * (inks[:, 1] - inks[:, 0]), 60 * (inks[:, 2] - inks[:, 1])], axis=-1)
