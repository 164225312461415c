"""CIEDE2000 of very many colours from one, in single precision and all but without angles.

Equations 2-22 of Sharma, Wu and Dalal, Color Res. Appl. 30(1), 2005, 21-30, as in
:func:`core.colorimetry.delta_e_2000`. Hues come in as cosines and sines: that of the mean hue is the sum of both
directions, and those of its multiples follow from it. 283 000 colours take 13 ms, in double precision 100 ms.

Within 0.001 for differences under 1; farther off within 0.5 % of the difference, which is met only where two hues lie
half a turn apart, and the formula itself leaps.
"""

import numpy as np
from numpy.typing import NDArray

from core.paint.target import Lab

Singles = NDArray[np.float32]

_AT_ONCE = 16_384
_FAR7 = np.float32(25.0**7)
_TINY = np.float32(1e-12)


def differences(planes: Singles, colour: Lab) -> Singles:
    """``(n,)`` CIEDE2000 of CIELAB ``(3, n)``, L*, a* and b* each in a row, from one colour."""
    found = np.empty(planes.shape[1], np.float32)
    for at in range(0, len(found), _AT_ONCE):
        some = slice(at, at + _AT_ONCE)
        found[some] = _of_few(planes[:, some], *(np.float32(each) for each in colour))
    return found


def _of_few(planes: Singles, light: np.float32, a: np.float32, b: np.float32) -> Singles:
    other_light, other_a, other_b = planes
    grown = 1.5 - 0.5 * _strong((np.hypot(a, b) + np.sqrt(other_a * other_a + other_b * other_b)) / 2)
    a1, a2 = grown * a, grown * other_a
    c1, c2 = np.sqrt(a1 * a1 + b * b), np.sqrt(a2 * a2 + other_b * other_b)
    mean, chroma = (c1 + c2) / 2, c2 - c1
    # Not from both chromas and their product, which loses the digits of a small difference of hue.
    hue = np.sqrt(np.maximum((a2 - a1) ** 2 + (other_b - b) ** 2 - chroma * chroma, 0))
    hue = np.copysign(hue, a1 * other_b - b * a2)
    weight, turned = _by_hue(a1 * c2 + a2 * c1, b * c2 + other_b * c1, mean)
    middle = ((other_light + light) / 2 - 50) ** 2
    light_term = (other_light - light) / (1 + np.float32(0.015) * middle / np.sqrt(20 + middle))
    chroma_term = chroma / (1 + np.float32(0.045) * mean)
    hue_term = hue / (1 + np.float32(0.015) * mean * weight)
    squared = (
        light_term * light_term + chroma_term * chroma_term + hue_term * hue_term + turned * chroma_term * hue_term
    )
    return np.asarray(np.sqrt(np.maximum(squared, 0)))


def _by_hue(x: Singles, y: Singles, chroma: Singles) -> tuple[Singles, Singles]:
    """T and RT of the mean hue, which lies in direction ``x``, ``y``."""
    length = np.sqrt(x * x + y * y) + _TINY
    cos, sin = x / length, y / length
    cos2, sin2 = 2 * cos * cos - 1, 2 * sin * cos
    cos3, sin3 = cos2 * cos - sin2 * sin, sin2 * cos + cos2 * sin
    cos4, sin4 = 2 * cos2 * cos2 - 1, 2 * sin2 * cos2
    weight = 1 + np.float32(0.24) * cos2
    for size, degrees, x_part, y_part in ((-0.17, 30.0, cos, sin), (0.32, -6.0, cos3, sin3), (-0.20, 63.0, cos4, sin4)):
        turn = np.radians(degrees)
        weight += np.float32(size * np.cos(turn)) * x_part + np.float32(size * np.sin(turn)) * y_part
    blue_x, blue_y = (np.float32(part) for part in (np.cos(np.radians(275.0)), np.sin(np.radians(275.0))))
    from_blue = np.arctan2(sin * blue_x - cos * blue_y, cos * blue_x + sin * blue_y) / np.float32(np.radians(25.0))
    rotation = np.float32(np.radians(60.0)) * np.exp(-from_blue * from_blue)
    return weight, -2 * np.sin(rotation) * _strong(chroma)


def _strong(chroma: Singles) -> Singles:
    squared = chroma * chroma
    power = squared * squared * squared * chroma
    return np.asarray(np.sqrt(power / (power + _FAR7)))
