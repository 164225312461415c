"""core.photo: printing inks and other profiles made of tables, against a made-up press known exactly."""

import numpy as np
import pytest
from PIL import Image

from core.colorimetry import decode_srgb, lab_from_xyz, luminance_of_value, xyz
from core.photo import load_photo_bytes
from core.profiles import ICC_WHITE
from tests.core import icc_files
from tests.core.picture_files import cube, lzw_tiff, saved, tiff
from tests.published import spaces

HALF = 2**-11  # relative precision of half floats


def ink_lab(inks: np.ndarray) -> np.ndarray:
    """Lab (D50) of a made-up press: linear in the inks, so that a table of it holds it exactly."""
    c, m, y, k = inks.T
    return np.stack([100 - 40 * c - 30 * m - 8 * y - 20 * k, 40 * m - 30 * c, 50 * y - 35 * c], axis=-1)


def scanner_lab(rgb: np.ndarray) -> np.ndarray:
    r, g, b = rgb.T
    return np.stack([28 * r + 60 * g + 12 * b, 60 * r - 60 * g, 40 * r + 20 * g - 60 * b], axis=-1)


def inks_of(height: int, width: int, dtype: type = np.uint8) -> np.ndarray:
    return np.random.default_rng(4).integers(0, np.iinfo(dtype).max + 1, (height, width, 4), dtype=dtype)


def lab_d50(linear: np.ndarray) -> np.ndarray:
    return lab_from_xyz(xyz(linear) @ np.array(spaces.BRADFORD_D65_TO_D50).T, ICC_WHITE)


def ink_files() -> dict[str, tuple[bytes, np.ndarray]]:
    profile = icc_files.table_profile("Press", b"CMYK", 5, ink_lab)
    inks, deep = inks_of(24, 36), inks_of(24, 36, np.uint16)
    spots = np.dstack([inks, inks[..., 0]])
    return {
        "a.tif": (saved(Image.fromarray(inks, mode="CMYK"), "TIFF", icc_profile=profile), inks / 255),
        "lzw.tif": (
            saved(Image.fromarray(inks, mode="CMYK"), "TIFF", icc_profile=profile, compression="tiff_lzw"),
            inks / 255,
        ),
        "spot.tif": (tiff(spots, photometric="separated", extrasamples=[0], iccprofile=profile), inks / 255),
        "deep.tif": (tiff(deep, photometric="separated", iccprofile=profile), deep / 65535),
        "a.jpg": (
            saved(
                Image.fromarray(np.full((24, 36, 4), (40, 90, 160, 20), np.uint8), mode="CMYK"),
                "JPEG",
                quality=100,
                icc_profile=profile,
            ),
            np.full((24, 36, 4), (40, 90, 160, 20)) / 255,
        ),
    }


@pytest.mark.parametrize("name", ["a.tif", "lzw.tif", "spot.tif", "deep.tif", "a.jpg"])
def test_printing_inks_by_their_table(name: str) -> None:
    data, inks = ink_files()[name]
    photo = load_photo_bytes(data, name)
    expected = ink_lab(inks.reshape(-1, 4)).reshape(24, 36, 3)
    error = np.abs(lab_d50(photo.linear()) - expected)
    # 8-bit Lab on the way: half of 100/255 in L*, half of 1 in a* and b*; 16-bit inks are read to 8 bits.
    assert error[..., 0].max() < (0.55 if name in ("deep.tif", "a.jpg") else 0.32)
    assert error[..., 1:].max() < 0.95
    assert photo.source.profile == "Press"


def test_pictures_of_tables() -> None:
    profile = icc_files.table_profile("Scanner", b"RGB ", 9, scanner_lab)
    photo = load_photo_bytes(saved(cube(), "PNG", icc_profile=profile), "a.png")
    error = np.abs(lab_d50(photo.linear()) - scanner_lab(cube().reshape(-1, 3) / 255).reshape(cube().shape))
    assert error[..., 0].max() < 0.32
    assert error[..., 1:].max() < 0.95
    assert photo.source.profile == "Scanner"


def test_a_large_picture_of_a_gentle_press_takes_the_shortcut_and_stays_close() -> None:
    curve = np.linspace(0, 1, 256) ** 1.3  # as dots gain on paper
    profile = icc_files.table_profile("Gentle", b"CMYK", 5, ink_lab, curve)
    inks = np.asarray(Image.fromarray(inks_of(9, 12), mode="CMYK").resize((800, 600), Image.Resampling.BICUBIC))
    photo = load_photo_bytes(saved(Image.fromarray(inks, mode="CMYK"), "TIFF", icc_profile=profile), "a.tif")
    expected = ink_lab((inks.reshape(-1, 4) / 255.0) ** 1.3).reshape(600, 800, 3)
    error = np.abs(lab_d50(photo.linear()) - expected)
    # A step of 8-bit L* more than the exact way, on all but a thousandth.
    assert np.percentile(error[..., 0], 99.9) < 0.2 + 0.4
    assert error[..., 0].mean() < 0.12


def test_harsh_tables_are_not_read_by_the_shortcut() -> None:
    # A table of about 23 steps an ink cannot follow a curve like this.
    curve = np.linspace(0, 1, 256) ** 9
    profile = icc_files.table_profile("Harsh", b"CMYK", 2, ink_lab, curve)
    inks = inks_of(600, 800)
    photo = load_photo_bytes(saved(Image.fromarray(inks, mode="CMYK"), "TIFF", icc_profile=profile), "a.tif")
    expected = ink_lab((inks.reshape(-1, 4) / 255.0) ** 9).reshape(600, 800, 3)
    error = np.abs(lab_d50(photo.linear()) - expected)
    assert error[..., 0].max() < 0.32
    assert error[..., 1:].max() < 0.95


def test_inks_without_a_profile_follow_the_plain_rule_and_say_so() -> None:
    inks = inks_of(24, 36)
    expected = decode_srgb((1 - inks[..., :3] / 255) * (1 - inks[..., 3:] / 255))
    for profile in (b"", b"not a profile", icc_files.matrix_profile("P3", icc_files.P3, icc_files.srgb_curve())):
        photo = load_photo_bytes(saved(Image.fromarray(inks, mode="CMYK"), "TIFF", icc_profile=profile), "a.tif")
        assert photo.linear() == pytest.approx(expected, rel=1.1 * HALF, abs=1e-6)
        assert "no usable profile for its printing inks" in photo.source.notes[0]
        assert "inks" in photo.source.profile


def test_16_bit_inks_under_lzw() -> None:
    inks = inks_of(24, 36, np.uint16)
    expected = decode_srgb((1 - inks[..., :3] / 65535) * (1 - inks[..., 3:] / 65535))
    assert load_photo_bytes(lzw_tiff(inks, kind=5), "a.tif").linear() == pytest.approx(
        expected, rel=1.1 * HALF, abs=1e-6
    )


def test_see_through_inks() -> None:
    inks, opacity = inks_of(24, 36), np.full((24, 36), 102, np.uint8)
    data = tiff(np.dstack([inks, opacity]), photometric="separated", extrasamples=[2])
    paint = decode_srgb((1 - inks[..., :3] / 255) * (1 - inks[..., 3:] / 255))
    expected = 0.4 * paint + 0.6 * luminance_of_value(5.0)
    assert load_photo_bytes(data, "a.tif").linear() == pytest.approx(expected, rel=1.1 * HALF, abs=1e-6)
