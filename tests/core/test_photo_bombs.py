"""core.photo: files of a few bytes that would fill the memory, or never come to an end, are told in a sentence."""

import io
import struct
import time
import tracemalloc
import zlib
from functools import cache

import numpy as np
import pytest
from PIL import Image

from core.decoding.guards import MOST_SCANS, heif_coded_size, scans
from core.decoding.tiff_guard import inflated
from core.errors import PhotoError
from core.photo import PhotoTooLargeError, load_photo_bytes
from tests.core.broken_files import heic
from tests.core.icc_files import table_profile
from tests.core.picture_files import chunk, patches, png, saved, tiff

MOST_MEGABYTES = 40.0
HEIGHT, WIDTH = 24, 36


@cache
def packed_zeros(megabytes: int) -> bytes:
    packer = zlib.compressobj(1)
    return b"".join([*(packer.compress(bytes(1_000_000)) for _ in range(megabytes)), packer.flush()])


def refused(data: bytes, name: str) -> str:
    """The sentence, which comes quickly and costs little."""
    tracemalloc.start()
    started = time.process_time()
    with pytest.raises(PhotoError) as caught:
        load_photo_bytes(data, name)
    seconds, (_, most) = time.process_time() - started, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert seconds < 2.0
    assert most / 1e6 < MOST_MEGABYTES
    assert "memory to open" not in str(caught.value)
    return str(caught.value)


def tiff_of(strip: bytes, changes: dict[int, tuple[str, list[int]] | None]) -> bytes:
    """A TIFF of one deflated RGB strip, with other entries; None leaves one out."""
    entries: dict[int, tuple[str, list[int]] | None] = {
        256: ("I", [WIDTH]), 257: ("I", [HEIGHT]), 258: ("H", [8, 8, 8]), 259: ("H", [8]), 262: ("H", [2]),
        273: ("I", [8]), 277: ("H", [3]), 278: ("I", [HEIGHT]), 279: ("I", [len(strip)]), **changes,
    }  # fmt: skip
    kept = {tag: entry for tag, entry in sorted(entries.items()) if entry is not None}
    start = 8 + len(strip) + len(strip) % 2
    table, more = b"", b""
    for tag, (code, numbers) in kept.items():
        content = struct.pack(f"<{len(numbers)}{code}", *numbers)
        if len(content) > 4:
            place = struct.pack("<I", start + 6 + 12 * len(kept) + len(more))
            more, content = more + content, place
        table += struct.pack("<HHI", tag, {"H": 3, "I": 4}[code], len(numbers)) + content.ljust(4, b"\0")
    body = strip + bytes(len(strip) % 2)
    return b"II*\0" + struct.pack("<I", start) + body + struct.pack("<H", len(kept)) + table + bytes(4) + more


def sound_strip() -> bytes:
    return zlib.compress(patches(HEIGHT, WIDTH).tobytes())


def test_the_tiffs_of_these_tests_are_read() -> None:
    assert np.array_equal(load_photo_bytes(tiff_of(sound_strip(), {}), "a.tif").codes, patches(HEIGHT, WIDTH))


def test_a_strip_that_unpacks_to_a_thousand_times_its_place() -> None:
    assert "damaged" in refused(tiff_of(packed_zeros(120), {}), "a.tif")


def test_deflate_is_undone_as_far_as_it_is_wanted() -> None:
    plain = bytes(range(256)) * 40
    assert inflated(zlib.compress(plain), out=len(plain)) == plain
    assert inflated(zlib.compress(plain)) == plain
    for broken in (zlib.compress(plain)[:-20], packed_zeros(5)):
        with pytest.raises(ValueError, match="cut short"):
            inflated(broken, out=1000)


def test_a_strip_with_more_rows_than_the_picture_is_read() -> None:
    taller = zlib.compress(np.concatenate([patches(HEIGHT, WIDTH)] * 2).tobytes())
    assert load_photo_bytes(tiff_of(taller, {}), "a.tif").height == HEIGHT


def test_thousands_of_strips_that_are_one_and_the_same() -> None:
    count, strip = 3000, packed_zeros(4)
    many = {257: ("I", [count]), 273: ("I", [8] * count), 278: ("I", [1]), 279: ("I", [len(strip)] * count)}
    assert "damaged" in refused(tiff_of(strip, many), "a.tif")


@pytest.mark.parametrize("compression", [1, 5, 8])
def test_tiles_out_of_all_proportion(compression: int) -> None:
    tiles = {
        259: ("H", [compression]), 273: None, 278: None, 279: None, 322: ("I", [65536]), 323: ("I", [65536]),
        324: ("I", [8]), 325: ("I", [len(sound_strip())]),
    }  # fmt: skip
    assert "damaged" in refused(tiff_of(sound_strip(), tiles), "a.tif")


def test_too_many_channels_and_layers() -> None:
    many = {256: ("I", [7000]), 257: ("I", [7000]), 258: ("H", [8] * 60), 277: ("H", [60])}
    assert "a TIFF of 60 channels" in refused(tiff_of(sound_strip(), many), "a.tif")
    ten = np.concatenate([patches(), patches(), patches(), patches()[..., :1]], axis=2)
    assert np.array_equal(load_photo_bytes(tiff(ten, photometric="rgb"), "a.tif").codes, patches())
    layers = {32997: ("I", [5000]), 32998: ("I", [1]), 322: ("I", [64]), 323: ("I", [64])}
    assert "layers" in refused(tiff_of(sound_strip(), layers), "a.tif")


def test_channels_of_different_depths_are_told_without_a_list_of_numbers() -> None:
    assert "a TIFF of a rare kind" in refused(tiff_of(sound_strip(), {258: ("H", [8, 16, 2])}), "a.tif")


