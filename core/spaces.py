"""Colour spaces known by name rather than by an embedded profile."""

import numpy as np

from core.colorimetry import decode_srgb
from core.profiles import Curve, Floats, MatrixProfile, ProfileError, from_primaries, gamma_curve

D65 = (0.3127, 0.3290)
SRGB_PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
SRGB = MatrixProfile("sRGB", (decode_srgb, decode_srgb, decode_srgb), np.eye(3))

# SMPTE EG 432-1 primaries with the sRGB curve.
P3_PRIMARIES = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
DISPLAY_P3 = from_primaries("Display P3", P3_PRIMARIES, D65, decode_srgb)

# Adobe RGB (1998) Color Image Encoding, 2005-05: gamma 2 + 51/256.
ADOBE_RGB = from_primaries("Adobe RGB (1998)", ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)), D65, gamma_curve(563 / 256))


def from_png_chunks(gamma: float | None, chromaticities: tuple[float, ...] | None) -> MatrixProfile:
    """The space of a PNG's gAMA and cHRM chunks (PNG third edition, 11.3.2): chromaticities are the xy of white, red,
    green and blue. The usual pair stands for sRGB itself. Raises ProfileError when they make no colour space.
    """
    if gamma is not None and not 0.1 <= gamma <= 5.0:
        raise ProfileError(f"a gamma of {gamma:g}")
    # 1/2.2 is what sRGB pictures are marked with for readers without the exact curve (PNG third edition, 11.3.2.5).
    curve = decode_srgb if gamma is None or abs(gamma - 1 / 2.2) < 0.001 else gamma_curve(1.0 / gamma)
    if chromaticities is None:
        return MatrixProfile("the file's own gamma", (curve, curve, curve), np.eye(3))
    points = np.reshape(np.asarray(chromaticities, np.float64), (4, 2))
    return from_primaries("the file's own primaries", points[1:], points[0], curve)


# ITU-T H.273 (2021), table 2: colour primaries, as xy of red, green, blue; white D65.
_H273_PRIMARIES = {
    1: ("sRGB", SRGB_PRIMARIES),
    9: ("BT.2020", ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))),
    12: ("Display P3", P3_PRIMARIES),
}
_REFERENCE_WHITE = 203.0  # cd/m2 of diffuse white in HDR pictures, ITU-R BT.2408


def from_code_points(primaries: int, transfer: int) -> MatrixProfile:
    """The space of ITU-T H.273 code points, as HEIF and AVIF files state it; unspecified is read as sRGB.

    Raises ProfileError for code points without a sensible reading as a photograph.
    """
    if primaries == 2:
        primaries = 1
    if primaries not in _H273_PRIMARIES or transfer not in _H273_CURVES:
        raise ProfileError(f"colour code points {primaries}, {transfer}")
    suffix, curve = _H273_CURVES[transfer]
    name, corners = _H273_PRIMARIES[primaries]
    return from_primaries(name + suffix, corners, D65, curve)


def perceptual_quantizer(signal: Floats) -> Floats:
    """Light of a PQ signal (0-1): SMPTE ST 2084 as in ITU-R BT.2100-2, 1.0 at the HDR reference white of 203 cd/m2."""
    m1, m2 = 2610 / 16384, 2523 / 32
    c1, c2, c3 = 3424 / 4096, 2413 / 128, 2392 / 128
    root = np.asarray(signal, np.float64) ** (1.0 / m2)
    return np.asarray(10000.0 * (np.maximum(root - c1, 0.0) / (c2 - c3 * root)) ** (1.0 / m1) / _REFERENCE_WHITE)


def hybrid_log_gamma(signal: Floats) -> Floats:
    """Light of an HLG signal (0-1), inverse OETF of ITU-R BT.2100-2, shown at 1000 cd/m2 with system gamma 1.2 on
    each channel (exact for neutrals; saturated colours come out a little purer than on an HLG screen)."""
    a, b, c = 0.17883277, 0.28466892, 0.55991073
    x = np.asarray(signal, np.float64)
    scene = np.where(x <= 0.5, x**2 / 3.0, (np.exp((x - c) / a) + b) / 12.0)
    return np.asarray(1000.0 * scene**1.2 / _REFERENCE_WHITE)


# ITU-T H.273 (2021), table 3: transfer characteristics. The video curves (1, 6, 14, 15) are read as phones and
# browsers show stills marked so, with the sRGB curve: common practice, no source.
_H273_CURVES: dict[int, tuple[str, Curve]] = {
    **dict.fromkeys((1, 2, 6, 13, 14, 15), ("", decode_srgb)),
    4: (", gamma 2.2", gamma_curve(2.2)),
    8: (", linear", gamma_curve(1.0)),
    16: (", HDR (PQ)", perceptual_quantizer),
    18: (", HDR (HLG)", hybrid_log_gamma),
}
