"""core.photo: every kind of file comes in with the numbers that were put into it."""

import io
from datetime import datetime

import numpy as np
import pytest
import tifffile
from PIL import Image

from core.colorimetry import decode_srgb, encode_srgb, luminance_of_value, munsell_value
from core.photo import Photo, load_photo_bytes, srgb_curve
from tests.core.broken_files import heic
from tests.core.picture_files import chunk, deep_patches, interlaced_png, lzw_tiff, patches, png, saved, tiff
from tests.published.libraries import skimage

HALF = 2**-11  # relative precision of half floats
GROUND = float(luminance_of_value(5.0))


def grey_of(picture: np.ndarray) -> np.ndarray:
    return np.ascontiguousarray(picture[..., 1])


def same_codes(photo: Photo, picture: np.ndarray) -> bool:
    curve = srgb_curve(256 if picture.dtype == np.uint8 else 65536)
    return np.array_equal(photo.codes, picture) and np.array_equal(photo.curve, curve)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.png", saved(patches(), "PNG")),
        ("a.webp", saved(patches(), "WEBP", lossless=True)),
        ("a.tif", saved(patches(), "TIFF")),
        ("lzw.tif", saved(patches(), "TIFF", compression="tiff_lzw")),
        ("deflate.tif", saved(patches(), "TIFF", compression="tiff_adobe_deflate")),
        ("planes.tif", tiff(patches().transpose(2, 0, 1).copy(), photometric="rgb", planarconfig="separate")),
        ("big-endian.tif", tiff(patches(), photometric="rgb", byteorder=">")),
        ("tiles.tif", tiff(patches(), photometric="rgb", tile=(16, 16))),
        ("big.tif", tiff(patches(), photometric="rgb", bigtiff=True)),
        ("ours.png", png(patches(), filter_type=1)),
        ("interlaced.png", interlaced_png(patches())),
        ("a.heic", heic(patches())),
    ],
)
def test_8_bit_colour_is_kept_code_for_code(name: str, data: bytes) -> None:
    photo = load_photo_bytes(data, name)
    assert same_codes(photo, patches())
    assert (photo.source.bits, photo.source.profile, photo.source.notes) == (8, "sRGB", ())
    assert photo.source.name == name


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("none.png", png(deep_patches())),
        ("sub.png", png(deep_patches(), filter_type=1)),
        ("up.png", png(deep_patches(), filter_type=2)),
        ("interlaced.png", interlaced_png(deep_patches())),
        ("a.tif", tiff(deep_patches(), photometric="rgb")),
        ("big-endian.tif", tiff(deep_patches(), photometric="rgb", byteorder=">")),
        ("strips.tif", tiff(deep_patches(), photometric="rgb", rowsperstrip=5)),
        ("tiles.tif", tiff(deep_patches(), photometric="rgb", tile=(16, 32))),
        ("planes.tif", tiff(deep_patches().transpose(2, 0, 1).copy(), photometric="rgb", planarconfig="separate")),
        ("deflate.tif", tiff(deep_patches(), photometric="rgb", compression="zlib", predictor=True)),
        ("big.tif", tiff(deep_patches(), photometric="rgb", bigtiff=True)),
        ("lzw.tif", lzw_tiff(deep_patches())),
        ("lzw-big-endian.tif", lzw_tiff(deep_patches(), big_endian=True)),
        ("lzw-planes.tif", lzw_tiff(deep_patches(), planes=True)),
        ("lzw-planes-big-endian.tif", lzw_tiff(deep_patches(), planes=True, big_endian=True)),
        ("unspecified-extra.tif", lzw_tiff(np.dstack([deep_patches(), deep_patches()[..., 0]]), extra=0)),
    ],
)
def test_16_bit_colour_is_kept_code_for_code(name: str, data: bytes) -> None:
    photo = load_photo_bytes(data, name)
    assert same_codes(photo, deep_patches())
    assert photo.source.bits == 16


