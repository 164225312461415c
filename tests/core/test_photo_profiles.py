"""core.photo: colour profiles, against published matrices, Little CMS and colour-science."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms

from core.colorimetry import decode_srgb, encode_srgb, luminance, rgb_from_xyz, xyz, xyz_from_lab
from core.photo import Photo, load_photo_bytes, srgb_curve
from core.profiles import ICC_WHITE, bradford
from core.spaces import hybrid_log_gamma, perceptual_quantizer
from tests.core import icc_files
from tests.core.broken_files import heic
from tests.core.picture_files import chunk, cube, deep_patches, patches, png, saved, tiff
from tests.published import spaces
from tests.published.libraries import colour

HALF = 2**-11  # relative precision of half floats

ADOBE_GAMMA = icc_files.gamma(563 / 256)
PROFILES = {
    "sRGB": (icc_files.SRGB, icc_files.srgb_curve()),
    "P3": (icc_files.P3, icc_files.srgb_curve()),
    "Adobe RGB": (icc_files.ADOBE, ADOBE_GAMMA),
    "ProPhoto": (icc_files.ROMM, icc_files.gamma(1.8)),
}


def tagged(picture: np.ndarray, profile: bytes) -> Photo:
    return load_photo_bytes(saved(picture, "PNG", icc_profile=profile), "a.png")


def through_little_cms(picture: np.ndarray, profile: bytes) -> np.ndarray:
    """sRGB codes by Little CMS, clipped to its gamut."""
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(profile)),
        ImageCms.createProfile("sRGB"),
        "RGB",
        "RGB",
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    return np.asarray(transform.apply(Image.fromarray(picture)))


@pytest.mark.parametrize("version", [2, 4])
@pytest.mark.parametrize("name", PROFILES)
def test_in_gamut_colours_agree_with_little_cms(name: str, version: int) -> None:
    profile = icc_files.matrix_profile(name, *PROFILES[name], version=version)
    photo = tagged(cube(), profile)
    linear = photo.linear()
    inside = ((linear > 0.002) & (linear < 0.998)).all(axis=2)
    assert inside.sum() > 300
    theirs = through_little_cms(cube(), profile)
    assert np.abs(photo.display().astype(int) - theirs)[inside].max() <= 1
    assert photo.source.profile == name


def test_srgb_profile_keeps_the_codes() -> None:
    ours = icc_files.matrix_profile("sRGB IEC61966-2.1", *PROFILES["sRGB"], version=2)
    for profile in (ours, ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()):
        photo = tagged(patches(), profile)
        assert np.array_equal(photo.codes, patches())
        assert np.array_equal(photo.curve, srgb_curve())
        assert photo.source.profile == "sRGB"


def test_display_p3_is_unclipped() -> None:
    photo = tagged(cube(), icc_files.matrix_profile("Display P3", *PROFILES["P3"]))
    light = decode_srgb(cube() / 255)
    assert np.abs(photo.linear() - light @ np.array(spaces.P3_TO_SRGB).T).max() < 1e-3
    assert photo.linear().min() < -0.2
    assert photo.linear().max() > 1.2
    # The luminance survives, out of gamut too: the P3 luminance row, as published.
    expected = light @ spaces.P3_TO_XYZ[1]
    assert np.abs(luminance(photo.linear()) - expected).max() < 1e-3
    red = tagged(np.full((1, 1, 3), (255, 0, 0), np.uint8), icc_files.matrix_profile("P3", *PROFILES["P3"]))
    assert luminance(red.linear())[0, 0] == pytest.approx(spaces.P3_TO_XYZ[1][0], abs=3e-4)
    # Mapped into sRGB, red at its full strength would be darker: 0.2126.
    assert luminance(red.linear())[0, 0] > 0.2285


def test_published_p3_orange() -> None:
    deep = np.rint(np.array(spaces.P3_ORANGE) * 65535).astype(np.uint16).reshape(1, 1, 3)
    profile = icc_files.matrix_profile("P3", *PROFILES["P3"])
    compressed = b"icc\0\0" + zlib.compress(profile)
    photo = load_photo_bytes(png(deep, before=chunk(b"iCCP", compressed)), "a.png")
    assert photo.source.bits == 16
    red, green, blue = photo.linear()[0, 0]
    # Its blue is below 0, where the figure follows the straight piece of the curve.
    assert (*encode_srgb([red, green]), 12.92 * blue) == pytest.approx(spaces.P3_ORANGE_IN_SRGB, abs=1.5e-3)


def test_adobe_rgb_against_its_own_specification() -> None:
    photo = tagged(cube(), icc_files.matrix_profile("Adobe RGB (1998)", *PROFILES["Adobe RGB"], version=2))
    expected = (cube() / 255.0) ** (563 / 256) @ np.array(spaces.ADOBE_RGB_TO_XYZ).T
    assert np.abs(xyz(photo.linear()) - expected).max() < 1e-3


def test_prophoto_against_its_own_specification() -> None:
    photo = tagged(cube(), icc_files.matrix_profile("ProPhoto", *PROFILES["ProPhoto"], version=2))
    d50 = (cube() / 255.0) ** 1.8 @ np.array(spaces.ROMM_TO_XYZ).T
    found = xyz(photo.linear()) @ np.array(spaces.BRADFORD_D65_TO_D50).T
    # Its gamma is kept as 461/256, and half floats carry 2**-11 of numbers up to 2.
    assert np.abs(found - d50).max() < 2e-3


def test_bradford_published() -> None:
    white = np.array([0.95047, 1.0, 1.08883])
    assert bradford(white, ICC_WHITE) == pytest.approx(np.array(spaces.BRADFORD_D65_TO_D50), abs=5e-4)


@pytest.mark.parametrize(
    "curve",
    [
        icc_files.straight(),
        icc_files.gamma(2.2),
        icc_files.sampled(np.linspace(0, 1, 1024) ** 2.4),
        icc_files.sampled(np.array([0.0, 0.1, 1.0])),
        icc_files.parametric(0, 1.9),
        icc_files.parametric(1, 2.2, 0.9, 0.1),
        icc_files.parametric(2, 2.0, 0.8, 0.1, 0.05),
        icc_files.parametric(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045),
        icc_files.parametric(4, 2.2, 0.9, 0.1, 0.1, 0.2, 0.0, 0.01),
    ],
)
def test_tone_curves_of_every_kind(curve: bytes) -> None:
    ramp = np.arange(256, dtype=np.uint8)[None, :, None].repeat(3, axis=2)
    profile = icc_files.matrix_profile("curve", icc_files.SRGB, curve)
    photo = tagged(ramp, profile)
    assert np.array_equal(photo.codes, ramp)  # its primaries are sRGB's: only the curve differs
    assert photo.curve.shape == (256,)
    assert np.abs(photo.display().astype(int) - through_little_cms(ramp, profile)).max() <= 1
    other_space = tagged(ramp, icc_files.matrix_profile("curve", icc_files.P3, curve))
    assert other_space.codes.dtype == np.uint16
    assert other_space.linear() == pytest.approx(photo.linear(), rel=HALF + 1e-4, abs=2e-4)


def test_a_curve_for_each_channel() -> None:
    curves = (icc_files.gamma(1.8), icc_files.gamma(2.2), icc_files.gamma(2.6))
    profile = icc_files.matrix_profile("three", icc_files.SRGB, curves)
    photo = tagged(cube(), profile)
    exponents = [round(g * 256) / 256 for g in (1.8, 2.2, 2.6)]
    assert photo.linear() == pytest.approx((cube() / 255.0) ** exponents, rel=HALF * 1.1, abs=1e-6)
    assert np.abs(photo.display().astype(int) - through_little_cms(cube(), profile)).max() <= 1


def test_wide_gamut_in_every_kind_of_file() -> None:
    profile = icc_files.matrix_profile("Display P3", *PROFILES["P3"])
    expected = decode_srgb(patches() / 255) @ np.array(spaces.P3_TO_SRGB).T
    files = {
        "a.png": saved(patches(), "PNG", icc_profile=profile),
        "a.tif": saved(patches(), "TIFF", icc_profile=profile),
        "deep.tif": tiff(patches().astype(np.uint16) * 257, photometric="rgb", iccprofile=profile),
        "a.webp": saved(patches(), "WEBP", lossless=True, icc_profile=profile),
        "a.heic": heic(patches(), icc_profile=profile),
    }
    for name, data in files.items():
        photo = load_photo_bytes(data, name)
        assert photo.source.profile == "Display P3", name
        assert np.abs(photo.linear() - expected).max() < 1e-3, name
    flat = np.full((32, 32, 3), (180, 90, 60), np.uint8)
    photo = load_photo_bytes(saved(flat, "JPEG", quality=100, subsampling=0, icc_profile=profile), "a.jpg")
    assert photo.source.profile == "Display P3"
    assert np.abs(photo.linear() - decode_srgb(flat / 255) @ np.array(spaces.P3_TO_SRGB).T).max() < 0.01


def test_16_bit_prophoto() -> None:
    photo = load_photo_bytes(
        tiff(deep_patches(), photometric="rgb", iccprofile=icc_files.matrix_profile("P", *PROFILES["ProPhoto"])),
        "a.tif",
    )
    d50 = (deep_patches() / 65535.0) ** (461 / 256) @ np.array(spaces.ROMM_TO_XYZ).T
    found = xyz(photo.linear()) @ np.array(spaces.BRADFORD_D65_TO_D50).T
    assert np.abs(found - d50).max() < 2e-3


def test_grey_profiles() -> None:
    ramp = np.arange(256, dtype=np.uint8)[None, :]
    photo = tagged(ramp, icc_files.grey_profile("Gray Gamma 2.2", icc_files.gamma(2.2)))
    assert np.array_equal(photo.codes[..., 1], ramp)
    assert photo.linear()[0, :, 0] == pytest.approx((np.arange(256) / 255) ** (563 / 256), abs=1e-6)
    dots = np.linspace(0, 1, 40) ** 1.6
    photo = tagged(ramp, icc_files.grey_profile("Dot Gain", icc_files.sampled(dots), version=2))
    assert photo.linear()[0, :, 0] == pytest.approx(
        np.interp(np.arange(256) / 255, np.linspace(0, 1, 40), dots), abs=1e-5
    )
    assert photo.source.profile == "Dot Gain"
    photo = tagged(ramp, icc_files.grey_profile("lightness", icc_files.straight(), pcs=b"Lab "))
    lightnesses = np.linspace(0, 100, 256)
    expected = rgb_from_xyz(xyz_from_lab(np.stack([lightnesses, 0 * lightnesses, 0 * lightnesses], axis=-1)))
    assert photo.linear()[0] == pytest.approx(expected, abs=1e-4)


def test_grey_picture_with_an_rgb_profile() -> None:
    ramp = np.arange(256, dtype=np.uint8)[None, :]
    photo = tagged(ramp, icc_files.matrix_profile("Adobe RGB (1998)", *PROFILES["Adobe RGB"]))
    assert photo.linear()[0, :, 1] == pytest.approx((np.arange(256) / 255) ** (563 / 256), abs=1e-6)


@pytest.mark.parametrize(
    "profile",
    [
        b"\0" * 200,
        b"short",
        icc_files.matrix_profile("P3", *PROFILES["P3"])[:300],
        icc_files.matrix_profile("bad", icc_files.P3, b"curv" + bytes(4) + struct.pack(">IH", 1, 0)),
        icc_files.matrix_profile("bad", icc_files.P3, b"curv" + bytes(4) + struct.pack(">I", 4_000_000)),
        icc_files.matrix_profile("bad", icc_files.P3, icc_files.parametric(0, -2.0)),
        icc_files.matrix_profile("bad", icc_files.P3, b"para" + bytes(4) + struct.pack(">HH", 9, 0) + bytes(40)),
        icc_files.matrix_profile("bad", icc_files.P3, b"what" + bytes(40)),
        icc_files.profile(b"mntr", b"RGB ", b"XYZ ", {}, 4),
        icc_files.profile(
            b"mntr",
            b"RGB ",
            b"XYZ ",
            {name: icc_files.xyz((0.3, 0.3, 0.3)) for name in (b"rXYZ", b"gXYZ", b"bXYZ")}
            | dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), ADOBE_GAMMA),
            4,
        ),
        icc_files.matrix_profile("tables", icc_files.P3, ADOBE_GAMMA, extra={b"A2B0": b"mft2" + bytes(60)}),
        icc_files.grey_profile("grey", ADOBE_GAMMA),
    ],
)
def test_damaged_profiles_are_passed_over_and_said(profile: bytes) -> None:
    photo = tagged(patches(), profile)
    assert photo.linear() == pytest.approx(decode_srgb(patches() / 255), rel=1.1 * HALF)
    assert "colour profile is damaged" in photo.source.notes[0]
    assert photo.source.profile == "sRGB"


def test_cameras_that_only_say_adobe_rgb_in_their_notes() -> None:
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0xA001] = 0xFFFF
    exif.get_ifd(0x8769)[0xA005] = {0x0001: "R03"}
    photo = load_photo_bytes(saved(patches(), "PNG", exif=exif.tobytes()), "_a.png")
    assert photo.source.profile == "Adobe RGB (1998)"
    expected = (patches() / 255.0) ** (563 / 256) @ np.array(spaces.ADOBE_RGB_TO_XYZ).T
    assert np.abs(xyz(photo.linear()) - expected).max() < 1e-3
    exif.get_ifd(0x8769)[0xA001] = 1
    assert load_photo_bytes(saved(patches(), "PNG", exif=exif.tobytes()), "a.png").source.profile == "sRGB"


def fixed(*numbers: float) -> bytes:
    return struct.pack(f">{len(numbers)}I", *(round(number * 100_000) for number in numbers))


P3_CHROMATICITIES = fixed(0.3127, 0.3290, 0.680, 0.320, 0.265, 0.690, 0.150, 0.060)


def test_png_gamma_and_chromaticities() -> None:
    usual = chunk(b"gAMA", fixed(0.45455))
    assert np.array_equal(load_photo_bytes(png(patches(), before=usual), "a").curve, srgb_curve())
    straight = load_photo_bytes(png(patches(), before=chunk(b"gAMA", fixed(1.0))), "a")
    assert straight.linear() == pytest.approx(patches() / 255, abs=1e-6)
    p3 = load_photo_bytes(png(patches(), before=usual + chunk(b"cHRM", P3_CHROMATICITIES)), "a")
    assert np.abs(p3.linear() - decode_srgb(patches() / 255) @ np.array(spaces.P3_TO_SRGB).T).max() < 1e-3
    srgb = chunk(b"sRGB", b"\0")
    overruled = load_photo_bytes(png(patches(), before=srgb + chunk(b"gAMA", fixed(1.0))), "a")
    assert np.array_equal(overruled.curve, srgb_curve())


@pytest.mark.parametrize(
    "chunks",
    [
        chunk(b"cHRM", fixed(*[0.3] * 8)),
        chunk(b"cHRM", fixed(*[0.0] * 8)),
        chunk(b"gAMA", fixed(0.0)),
        chunk(b"gAMA", fixed(40000)),
    ],
)
def test_png_colour_chunks_that_make_no_sense(chunks: bytes) -> None:
    photo = load_photo_bytes(png(patches(), before=chunks), "a.png")
    assert np.array_equal(photo.codes, patches())
    assert np.array_equal(photo.curve, srgb_curve())


def test_heic_that_names_its_space() -> None:
    p3 = load_photo_bytes(heic(patches(), color_primaries=12, transfer_characteristics=13), "a.heic")
    assert p3.source.profile == "Display P3"
    assert np.abs(p3.linear() - decode_srgb(patches() / 255) @ np.array(spaces.P3_TO_SRGB).T).max() < 1e-3
    rare = load_photo_bytes(heic(patches(), color_primaries=8, transfer_characteristics=13), "a.heic")
    assert np.array_equal(rare.codes, patches())
    assert "rare colour space" in rare.source.notes[0]


@pytest.mark.parametrize(("transfer", "word"), [(16, "PQ"), (18, "HLG")])
def test_heic_of_high_dynamic_range(transfer: int, word: str) -> None:
    ramp = (np.arange(1024, dtype=np.uint16) << 6).reshape(32, 32, 1).repeat(3, axis=2)
    photo = load_photo_bytes(heic(ramp, bit_depth=10, color_primaries=9, transfer_characteristics=transfer), "a.heic")
    signal = np.arange(1024) / 1023
    scene = colour.models.oetf_inverse_BT2100_HLG(signal) ** 1.2 * 1000
    nits = colour.models.eotf_ST2084(signal) if transfer == 16 else scene
    # BT.2408: diffuse white is 203 cd/m2.
    assert photo.linear()[..., 1].ravel() == pytest.approx(nits / 203, rel=2e-3, abs=1e-5)
    assert word in photo.source.profile


def test_high_dynamic_range_curves() -> None:
    signal = np.linspace(0, 1, 101)
    assert perceptual_quantizer(signal) * 203 == pytest.approx(colour.models.eotf_ST2084(signal), rel=1e-9)
    scene = colour.models.oetf_inverse_BT2100_HLG(signal)
    assert hybrid_log_gamma(signal) == pytest.approx(1000 / 203 * scene**1.2, rel=1e-6)
    # BT.2408 puts diffuse white at 58 % PQ and 75 % HLG.
    assert perceptual_quantizer(np.array(0.58)) == pytest.approx(1.0, abs=0.01)
    assert hybrid_log_gamma(np.array(0.75)) == pytest.approx(1.0, abs=0.01)
