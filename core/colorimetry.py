"""Linear light, luminance, lightness, Munsell value, CIELAB and CIEDE2000.

Exact formulas in float64, after the published standards; :mod:`core.tone` has the fast route for whole pictures.
All colours are relative to D65 (x 0.3127, y 0.3290), 2 degree observer; ``Y`` is 0-1 with 1 the perfect diffuser.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

# IEC 61966-2-1:1999, primaries (0.64, 0.33) (0.30, 0.60) (0.15, 0.06), white D65; derived, not the rounded
# 4-digit table, so that equal amounts of red, green and blue are exactly neutral.
RGB_TO_XYZ = np.array(
    [
        [0.4123907992659595, 0.3575843393838780, 0.1804807884018343],
        [0.2126390058715104, 0.7151686787677559, 0.0721923153607337],
        [0.0193308187155918, 0.1191947797946259, 0.9505321522496608],
    ]
)
XYZ_TO_RGB = np.linalg.inv(RGB_TO_XYZ)
LUMINANCE = RGB_TO_XYZ[1]
WHITE = RGB_TO_XYZ.sum(axis=1)

# ASTM D1535-08e1, equation 2: per cent luminance (Y) of Munsell value V, lowest power first.
D1535 = np.array([0.0, 1.1914, -0.22533, 0.23352, -0.020484, 0.00081939])
_D1535_SLOPE = D1535[1:] * np.arange(1, 6)


def decode_srgb(encoded: ArrayLike) -> Floats:
    """Linear light of sRGB-encoded numbers, 0-1 (IEC 61966-2-1). Any shape; mirrored about 0 for numbers outside."""
    v = np.asarray(encoded, dtype=np.float64)
    size = np.abs(v)
    return np.asarray(np.sign(v) * np.where(size <= 0.04045, size / 12.92, ((size + 0.055) / 1.055) ** 2.4))


def encode_srgb(linear: ArrayLike) -> Floats:
    """sRGB-encoded numbers of linear light, 0-1 (IEC 61966-2-1). Any shape; mirrored about 0."""
    light = np.asarray(linear, dtype=np.float64)
    size = np.abs(light)
    return np.asarray(np.sign(light) * np.where(size <= 0.0031308, 12.92 * size, 1.055 * size ** (1 / 2.4) - 0.055))


def luminance(linear_rgb: ArrayLike) -> Floats:
    """Relative luminance Y of linear RGB ``(..., 3)``; result ``(...)``, 1 at white."""
    return np.asarray(_rgb(linear_rgb) @ LUMINANCE)


def xyz(linear_rgb: ArrayLike) -> Floats:
    """CIE XYZ ``(..., 3)`` of linear RGB ``(..., 3)``, Y = 1 at white."""
    return np.asarray(_rgb(linear_rgb) @ RGB_TO_XYZ.T)


def rgb_from_xyz(tristimulus: ArrayLike) -> Floats:
    """Linear RGB ``(..., 3)`` of CIE XYZ ``(..., 3)``; numbers outside 0-1 are outside the sRGB gamut."""
    return np.asarray(_rgb(tristimulus) @ XYZ_TO_RGB.T)


def lightness(y: ArrayLike) -> Floats:
    """CIE 1976 lightness L* (0-100) of luminance Y (0-1): ISO/CIE 11664-4:2019."""
    return np.asarray(116.0 * _cube_root_curve(np.asarray(y, dtype=np.float64)) - 16.0)


def luminance_of_lightness(l_star: ArrayLike) -> Floats:
    """Luminance Y (0-1) of CIE lightness L* (0-100)."""
    return _cube_curve((np.asarray(l_star, dtype=np.float64) + 16.0) / 116.0)


def luminance_of_value(value: ArrayLike) -> Floats:
    """Luminance Y (0-1, perfect diffuser) of Munsell value V: ASTM D1535-08e1 equation 2."""
    return np.asarray(np.polynomial.polynomial.polyval(np.asarray(value, dtype=np.float64), D1535) / 100.0)


def munsell_value(y: ArrayLike) -> Floats:
    """Munsell value V of luminance Y (0-1): ASTM D1535 solved to 1e-9.

    Negative light reads 0; above 1 the curve goes on (lighter than the perfect diffuser: glare or over-exposure),
    up to V = 15. NaN stays NaN.
    """
    percent = 100.0 * np.clip(np.asarray(y, dtype=np.float64), 0.0, _Y_KNOTS[-1])
    v = np.interp(percent, 100.0 * _Y_KNOTS, _V_KNOTS)
    for _ in range(3):
        slope = np.polynomial.polynomial.polyval(v, _D1535_SLOPE)
        v = v - (np.polynomial.polynomial.polyval(v, D1535) - percent) / slope
    return np.asarray(np.maximum(v, 0.0))


def lab(linear_rgb: ArrayLike) -> Floats:
    """CIELAB ``(..., 3)`` (L* 0-100, a*, b*) of linear RGB ``(..., 3)``, D65."""
    return lab_from_xyz(xyz(linear_rgb))


def lab_from_xyz(tristimulus: ArrayLike, white: ArrayLike = WHITE) -> Floats:
    """CIELAB of XYZ ``(..., 3)`` relative to ``white`` (both on the same scale): ISO/CIE 11664-4:2019."""
    f = _cube_root_curve(_rgb(tristimulus) / np.asarray(white, dtype=np.float64))
    return np.stack(
        [116.0 * f[..., 1] - 16.0, 500.0 * (f[..., 0] - f[..., 1]), 200.0 * (f[..., 1] - f[..., 2])], axis=-1
    )


def xyz_from_lab(lab_colour: ArrayLike, white: ArrayLike = WHITE) -> Floats:
    """CIE XYZ ``(..., 3)`` of CIELAB ``(..., 3)``."""
    colour = _rgb(lab_colour)
    fy = (colour[..., 0] + 16.0) / 116.0
    f = np.stack([fy + colour[..., 1] / 500.0, fy, fy - colour[..., 2] / 200.0], axis=-1)
    return np.asarray(_cube_curve(f) * np.asarray(white, dtype=np.float64))


WARM_HUE_DEG = 50.0
"""Hue of CIELAB (D65) towards which colours are warm: Ou, Luo, Woodcock and Wright, Color Res. Appl. 29(3), 2004."""
TO_WARM = (float(np.cos(np.radians(WARM_HUE_DEG))), float(np.sin(np.radians(WARM_HUE_DEG))))


def warmth_of_lab(lab_colour: ArrayLike) -> Floats:
    """T ``(…)`` of CIELAB ``(…, 3)``: a* cos 50° + b* sin 50°. A neutral is 0, lightness plays no part."""
    colour = np.asarray(lab_colour, dtype=np.float64)
    return np.asarray(colour[..., 1] * TO_WARM[0] + colour[..., 2] * TO_WARM[1])


def delta_e_76(lab_1: ArrayLike, lab_2: ArrayLike) -> Floats:
    """CIE 1976 colour difference of two CIELAB colours ``(..., 3)``."""
    return np.asarray(np.linalg.norm(_rgb(lab_1) - _rgb(lab_2), axis=-1))


def delta_e_2000(lab_1: ArrayLike, lab_2: ArrayLike) -> Floats:
    """CIEDE2000 of two CIELAB colours ``(..., 3)``, kL = kC = kH = 1: ISO/CIE 11664-6:2014, written as in
    Sharma, Wu and Dalal, Color Res. Appl. 30(1), 2005, 21-30 (equations 2-22)."""
    l1, a1, b1 = np.moveaxis(_rgb(lab_1), -1, 0)
    l2, a2, b2 = np.moveaxis(_rgb(lab_2), -1, 0)
    mean_c7 = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2.0) ** 7
    g = 0.5 * (1.0 - np.sqrt(mean_c7 / (mean_c7 + 25.0**7)))
    a1, a2 = (1.0 + g) * a1, (1.0 + g) * a2
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1, h2 = np.degrees(np.arctan2(b1, a1)) % 360.0, np.degrees(np.arctan2(b2, a2)) % 360.0

    grey = c1 * c2 == 0.0
    turn = h2 - h1
    turn = np.where(turn > 180.0, turn - 360.0, np.where(turn < -180.0, turn + 360.0, turn))
    turn = np.where(grey, 0.0, turn)
    dl, dc = l2 - l1, c2 - c1
    dh = 2.0 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2.0))

    l_mean, c_mean, h_sum = (l1 + l2) / 2.0, (c1 + c2) / 2.0, h1 + h2
    across = np.where(h_sum < 360.0, (h_sum + 360.0) / 2.0, (h_sum - 360.0) / 2.0)
    h_mean = np.where(grey, h_sum, np.where(np.abs(h1 - h2) <= 180.0, h_sum / 2.0, across))
    t = (
        1.0
        - 0.17 * _cos(h_mean - 30.0)
        + 0.24 * _cos(2.0 * h_mean)
        + 0.32 * _cos(3.0 * h_mean + 6.0)
        - 0.20 * _cos(4.0 * h_mean - 63.0)
    )
    rotation = 30.0 * np.exp(-(((h_mean - 275.0) / 25.0) ** 2))
    rc = 2.0 * np.sqrt(c_mean**7 / (c_mean**7 + 25.0**7))
    sl = 1.0 + 0.015 * (l_mean - 50.0) ** 2 / np.sqrt(20.0 + (l_mean - 50.0) ** 2)
    sc, sh = 1.0 + 0.045 * c_mean, 1.0 + 0.015 * c_mean * t
    rt = -np.sin(np.radians(2.0 * rotation)) * rc
    l_term, c_term, h_term = dl / sl, dc / sc, dh / sh
    return np.asarray(np.sqrt(l_term**2 + c_term**2 + h_term**2 + rt * c_term * h_term))


def _rgb(colour: ArrayLike) -> Floats:
    array = np.asarray(colour, dtype=np.float64)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ValueError(f"expected three channels on the last axis, got shape {array.shape}")
    return array


def _cube_root_curve(t: Floats) -> Floats:
    return np.where(t > (6 / 29) ** 3, np.cbrt(t), (841 / 108) * t + 4 / 29)


def _cube_curve(f: Floats) -> Floats:
    return np.where(f > 6 / 29, f**3, (108 / 841) * (f - 4 / 29))


def _cos(degrees: Any) -> Any:
    return np.cos(np.radians(degrees))


_V_KNOTS = np.linspace(0.0, 15.0, 3001)
_Y_KNOTS = luminance_of_value(_V_KNOTS)