@pytest.mark.parametrize(
    ("name", "data", "deep"),
    [
        ("a.jpg", saved(np.full((16, 16), 119, np.uint8), "JPEG", quality=100), None),
        ("a.png", saved(grey_of(patches()), "PNG"), False),
        ("a.webp", saved(np.dstack([grey_of(patches())] * 3), "WEBP", lossless=True), False),
        ("a.tif", saved(grey_of(patches()), "TIFF"), False),
        ("from-white.tif", tiff(255 - grey_of(patches()), photometric="miniswhite"), False),
        ("deep.png", png(grey_of(deep_patches())[..., None]), True),
        ("deep.tif", tiff(grey_of(deep_patches()), photometric="minisblack"), True),
        ("deep-from-white.tif", tiff(65535 - grey_of(deep_patches()), photometric="miniswhite"), True),
        ("deep-lzw.tif", lzw_tiff(grey_of(deep_patches())[..., None]), True),
    ],
)
def test_grey_is_three_equal_channels(name: str, data: bytes, deep: bool | None) -> None:
    photo = load_photo_bytes(data, name)
    expected = grey_of(deep_patches() if deep else patches()) if deep is not None else np.full((16, 16), 119, np.uint8)
    assert same_codes(photo, np.dstack([expected] * 3))


def test_black_and_white_and_few_bits() -> None:
    pattern = patches()[..., 0] > 90
    for data in (saved(Image.fromarray(pattern), "PNG"), saved(Image.fromarray(pattern), "TIFF")):
        assert same_codes(load_photo_bytes(data, "a"), np.dstack([pattern.astype(np.uint8) * 255] * 3))
    palette = Image.fromarray(patches()).quantize(11)
    for data in (saved(palette, "PNG"), saved(palette, "PNG", bits=4), saved(palette, "TIFF")):
        assert same_codes(load_photo_bytes(data, "a"), np.asarray(palette.convert("RGB")))


@pytest.mark.parametrize("options", [{"quality": 95}, {"quality": 95, "progressive": True}, {"quality": 90}])
def test_jpeg_of_a_real_photograph(options: dict[str, object]) -> None:
    cat = np.ascontiguousarray(skimage.data.chelsea())
    photo = load_photo_bytes(saved(cat, "JPEG", **options), "cat.jpg")
    # What a JPEG loses is the encoder's business: as loaded it is within its usual noise of the original.
    assert photo.codes.shape == cat.shape
    assert np.abs(photo.codes.astype(int) - cat).mean() < 2.5
    exact = munsell_value(decode_srgb(photo.codes / 255) @ [0.2126390059, 0.7151686788, 0.0721923154])
    assert np.abs(photo.value() - exact).max() < 0.003


def test_webp_lossy_and_moving() -> None:
    cat = np.ascontiguousarray(skimage.data.chelsea())
    photo = load_photo_bytes(saved(cat, "WEBP", quality=95), "cat.webp")
    assert np.abs(photo.codes.astype(int) - cat).mean() < 4
    frames = [Image.fromarray(patches()), Image.fromarray(patches()[::-1])]
    moving = load_photo_bytes(
        saved(frames[0], "WEBP", save_all=True, append_images=frames[1:], lossless=True), "m.webp"
    )
    assert same_codes(moving, patches())
    assert "first frame" in moving.source.notes[0]


@pytest.mark.parametrize("bits", [10, 12])
def test_deep_heic(bits: int) -> None:
    deep = deep_patches() >> (16 - bits)
    photo = load_photo_bytes(heic(deep << (16 - bits), bit_depth=bits), "a.heic")
    assert photo.source.bits == bits
    assert photo.codes.dtype == np.uint16
    # Full scale is full white: code n of 2**bits - 1, to a part in 65535.
    assert np.abs(photo.codes - deep * (65535 / (2**bits - 1))).max() <= 1.01 * 64 / 2 ** (bits - 10)
    white = load_photo_bytes(heic(np.full((16, 16, 3), 65535 >> (16 - bits) << (16 - bits), np.uint16)), "w.heic")
    assert white.codes.min() > 65000