def test_a_size_that_stands_twice_in_a_tiff() -> None:
    """tifffile takes the first and Pillow the last: the size that was let in is not the one that would be decoded."""
    data = bytearray(saved(patches(), "TIFF", compression="tiff_lzw"))
    (place,) = struct.unpack_from("<I", data, 4)
    (count,) = struct.unpack_from("<H", data, place)
    entries = [bytes(data[place + 2 + 12 * at : place + 14 + 12 * at]) for at in range(count)]
    wide = struct.pack("<HHII", 256, 4, 1, 30_000)
    again = sorted([*entries, wide], key=lambda entry: struct.unpack_from("<H", entry)[0])
    table = struct.pack("<H", count + 1) + b"".join(again) + bytes(4)
    moved = bytes(data[:4]) + struct.pack("<I", len(data)) + bytes(data[8:]) + table
    assert "damaged" in refused(moved, "a.tif")


def header_of_png(width: int, height: int) -> bytes:
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


def test_a_png_of_sixty_thousand_by_sixty_thousand() -> None:
    sentence = refused(header_of_png(60_000, 60_000), "a.png")
    assert "60000 × 60000 pixels (3600 megapixels)" in sentence
    assert "43 GB" in sentence


def test_sizes_of_no_photograph_are_told_in_plain_numbers() -> None:
    sentence = refused(header_of_png(2_000_000_000, 50_000), "a.png")
    assert "(100000000 megapixels)" in sentence
    assert "No photograph is so large" in sentence
    assert "raise the limit" not in sentence


@pytest.mark.parametrize("name", [b"iCCP", b"zTXt"])
def test_words_and_profiles_of_a_png_that_unpack_without_end(name: bytes) -> None:
    assert "damaged" in refused(png(patches(), before=chunk(name, b"a\0\0" + packed_zeros(120))), "a.png")


def test_a_png_may_hold_the_profile_of_a_printer() -> None:
    """Pillow by itself refuses more than 1 MB."""
    profile = table_profile("paper", b"RGB ", 3, lambda rgb: rgb @ np.array([[40, 0, 0], [40, 0, 0], [20, 0, 0]]))
    large = profile + bytes(1_500_000)
    photo = load_photo_bytes(saved(patches(), "PNG", icc_profile=large), "a.png")
    assert (
        photo.source.profile == load_photo_bytes(saved(patches(), "PNG", icc_profile=profile), "a.png").source.profile
    )
    assert not photo.source.notes


def test_pixels_of_a_png_that_go_on_without_end_are_left() -> None:
    data = png(patches())
    start = data.index(b"IDAT") - 4
    data = data[:start] + chunk(b"IDAT", packed_zeros(120)) + chunk(b"IEND", b"")
    assert load_photo_bytes(data, "a.png").width == WIDTH


@pytest.mark.parametrize("side", [16_383, 60_000])
def test_a_moving_webp_with_an_enormous_sheet(side: int) -> None:
    """Its decoder makes room for two pictures of that size as soon as it is opened."""
    turned = Image.fromarray(patches()[:, ::-1].copy())
    moving = bytearray(saved(Image.fromarray(patches()), "WEBP", save_all=True, append_images=[turned]))
    assert moving[12:16] == b"VP8X"
    moving[24:30] = (side - 1).to_bytes(3, "little") * 2
    with pytest.raises(PhotoTooLargeError) as caught:
        load_photo_bytes(bytes(moving), "a.webp")
    assert (caught.value.width, caught.value.height) == (side, side)


def of_scans(count: int) -> bytes:
    """A progressive JPEG whose last scan is said again and again."""
    data = saved(patches(), "JPEG", progressive=True)
    last = data.rindex(b"\xff\xda")
    return data[:-2] + data[last:-2] * (count - scans(data)) + b"\xff\xd9"


def test_scans_are_counted_to_the_end_of_the_first_picture() -> None:
    progressive = saved(patches(), "JPEG", progressive=True)
    assert scans(saved(patches(), "JPEG")) == 1
    assert scans(progressive) == progressive.count(b"\xff\xda") > 5
    assert scans(saved(patches(), "JPEG", subsampling="4:2:0", restart_marker_blocks=1)) == 1
    assert scans(of_scans(30)) == 30
    assert scans(progressive + b"\xff\xda\0\x08" * 500) == scans(progressive)  # a film behind the picture
    assert scans(progressive[:50]) == 0
    noted = saved(patches(), "JPEG", progressive=True, comment=b"\xff\xda" * 500)
    assert scans(noted) == scans(progressive)


def test_a_jpeg_of_endless_scans() -> None:
    assert load_photo_bytes(of_scans(MOST_SCANS), "a.jpg").width == WIDTH
    assert f"more than {MOST_SCANS} scans" in refused(of_scans(MOST_SCANS + 1), "a.jpg")


def heic_of_coded(side: int) -> bytes:
    """A HEIC that says it is coded as ``side`` squared, of which its crop shows 36 × 24."""
    data = bytearray(heic(patches()))
    start = data.index(b"ispe") + 8
    data[start : start + 8] = struct.pack(">II", side, side)
    return bytes(data)


def test_a_heic_is_as_large_as_it_is_coded() -> None:
    assert heif_coded_size(io.BytesIO(heic(patches()))) == (1, 1)  # 64 × 64, less what may only fill the last blocks
    assert heif_coded_size(io.BytesIO(heic_of_coded(7000))) == (6937, 6937)
    assert heif_coded_size(io.BytesIO(b"\0\0\0\x08ftyp")) == (0, 0)
    for side in (16_384, 60_000):
        with pytest.raises(PhotoTooLargeError, match="megapixels"):
            load_photo_bytes(heic_of_coded(side), "a.heic")
    assert "damaged" in refused(heic_of_coded(7000), "a.heic")
