"""White balance for the temperature question: from a neutral that the painter points at, from light already taken out,
or none; and the colour temperature of a neutral.

A white-balance error moves T by much, and by more the lighter a place is: 800 K about 6500 K moves white by 7 and a
dark of L* 20 by 2. Differences between places of like lightness survive it; what is left is told as doubt.
"""

import warnings
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import LUMINANCE, lab, rgb_from_xyz, warmth_of_lab, xyz
from core.disc import disc_of
from core.errors import PainterError

Floats = NDArray[np.float64]

WHITE_KELVIN = 6504.0
"""Correlated colour temperature of D65, to which the pictures are balanced."""
UNKNOWN_KELVIN, KNOWN_KELVIN = 800.0, 150.0
"""Plus or minus, nine times in ten, of a photo's own white balance and of one by a grey; ours."""
_RADIUS_MM = 2.0
_DARKEST, _LIGHTEST, _MOST_CHROMA = 0.02, 0.98, 45.0
_MOST_DUV = 0.05
_MOST_KELVIN = 2000.0
_COOLEST_KELVIN, _WARMEST_KELVIN = 1000.0, 25000.0


class Source(StrEnum):
    """What the white balance is known by."""

    GREY = "grey"
    LIGHT = "light"
    NONE = "none"


@dataclass(frozen=True)
class Balance:
    """``gains``: what the linear light of each channel is multiplied by; ``kelvin``: plus or minus, nine times in
    ten, that the balance may still be off, about 6500 K. ValueError unless that is 0 to 2000."""

    gains: tuple[float, float, float] = (1.0, 1.0, 1.0)
    source: Source = Source.NONE
    kelvin: float = UNKNOWN_KELVIN

    def __post_init__(self) -> None:
        if not 0 <= self.kelvin <= _MOST_KELVIN:
            raise ValueError(f"a white balance is off by 0 to {_MOST_KELVIN:.0f} K, got {self.kelvin}")

    @property
    def absolute(self) -> bool:
        """Whether T itself may be shown; if not, only relations between places are."""
        return self.source is not Source.NONE

    @property
    def note(self) -> str:
        """A sentence for the painter; empty where the balance is known."""
        if self.absolute:
            return ""
        return (
            "The white balance of this photograph is not known: only relations between passages are told. "
            "Point at a neutral grey to know more."
        )

    def apply(self, linear: NDArray[Any]) -> NDArray[np.float32]:
        """``(..., 3)`` linear light, balanced."""
        return np.asarray(linear, dtype=np.float32) * np.asarray(self.gains, dtype=np.float32)

    def doubt(self, one: ArrayLike, other: ArrayLike | None = None) -> float:
        """By how much T of linear light ``one`` ``(3,)``, or its difference from ``other``, may be off, nine times in
        ten."""
        shifts = [
            _shift(one, gains) - (0.0 if other is None else _shift(other, gains))
            for gains in (balance_error(-self.kelvin), balance_error(self.kelvin))
        ]
        return max(abs(shift) for shift in shifts)


UNBALANCED = Balance()
BY_LIGHT = Balance(source=Source.LIGHT, kelvin=KNOWN_KELVIN)


def balance_by_neutral(
    linear: NDArray[Any], x_mm: float, y_mm: float, *, px_per_mm: float, radius_mm: float = _RADIUS_MM
) -> Balance:
    """The balance that makes a place of ``linear`` ``(H, W, 3)`` neutral, its luminance kept.

    PainterError when the place cannot be read or is not a usable neutral.
    """
    light = neutral_light(linear, x_mm, y_mm, px_per_mm=px_per_mm, radius_mm=radius_mm)
    red, green, blue = (float(light @ LUMINANCE) / light).tolist()
    return Balance((red, green, blue), Source.GREY, KNOWN_KELVIN)


