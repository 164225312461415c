"""core.photo: the photo itself, and its smaller copies in linear light."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.colorimetry import decode_srgb, encode_srgb
from core.photo import Photo, Source, half_codes, half_curve, load_photo, load_photo_bytes, srgb_curve
from core.reduce import reduced_linear
from tests.core.picture_files import patches, saved
from tests.published.libraries import skimage


def cat() -> Photo:
    return Photo(np.ascontiguousarray(skimage.data.chelsea()), srgb_curve(), Source(name="cat"))


def area_means(light: np.ndarray, rows: int, columns: int) -> np.ndarray:
    """The mean light under each small pixel, by plain summation in float64."""
    for axis, count in ((0, rows), (1, columns)):
        full = light.shape[axis]
        edges = np.linspace(0, full, count + 1)
        places = np.arange(full)
        share = np.clip(np.minimum(edges[1:, None], places + 1) - np.maximum(edges[:-1, None], places), 0, None)
        light = np.moveaxis(np.tensordot(share / share.sum(axis=1, keepdims=True), light, axes=(1, axis)), 0, axis)
    return light


def test_sizes_and_types() -> None:
    photo = cat()
    assert (photo.width, photo.height) == (451, 300)
    assert photo.linear().shape == (300, 451, 3)
    assert photo.value().shape == photo.grey().shape == (300, 451)
    assert [a.dtype for a in (photo.linear(), photo.value(), photo.grey(), photo.display())] == [
        np.float32, np.float32, np.uint8, np.uint8,
    ]  # fmt: skip


def test_linear_light_is_the_standard_s() -> None:
    photo = cat()
    assert np.abs(photo.linear() - decode_srgb(photo.codes / 255)).max() < 1e-7


@pytest.mark.parametrize("rows", [slice(0, 7), slice(100, 101), slice(290, None), slice(5, 5), slice(None, None, 3)])
def test_some_rows(rows: slice) -> None:
    assert np.array_equal(cat().linear(rows), cat().linear()[rows])


@pytest.mark.parametrize("longest", [1, 2, 37, 100, 255, 300, 450])
def test_reduced_is_the_mean_light_of_each_area(longest: int) -> None:
    photo = cat()
    small = photo.reduced(longest)
    rows, columns = max(1, round(300 * longest / 451)), longest
    assert small.shape == (rows, columns, 3)
    expected = area_means(decode_srgb(photo.codes / 255), rows, columns)
    assert np.abs(small - expected).max() < 3e-6
    # The light of the whole is kept, whatever the size.
    assert small.mean(axis=(0, 1)) == pytest.approx(photo.linear().mean(axis=(0, 1)), rel=1e-4)


def test_reduced_averages_light_and_not_codes() -> None:
    checks = np.indices((64, 64)).sum(axis=0) % 2 * 255
    photo = Photo(np.dstack([checks.astype(np.uint8)] * 3), srgb_curve())
    assert photo.reduced(32) == pytest.approx(0.5, abs=1e-6)
    # Half the light is code 188 (IEC 61966-2-1), not 128.
    assert np.unique(np.rint(255 * encode_srgb(photo.reduced(32)))).tolist() == [188]


def test_nothing_is_enlarged() -> None:
    photo = cat()
    for longest in (451, 452, 10_000):
        assert np.array_equal(photo.reduced(longest), photo.linear())


@pytest.mark.parametrize("longest", [0, -5])
def test_a_picture_without_pixels_is_refused(longest: int) -> None:
    with pytest.raises(ValueError, match="pixels"):
        cat().reduced(longest)


@given(st.integers(1, 90), st.integers(1, 90), st.integers(1, 95))
def test_reduced_at_any_size(height: int, width: int, longest: int) -> None:
    codes = np.random.default_rng(height * width).integers(0, 256, (height, width, 3), dtype=np.uint8)
    small = reduced_linear(codes, srgb_curve(), longest)
    assert max(small.shape[:2]) == min(longest, max(height, width))
    expected = area_means(decode_srgb(codes / 255), *small.shape[:2])
    assert np.abs(small - expected).max() < 3e-6


def test_large_pictures_are_reduced_without_seams() -> None:
    ramp = np.linspace(0, 255, 3000).astype(np.uint8)
    codes = np.broadcast_to(ramp[:, None, None], (3000, 400, 3)).copy()
    small = reduced_linear(codes, srgb_curve(), 701)
    expected = area_means(decode_srgb(codes[:, :1] / 255), 701, 1)
    assert np.abs(small - expected).max() < 3e-6


def test_wide_gamut_is_reduced_unclipped() -> None:
    light = np.random.default_rng(0).uniform(-0.2, 1.5, (40, 60, 3)).astype(np.float32)
    photo = Photo(half_codes(light), half_curve())
    assert np.abs(photo.reduced(15) - area_means(photo.linear().astype(float), 10, 15)).max() < 3e-6


def test_from_a_path_and_from_bytes_alike(tmp_path: Path) -> None:
    path = tmp_path / "Quitten & Krug – 1.png"
    path.write_bytes(saved(patches(), "PNG"))
    one, two, three = load_photo(path), load_photo(str(path)), load_photo_bytes(path.read_bytes(), path.name)
    assert np.array_equal(one.codes, two.codes)
    assert np.array_equal(one.codes, three.codes)
    assert one.source == two.source == three.source == Source(name=path.name, format="PNG")


def test_the_file_is_let_go_and_left_as_it_was(tmp_path: Path) -> None:
    for kind, name in (("PNG", "a.png"), ("TIFF", "a.tif"), ("JPEG", "a.jpg"), ("WEBP", "a.webp")):
        path = tmp_path / name
        data = saved(patches(), kind)
        path.write_bytes(data)
        load_photo(path)
        assert path.read_bytes() == data
        path.unlink()  # which fails on Windows while a file is open
    assert not list(tmp_path.iterdir())


def test_curves_are_shared_and_cannot_be_changed() -> None:
    assert srgb_curve() is srgb_curve()
    for curve in (srgb_curve(), srgb_curve(65536), half_curve()):
        with pytest.raises(ValueError, match="read-only"):
            curve[0] = 1.0


def test_a_photo_is_frozen() -> None:
    with pytest.raises(AttributeError):
        cat().codes = np.zeros((1, 1, 3), np.uint8)  # type: ignore[misc]
