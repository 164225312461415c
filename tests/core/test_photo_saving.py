"""core.photo: pictures are written whole or not at all, as sRGB that says so."""

import errno
import io
import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from core.errors import PhotoError
from core.photo import Photo, load_photo, save_jpeg, save_png, srgb_curve
from tests.core.picture_files import patches
from tests.published.libraries import skimage

SAVERS = [save_png, save_jpeg]
Saver = Callable[..., None]


def test_png_round_trip_through_linear_light(tmp_path: Path) -> None:
    cat = np.ascontiguousarray(skimage.data.chelsea())
    save_png(tmp_path / "cat.png", Photo(cat, srgb_curve()).linear())
    assert np.array_equal(load_photo(tmp_path / "cat.png").codes, cat)
    save_png(tmp_path / "codes.png", cat)
    assert np.array_equal(load_photo(tmp_path / "codes.png").codes, cat)


def test_jpeg_is_close(tmp_path: Path) -> None:
    cat = np.ascontiguousarray(skimage.data.chelsea())
    save_jpeg(tmp_path / "cat.jpg", Photo(cat, srgb_curve()).linear(), quality=97)
    assert np.abs(load_photo(tmp_path / "cat.jpg").codes.astype(int) - cat).mean() < 1.5
    save_jpeg(tmp_path / "small.jpg", cat, quality=40)
    assert (tmp_path / "small.jpg").stat().st_size < (tmp_path / "cat.jpg").stat().st_size / 3


def test_grey_pictures(tmp_path: Path) -> None:
    grey = Photo(patches(), srgb_curve()).grey()
    save_png(tmp_path / "grey.png", grey)
    assert np.array_equal(load_photo(tmp_path / "grey.png").codes, np.dstack([grey] * 3))


@pytest.mark.parametrize("save", SAVERS)
def test_the_file_says_that_it_is_srgb(tmp_path: Path, save: Saver) -> None:
    save(tmp_path / "picture", patches())
    with Image.open(tmp_path / "picture") as image:
        profile = image.info["icc_profile"]
    assert "sRGB" in ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile)))
    assert load_photo(tmp_path / "picture").source.profile == "sRGB"


@pytest.mark.parametrize("save", SAVERS)
def test_resolution_is_noted(tmp_path: Path, save: Saver) -> None:
    save(tmp_path / "picture", patches(), px_per_mm=300 / 25.4)
    with Image.open(tmp_path / "picture") as image:
        assert image.info["dpi"] == pytest.approx((300, 300), abs=0.5)


def test_light_outside_the_gamut_is_clipped(tmp_path: Path) -> None:
    light = np.array([[[-0.5, 0.0, 2.0], [1.0, np.nan, np.inf]]], np.float32)
    save_png(tmp_path / "a.png", light)
    assert load_photo(tmp_path / "a.png").codes.tolist() == [[[0, 0, 255], [255, 0, 255]]]


@pytest.mark.parametrize("save", SAVERS)
def test_an_older_file_is_replaced_and_nothing_else_is_left(tmp_path: Path, save: Saver) -> None:
    path = tmp_path / "a picture"
    path.write_bytes(b"older")
    save(path, patches())
    assert load_photo(path).width == 36
    assert [entry.name for entry in tmp_path.iterdir()] == ["a picture"]


@pytest.mark.parametrize("save", SAVERS)
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_leaves_the_older_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, save: Saver, step: str
) -> None:
    path = tmp_path / "kept.png"
    path.write_bytes(b"older")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, step, full)
    with pytest.raises(PhotoError, match="disk is full") as caught:
        save(path, patches())
    assert "kept.png" in str(caught.value)
    assert path.read_bytes() == b"older"
    assert [entry.name for entry in tmp_path.iterdir()] == ["kept.png"]


@pytest.mark.parametrize("save", SAVERS)
def test_a_disk_that_fills_up_while_the_picture_is_written(
    save: Saver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Filling(io.BytesIO):
        def write(self, data: object) -> int:
            if self.tell() > 200:
                raise OSError(errno.ENOSPC, "No space left on device")
            return super().write(data)  # type: ignore[arg-type]

    monkeypatch.setattr(Path, "open", lambda *_, **__: Filling())
    with pytest.raises(PhotoError, match="disk is full"):
        save(tmp_path / "a.png", np.random.default_rng(0).integers(0, 256, (300, 300, 3), dtype=np.uint8))
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("save", SAVERS)
@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS])
def test_a_folder_that_may_not_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, save: Saver, number: int
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(PhotoError, match="may not be written"):
        save(tmp_path / "a.png", patches())


@pytest.mark.parametrize("save", SAVERS)
def test_no_such_folder_and_a_folder_in_the_way(tmp_path: Path, save: Saver) -> None:
    with pytest.raises(PhotoError, match="no folder"):
        save(tmp_path / "missing" / "a.png", patches())
    (tmp_path / "taken").mkdir()
    with pytest.raises(PhotoError, match="taken"):
        save(tmp_path / "taken", patches())
    assert [entry.name for entry in tmp_path.iterdir()] == ["taken"]


@pytest.mark.parametrize("save", SAVERS)
@pytest.mark.parametrize("shape", [(4,), (4, 5, 4), (0, 5, 3)])
def test_what_is_not_a_picture_is_the_caller_s_mistake(tmp_path: Path, save: Saver, shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="expected"):
        save(tmp_path / "a", np.zeros(shape, np.uint8))


def test_names_of_every_length(tmp_path: Path) -> None:
    path = tmp_path / ("é" * 100 + ".png")
    save_png(path, patches())
    assert load_photo(path).width == 36
