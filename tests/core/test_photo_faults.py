"""core.photo: whatever is wrong with a file, the painter is told in a plain sentence."""

import io
import os
import time
import warnings
from pathlib import Path
from threading import Thread

import numpy as np
import pytest
import tifffile
from PIL import Image

from core import photo as photo_module
from core.errors import PhotoError
from core.photo import Photo, PhotoTooLargeError, load_photo, load_photo_bytes
from tests.core.broken_files import mutated, seeds
from tests.core.icc_files import matrix_profile
from tests.core.picture_files import deep_patches, patches, png, saved, tiff

SEEDS = seeds()
MUTATIONS = 60  # of each of the 17 seeds
SECONDS_EACH = 5.0

PLAIN = ("Error", "Exception", "Traceback", "None", "0x", "errno", "{", "}", "PIL", "numpy", "decode")


def told(data: bytes, name: str = "quinces.jpg") -> str:
    with pytest.raises(PhotoError) as caught:
        load_photo_bytes(data, name)
    return plain(caught.value, name)


def plain(error: PhotoError, name: str) -> str:
    sentence = str(error)
    assert name in sentence
    assert sentence.rstrip(".") != sentence
    assert not any(word in sentence for word in PLAIN), sentence
    return sentence


def told_of_path(path: Path) -> str:
    with pytest.raises(PhotoError) as caught:
        load_photo(path)
    return plain(caught.value, path.name)


def test_no_such_file(tmp_path: Path) -> None:
    assert "no file" in told_of_path(tmp_path / "gone.jpg")
    assert "no file" in told_of_path(tmp_path / "no folder" / "gone.jpg")


def test_a_folder(tmp_path: Path) -> None:
    (tmp_path / "photos.jpg").mkdir()
    assert "is a folder" in told_of_path(tmp_path / "photos.jpg")


def test_not_an_ordinary_file() -> None:
    assert "not an ordinary file" in told_of_path(Path(os.devnull))


def test_names_no_disk_can_hold(tmp_path: Path) -> None:
    for name in ("a" * 5000 + ".jpg", "a\0b.jpg"):
        with pytest.raises(PhotoError):
            load_photo(tmp_path / name)


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "locked.png"
    path.write_bytes(saved(patches(), "PNG"))

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert "may not be opened" in told_of_path(path)


def test_a_disk_that_goes_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "card.png"
    path.write_bytes(saved(patches(), "PNG"))

    class Gone(io.BytesIO):
        def read(self, *_: object) -> bytes:
            raise OSError(5, "Input/output error")

    monkeypatch.setattr(Path, "open", lambda *_, **__: Gone())
    assert "could not be read from the disk" in told_of_path(path)


def test_empty() -> None:
    assert "is empty" in told(b"")


@pytest.mark.parametrize(
    "data", [b"x", b"plain words, and no picture at all", b"\0" * 4096, b"GIF89a" + bytes(50), b"%PDF-1.7", b"<svg/>"]
)
def test_not_a_photograph(data: bytes) -> None:
    assert "not a photograph" in told(data)
    assert "JPEG, PNG, TIFF, WebP and HEIC" in told(data)