def neutral_light(
    linear: NDArray[Any], x_mm: float, y_mm: float, *, px_per_mm: float, radius_mm: float = _RADIUS_MM
) -> Floats:
    """Linear light ``(3,)`` of a place pointed at as neutral. PainterError when it is none."""
    disc = disc_of(linear, x_mm, y_mm, radius_mm, px_per_mm=px_per_mm)
    if disc is None:
        raise PainterError("That place cannot be read. Point at a grey or white inside the picture, away from glare.")
    light = disc.mean
    if np.median(disc.pixels.max(axis=1)) > _LIGHTEST:
        raise PainterError("That place is burnt out. Point at a neutral that is not quite white.")
    if light @ LUMINANCE < _DARKEST or light.min() <= 0:
        raise PainterError("That place is too dark to balance by. Point at a lighter neutral.")
    if float(np.hypot(*lab(light)[1:])) > _MOST_CHROMA:
        raise PainterError("That place is too strongly coloured to be a neutral. Point at a grey or a white.")
    return light


@dataclass(frozen=True)
class ColourTemperature:
    """``kelvin``: correlated colour temperature, and ``duv``: distance from the Planckian locus (above 0: greenish),
    after Ohno, *Practical use and calculation of CCT and Duv*, LEUKOS 10(1), 2013, 47-55. ``mccamy_kelvin``: McCamy,
    *Correlated color temperature as an explicit function of chromaticity coordinates*, Color Res. Appl. 17(2), 1992,
    142-144. Both None where the light is too far from the locus (0.05 in u, v) to have one, or beyond 1000-25000 K."""

    kelvin: float | None
    duv: float
    mccamy_kelvin: float | None

    def say(self) -> str:
        """Such as ``4200 K, a little greenish``."""
        if self.kelvin is None:
            return "The colour of this light is too far from that of any daylight or lamp to be told in kelvin."
        lean = "" if abs(self.duv) < 0.006 else ", greenish" if self.duv > 0 else ", pinkish"
        return f"{round(self.kelvin, -2 if self.kelvin >= 3000 else -1):.0f} K{lean}"


def colour_temperature(linear_rgb: ArrayLike) -> ColourTemperature:
    """Colour temperature of the linear light ``(3,)`` of a neutral. ValueError for black."""
    light = xyz(linear_rgb)
    if not (np.isfinite(light).all() and light.sum() > 0):
        raise ValueError(f"black or unknown light has no colour temperature, got {np.asarray(linear_rgb)}")
    return of_chromaticity(float(light[0] / light.sum()), float(light[1] / light.sum()))


def of_chromaticity(x: float, y: float) -> ColourTemperature:
    """Colour temperature at CIE 1931 chromaticity ``x, y``."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour.temperature import uv_to_CCT_Ohno2013, xy_to_CCT_McCamy1992
    total = -2 * x + 12 * y + 3
    kelvin, duv = (float(v) for v in uv_to_CCT_Ohno2013(np.array([4 * x / total, 6 * y / total])))
    if abs(duv) > _MOST_DUV or not _COOLEST_KELVIN <= kelvin <= _WARMEST_KELVIN:
        return ColourTemperature(None, duv, None)
    return ColourTemperature(kelvin, duv, float(xy_to_CCT_McCamy1992(np.array([x, y]))))


def daylight_xy(kelvin: float) -> tuple[float, float]:
    """Chromaticity of CIE daylight, 4000-25000 K: CIE 15:2018, equations 4.7 to 4.9. ValueError outside."""
    if not 4000 <= kelvin <= 25000:
        raise ValueError(f"CIE daylight goes from 4000 to 25000 K, got {kelvin}")
    warm = kelvin <= 7000
    powers = (0.244063, 0.09911e3, 2.9678e6, -4.6070e9) if warm else (0.237040, 0.24748e3, 1.9018e6, -2.0064e9)
    x = sum(weight / kelvin**k for k, weight in enumerate(powers))
    return x, -3.000 * x * x + 2.870 * x - 0.275


def balance_error(kelvin: float) -> Floats:
    """Gains a channel ``(3,)`` of a white balance that is off by so many kelvin from D65's, luminance of white kept."""
    lights = [
        rgb_from_xyz([x / y, 1.0, (1 - x - y) / y]) for x, y in map(daylight_xy, (WHITE_KELVIN, WHITE_KELVIN + kelvin))
    ]
    gains = lights[1] / lights[0]
    return np.asarray(gains / (gains @ LUMINANCE))


def _shift(linear_rgb: ArrayLike, gains: Floats) -> float:
    light = np.asarray(linear_rgb, dtype=np.float64)
    return float(warmth_of_lab(lab(light * gains)) - warmth_of_lab(lab(light)))