def test_multi_page_tiff_gives_its_first_picture() -> None:
    file = io.BytesIO()
    with tifffile.TiffWriter(file) as writer:
        writer.write(deep_patches(), photometric="rgb")
        writer.write(patches()[:5, :5], photometric="rgb")
    assert same_codes(load_photo_bytes(file.getvalue(), "a.tif"), deep_patches())


def alpha_ramp(top: int) -> np.ndarray:
    return np.linspace(0, top, 24 * 36).reshape(24, 36).astype(np.uint8 if top == 255 else np.uint16)


@pytest.mark.parametrize(
    ("name", "data", "deep"),
    [
        ("a.png", saved(np.dstack([patches(), alpha_ramp(255)]), "PNG"), False),
        ("a.tif", saved(np.dstack([patches(), alpha_ramp(255)]), "TIFF"), False),
        ("a.webp", saved(np.dstack([patches(), alpha_ramp(255)]), "WEBP", lossless=True, exact=True), False),
        ("a.heic", heic(np.dstack([patches(), alpha_ramp(255)])), False),
        ("deep.png", png(np.dstack([deep_patches(), alpha_ramp(65535)])), True),
        ("deep-sub.png", png(np.dstack([deep_patches(), alpha_ramp(65535)]), filter_type=1), True),
        ("deep-interlaced.png", interlaced_png(np.dstack([deep_patches(), alpha_ramp(65535)])), True),
        ("deep.tif", tiff(np.dstack([deep_patches(), alpha_ramp(65535)]), photometric="rgb", extrasamples=[2]), True),
        ("deep-lzw.tif", lzw_tiff(np.dstack([deep_patches(), alpha_ramp(65535)]), extra=2), True),
        ("planes.tif", lzw_tiff(np.dstack([deep_patches(), alpha_ramp(65535)]), extra=2, planes=True), True),
    ],
)
def test_see_through_places_are_laid_on_neutral_grey(name: str, data: bytes, deep: bool) -> None:
    picture, top = (deep_patches(), 65535) if deep else (patches(), 255)
    opacity = (alpha_ramp(top) / top)[..., None]
    expected = decode_srgb(picture / top) * opacity + GROUND * (1 - opacity)
    photo = load_photo_bytes(data, name)
    assert photo.linear() == pytest.approx(expected, rel=1.1 * HALF, abs=1e-6)
    clear = photo.linear()[0, 0]
    assert munsell_value(clear) == pytest.approx([5.0] * 3, abs=0.005)


@pytest.mark.parametrize(
    "data",
    [
        saved(Image.merge("LA", [Image.fromarray(grey_of(patches())), Image.fromarray(alpha_ramp(255))]), "PNG"),
        png(np.dstack([grey_of(patches()), alpha_ramp(255)]).astype(np.uint16) * 257),
        interlaced_png(np.dstack([grey_of(patches()), alpha_ramp(255)]).astype(np.uint16) * 257),
        tiff(
            np.dstack([grey_of(patches()), alpha_ramp(255)]).astype(np.uint16) * 257,
            photometric="minisblack",
            extrasamples=[2],
            planarconfig="contig",
        ),
    ],
)
def test_see_through_grey(data: bytes) -> None:
    opacity = alpha_ramp(255) / 255
    expected = decode_srgb(grey_of(patches()) / 255) * opacity + GROUND * (1 - opacity)
    linear = load_photo_bytes(data, "a").linear()
    assert linear == pytest.approx(np.dstack([expected] * 3), rel=1.1 * HALF, abs=1e-6)


@pytest.mark.parametrize("deep", [False, True])
def test_premultiplied_tiff_is_divided_again(deep: bool) -> None:
    picture, top = (deep_patches(), 65535) if deep else (patches(), 255)
    opacity = np.clip(alpha_ramp(top) / top, 0.2, 1)[..., None]
    shown = np.rint(picture * opacity).astype(picture.dtype)
    alpha = np.rint(opacity * top).astype(picture.dtype)
    expected = decode_srgb(picture / top) * opacity + GROUND * (1 - opacity)
    for data in (
        tiff(np.dstack([shown, alpha]), photometric="rgb", extrasamples=[1]),
        lzw_tiff(np.dstack([shown, alpha]), extra=1) if deep else None,
    ):
        if data:
            found = load_photo_bytes(data, "a.tif").linear()
            # An 8-bit number under opacity 0.2 stands for a fifth as many levels.
            assert np.abs(encode_srgb(found) - encode_srgb(expected)).max() < (0.001 if deep else 0.02)