@pytest.mark.parametrize("name", SEEDS)
def test_every_cut_is_refused(name: str) -> None:
    data = SEEDS[name]
    sound = load_photo_bytes(data, name)
    places = sorted({*range(0, len(data), max(1, len(data) // 60)), *range(len(data) - 30, len(data))})
    said = []
    for length in places:
        try:
            photo = load_photo_bytes(data[:length], name)
        except PhotoError as error:
            said.append(plain(error, name))
        else:
            # Only when nothing of the picture is missing, such as the end mark of a PNG or a TIFF's last odd byte.
            assert np.array_equal(photo.codes, sound.codes), length
            assert len(data) - length <= 64, length
    assert "cut short" in said[len(said) // 2]
    assert sum("cut short" in sentence for sentence in said) > 0.8 * len(said)


def test_half_a_real_photograph_is_refused() -> None:
    from tests.published.libraries import skimage

    for options in ({}, {"progressive": True}):
        data = saved(np.ascontiguousarray(skimage.data.coffee()), "JPEG", quality=92, **options)
        for share in (0.3, 0.5, 0.9, 0.99):
            assert "cut short" in told(data[: int(len(data) * share)])


def test_missing_strips_of_a_tiff_are_not_black() -> None:
    file = io.BytesIO()
    tifffile.imwrite(file, deep_patches(), photometric="rgb", rowsperstrip=4)
    file.seek(0)
    with tifffile.TiffFile(file) as tiff:
        counts = tiff.pages.first.tags["StripByteCounts"]
        place, size = counts.valueoffset, 2 if counts.dtype == 3 else 4
    data = bytearray(file.getvalue())
    data[place + size : place + 2 * size] = bytes(size)
    told(bytes(data), "a.tif")


@pytest.mark.parametrize("ending", [".NEF", ".cr2", ".Dng", ".arw"])
def test_raw_files_by_name(ending: str) -> None:
    assert "raw file" in told(saved(patches(), "TIFF"), "IMG_1" + ending)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (tiff(patches().astype(np.float32), photometric="rgb"), "floating-point"),
        (tiff(patches().astype(np.float16), photometric="rgb"), "floating-point"),
        (tiff(patches().astype(np.uint32), photometric="rgb"), "32 bits a channel"),
        (tiff(deep_patches()[..., 0].copy(), photometric="cfa"), "raw file"),
        (tiff(patches(), photometric="rgb", extratags=[(50706, 1, 4, b"\1\4\0\0", True)]), "raw file"),
        (tiff(patches(), photometric="cielab"), "Lab"),
    ],
)
def test_tiffs_of_rare_kinds(data: bytes, words: str) -> None:
    sentence = told(data, "a.tif")
    assert words in sentence
    assert "Save it as" in sentence


def test_too_large_is_known_before_anything_is_decoded(tmp_path: Path) -> None:
    picture = np.zeros((1000, 2000, 3), np.uint8)
    for kind, name in (("PNG", "a.png"), ("JPEG", "a.jpg"), ("TIFF", "a.tif"), ("WEBP", "a.webp")):
        path = tmp_path / name
        path.write_bytes(saved(picture, kind))
        with pytest.raises(PhotoTooLargeError) as caught:
            load_photo(path, largest_megapixels=1.9)
        error = caught.value
        assert (error.width, error.height, error.limit) == (2000, 1000, 1.9)
        assert error.megapixels == pytest.approx(2.0)
        assert "2000 × 1000" in plain(error, name)
        assert isinstance(error, PhotoError)
        assert load_photo(path, largest_megapixels=2.0).width == 2000


def test_an_enormous_header_costs_nothing() -> None:
    data = bytearray(png(patches()))
    data[16:24] = (90_000).to_bytes(4, "big") * 2
    import zlib

    data[29:33] = zlib.crc32(data[12:29]).to_bytes(4, "big")
    started = time.perf_counter()
    with pytest.raises(PhotoTooLargeError, match="8100 megapixels"):
        load_photo_bytes(bytes(data), "a.png")
    assert time.perf_counter() - started < 1.0


def test_pillow_s_own_alarm_never_sounds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 100)  # a picture of ours is far above twice this
    for name, data in SEEDS.items():
        assert load_photo_bytes(data, name).width in (24, 36), name


def test_too_little_memory_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr(photo_module, "develop", full)
    assert "not enough memory" in told(saved(patches(), "PNG"))
    monkeypatch.setattr("core.decoding.raster.embedded_profile", full)
    assert "not enough memory" in told(saved(patches(), "PNG"))


@pytest.mark.parametrize("name", SEEDS)
def test_mutated_files_give_a_photo_or_a_sentence(name: str) -> None:
    opened = 0
    for seed in range(MUTATIONS):
        data = mutated(SEEDS[name], seed)
        started = time.perf_counter()
        try:
            photo = load_photo_bytes(data, name)
        except PhotoError as error:
            plain(error, name)
        else:
            opened += 1
            assert_sound(photo)
        assert time.perf_counter() - started < SECONDS_EACH, seed
    assert opened < MUTATIONS


def assert_sound(photo: Photo) -> None:
    assert photo.codes.ndim == 3
    assert photo.codes.shape[2] == 3
    assert photo.curve.shape == ({1: 256, 2: 65536}[photo.codes.dtype.itemsize],)
    assert photo.curve.dtype == np.float32
    assert np.isfinite(photo.curve).all()


def test_mutated_profiles_never_stop_a_picture() -> None:
    profile = matrix_profile("P3", (((0.68, 0.32), (0.265, 0.69), (0.15, 0.06)), (0.3127, 0.329)), b"curv" + bytes(8))
    for seed in range(200):
        assert_sound(load_photo_bytes(saved(patches(), "PNG", icc_profile=mutated(profile, seed)), "a.png"))


def test_mutated_camera_notes_never_stop_a_picture() -> None:
    notes = Image.Exif()
    notes[0x010F], notes[0x0112] = "Maker", 1
    notes.get_ifd(0x8769).update({0x9003: "2026:03:01 10:00:00", 0x920A: 50.0, 0xA005: {1: "R98"}})
    for seed in range(200):
        broken = mutated(notes.tobytes()[6:], seed)
        photo = load_photo_bytes(saved(patches(), "WEBP", lossless=True, exif=b"Exif\0\0" + broken), "a.webp")
        assert_sound(photo)
        assert sorted(photo.codes.shape) == [3, 24, 36]


def test_warnings_of_the_decoders_stay_inside_and_the_filters_come_back() -> None:
    before = list(warnings.filters)
    threads = [Thread(target=lambda: [load_some(seed) for seed in range(40)]) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert list(warnings.filters) == before


def load_some(seed: int) -> None:
    name = list(SEEDS)[seed % len(SEEDS)]
    try:
        load_photo_bytes(mutated(SEEDS[name], seed), name)
    except PhotoError:
        return
