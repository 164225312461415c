"""Small sound pictures of every kind that is read, as seeds of broken ones; the ending of a name tells its format."""

import io

import numpy as np
import pillow_heif
import tifffile
from PIL import Image

from tests.core.broken_files import heic
from tests.core.broken_files import seeds as usual_seeds
from tests.core.picture_files import deep_patches, interlaced_png, patches, png, saved, tiff


def picture_seeds() -> dict[str, bytes]:
    """Files by name: the usual seventeen, and rarer kinds of each format."""
    return {**usual_seeds(), **_jpegs(), **_pngs(), **_tiffs(), **_webps(), **_heics()}


def _jpegs() -> dict[str, bytes]:
    picture = patches(40, 56)
    return {
        "grey.jpg": saved(picture[..., 0], "JPEG"),
        "restarts.jpg": saved(picture, "JPEG", quality=70, subsampling="4:2:0", restart_marker_blocks=2),
        "comment.jpg": saved(picture, "JPEG", comment=b"quinces", dpi=(300, 300)),
    }


def _pngs() -> dict[str, bytes]:
    picture, deep = patches(), deep_patches()
    image = Image.fromarray(picture)
    turned = Image.fromarray(picture[::-1].copy())
    return {
        "interlaced.png": interlaced_png(picture),
        "bits.png": saved(image.convert("1"), "PNG"),
        "grey-clear.png": png(deep[..., :2].copy()),
        "deep-clear.png": png(np.dstack([deep, deep[..., :1]])),
        "moving.png": saved(image, "PNG", save_all=True, append_images=[turned], duration=100),
    }


def _tiffs() -> dict[str, bytes]:
    picture, deep = patches(40, 56), deep_patches(40, 56)
    image = Image.fromarray(picture)
    pages = io.BytesIO()
    with tifffile.TiffWriter(pages) as writer:
        writer.write(deep, photometric="rgb")
        writer.write(picture, photometric="rgb")
    return {
        "tiles.tif": tiff(picture, photometric="rgb", tile=(16, 16)),
        "deep-tiles.tif": tiff(deep, photometric="rgb", tile=(16, 32), compression="zlib"),
        "big.tif": tiff(deep, photometric="rgb", bigtiff=True),
        "motorola.tif": tiff(deep, photometric="rgb", byteorder=">"),
        "pages.tif": pages.getvalue(),
        "palette.tif": saved(image.quantize(16), "TIFF"),
        "fax.tif": saved(image.convert("1"), "TIFF", compression="group4"),
        "inks.tif": saved(image.convert("CMYK"), "TIFF", compression="packbits"),
        "clear.tif": saved(np.dstack([picture, picture[..., :1]]), "TIFF", compression="tiff_adobe_deflate"),
        "apart.tif": tiff(np.moveaxis(picture, -1, 0).copy(), photometric="rgb", planarconfig="separate"),
    }


def _webps() -> dict[str, bytes]:
    image, turned = Image.fromarray(patches()), Image.fromarray(patches()[:, ::-1].copy())
    clear = Image.fromarray(np.dstack([patches(), patches()[..., :1]]))
    return {
        "moving.webp": saved(image, "WEBP", save_all=True, append_images=[turned], duration=100),
        "lossless.webp": saved(image, "WEBP", lossless=True, icc_profile=bytes(200)),
        "half-clear.webp": saved(clear, "WEBP", quality=60),
    }


def _heics() -> dict[str, bytes]:
    picture, deep = patches(), deep_patches()
    lossy = io.BytesIO()
    pillow_heif.from_bytes(mode="RGB", size=(36, 24), data=picture.tobytes()).save(lossy, quality=50)
    several = pillow_heif.from_bytes(mode="RGB", size=(36, 24), data=picture.tobytes())
    several.add_frombytes(mode="RGB", size=(36, 24), data=picture[::-1].tobytes())
    two = io.BytesIO()
    several.save(two, quality=60)
    return {
        "lossy.heic": lossy.getvalue(),
        "several.heic": two.getvalue(),
        "clear.heic": heic(np.dstack([picture, picture[..., :1]])),
        "deep12.heic": heic(deep >> 4 << 4, bit_depth=12),
    }
