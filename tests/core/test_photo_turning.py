"""core.photo: a picture comes in upright, turned exactly once."""

import io

import numpy as np
import pytest
from PIL import Image, ImageOps

from core.photo import load_photo_bytes
from tests.core.broken_files import heic
from tests.core.picture_files import chunk, deep_patches, patches, png, saved, tiff

# Exif 3.0, 4.6.5.1.6: where row 0 and column 0 of the stored picture lie in the upright one.
ORIENTATIONS = {
    1: ("top", "left"), 2: ("top", "right"), 3: ("bottom", "right"), 4: ("bottom", "left"),
    5: ("left", "top"), 6: ("right", "top"), 7: ("right", "bottom"), 8: ("left", "bottom"),
}  # fmt: skip


def stored(upright: np.ndarray, orientation: int) -> np.ndarray:
    """The picture as a camera held so writes it, by the words of the standard."""
    row, column = ORIENTATIONS[orientation]
    picture = upright if row in ("top", "bottom") else upright.swapaxes(0, 1)
    if row in ("bottom", "right"):
        picture = picture[::-1]
    if column in ("bottom", "right"):
        picture = picture[:, ::-1]
    return np.ascontiguousarray(picture)


def exif(orientation: int) -> bytes:
    notes = Image.Exif()
    notes[0x0112] = orientation
    return notes.tobytes()


def turned_tiff(picture: np.ndarray, orientation: int, **options: object) -> bytes:
    return tiff(picture, photometric="rgb", extratags=[(274, 3, 1, orientation, True)], **options)


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_the_eight_orientations_as_pillow_understands_them(orientation: int) -> None:
    image = Image.open(io.BytesIO(saved(stored(patches(), orientation), "PNG", exif=exif(orientation))))
    assert np.array_equal(np.asarray(ImageOps.exif_transpose(image)), patches())


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_every_kind_of_file_is_turned_once(orientation: int) -> None:
    picture, deep = stored(patches(), orientation), stored(deep_patches(), orientation)
    notes = exif(orientation)
    exif_after_pixels = chunk(b"eXIf", notes[6:])
    files = {
        "a.png": saved(picture, "PNG", exif=notes),
        "late.png": png(picture, after=exif_after_pixels),
        "a.webp": saved(picture, "WEBP", lossless=True, exif=notes),
        "a.tif": turned_tiff(picture, orientation),
        "lzw.tif": saved(picture, "TIFF", exif=notes, compression="tiff_lzw"),
        "deflate.tif": turned_tiff(picture, orientation, compression="zlib"),
        "planes.tif": turned_tiff(picture.transpose(2, 0, 1).copy(), orientation, planarconfig="separate"),
    }
    for name, data in files.items():
        photo = load_photo_bytes(data, name)
        assert np.array_equal(photo.codes, patches()), name
        assert (photo.width, photo.height) == (36, 24), name
    deep_files = {
        "deep.png": saved_deep_png(deep, notes),
        "deep.tif": turned_tiff(deep, orientation),
        "deep-deflate.tif": turned_tiff(deep, orientation, compression="zlib", predictor=True),
    }
    for name, data in deep_files.items():
        assert np.array_equal(load_photo_bytes(data, name).codes, deep_patches()), name


def saved_deep_png(picture: np.ndarray, notes: bytes) -> bytes:
    return png(picture, before=chunk(b"eXIf", notes[6:]))


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_jpeg_is_turned_once(orientation: int) -> None:
    data = saved(stored(patches(), orientation), "JPEG", quality=100, subsampling=0, exif=exif(orientation))
    photo = load_photo_bytes(data, "a.jpg")
    assert photo.codes.shape == patches().shape
    assert np.abs(photo.codes.astype(int) - patches()).mean() < 3


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_wide_gamut_and_see_through_pictures_are_turned_too(orientation: int) -> None:
    see_through = np.dstack([patches(), patches()[..., 1]])
    upright = load_photo_bytes(saved(see_through, "PNG"), "a.png")
    turned = load_photo_bytes(saved(stored(see_through, orientation), "PNG", exif=exif(orientation)), "a.png")
    assert np.array_equal(turned.codes, upright.codes)


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_heic_is_not_turned_twice(orientation: int) -> None:
    # The writer stores the turn in the file's own boxes and leaves the same orientation in the EXIF.
    data = heic(stored(patches(), orientation), exif=exif(orientation))
    assert np.array_equal(load_photo_bytes(data, "a.heic").codes, patches())


def test_heic_whose_exif_alone_speaks_of_turning_is_left() -> None:
    """ISO/IEC 23008-12: only the boxes turn the picture."""
    data = heic(patches(), exif=exif(1))
    as_written, claimed = exif(1)[6:], exif(6)[6:]
    assert data.count(as_written) == 1
    photo = load_photo_bytes(data.replace(as_written, claimed), "a.heic")
    assert np.array_equal(photo.codes, patches())


def test_orientation_in_xmp_only() -> None:
    words = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:Description tiff:Orientation="6"/></x:xmpmeta>'
    data = saved(stored(patches(), 6), "WEBP", lossless=True, xmp=words)
    assert np.array_equal(load_photo_bytes(data, "a.webp").codes, patches())