def test_transparent_colours_of_png() -> None:
    picture = patches()
    clear = (picture == picture[0, 0]).all(axis=2)
    data = saved(picture, "PNG", transparency=tuple(int(c) for c in picture[0, 0]))
    expected = np.where(clear[..., None], GROUND, decode_srgb(picture / 255))
    assert load_photo_bytes(data, "a.png").linear() == pytest.approx(expected, rel=1.1 * HALF, abs=1e-6)
    deep = picture.astype(np.uint16) * 257
    colour = b"".join(int(c).to_bytes(2, "big") for c in deep[0, 0])
    found = load_photo_bytes(png(deep, before=chunk(b"tRNS", colour)), "a.png").linear()
    assert found == pytest.approx(expected, rel=1.1 * HALF, abs=1e-6)
    palette = Image.fromarray(picture).quantize(8)
    first = np.asarray(palette) == np.asarray(palette)[0, 0]
    data = saved(palette, "PNG", transparency=int(np.asarray(palette)[0, 0]))
    expected = np.where(first[..., None], GROUND, decode_srgb(np.asarray(palette.convert("RGB")) / 255))
    assert load_photo_bytes(data, "a.png").linear() == pytest.approx(expected, rel=1.1 * HALF, abs=1e-6)


def test_alpha_that_hides_nothing_costs_nothing() -> None:
    opaque = np.dstack([patches(), np.full((24, 36), 255, np.uint8)])
    assert same_codes(load_photo_bytes(saved(opaque, "PNG"), "a.png"), patches())
    assert same_codes(load_photo_bytes(heic(opaque), "a.heic"), patches())


def test_what_the_camera_noted() -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Maker", "Maker One"
    details = {0x9003: "2026:03:01 10:20:30", 0x920A: 35.0, 0xA405: 52}
    exif.get_ifd(0x8769).update(details)
    for kind, name in (("JPEG", "a.jpg"), ("PNG", "a.png"), ("WEBP", "a.webp"), ("TIFF", "a.tif")):
        source = load_photo_bytes(saved(patches(), kind, exif=exif.tobytes()), name).source
        assert (source.camera, source.focal_length_mm, source.focal_length_35mm) == ("Maker One", 35.0, 52.0), kind
        assert source.taken == datetime(2026, 3, 1, 10, 20, 30)
        assert source.format.lower() == kind.lower()
    source = load_photo_bytes(heic(patches(), exif=exif.tobytes()), "a.heic").source
    assert (source.camera, source.focal_length_mm, source.format) == ("Maker One", 35.0, "HEIC")


@pytest.mark.parametrize(
    ("make", "model", "said"),
    [("ACME", "Z 1", "ACME Z 1"), ("ACME Corp", "ACME Z 1", "ACME Z 1"), ("", "Z 1", "Z 1"), ("ACME\0x", "", "ACME")],
)
def test_name_of_the_camera(make: str, model: str, said: str) -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = make, model
    assert load_photo_bytes(saved(patches(), "JPEG", exif=exif), "a.jpg").source.camera == said


def test_nonsense_from_the_camera_is_left_out() -> None:
    exif = Image.Exif()
    exif[0x0112] = 77
    exif.get_ifd(0x8769).update({0x9003: "0000:00:00 00:00:00", 0x920A: 0.0})
    photo = load_photo_bytes(saved(patches(), "PNG", exif=exif), "a.png")
    assert same_codes(photo, patches())
    assert photo.source.taken is None
    assert photo.source.focal_length_mm is None
    data = (
        saved(patches(), "PNG")[:33]
        + chunk(b"eXIf", b"MM\0*\0\0\0\x08\xff\xff" + bytes(9))
        + saved(patches(), "PNG")[33:]
    )
    assert same_codes(load_photo_bytes(data, "a.png"), patches())
