"""A colour to be mixed: CIELAB under D65, from light of a picture, from a hex code, or given.

Linear light is in the sRGB primaries with 1 the perfect diffuser, as the reference has it. T is warmth on the axis of
Ou, Luo, Woodcock and Wright, Color Res. Appl. 29(3), 2004, 232-240: a* cos 50° + b* sin 50°, a neutral is 0.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import (
    decode_srgb,
    encode_srgb,
    lab,
    luminance_of_lightness,
    munsell_value,
    rgb_from_xyz,
    warmth_of_lab,
    xyz_from_lab,
)
from core.errors import PaintError

Floats = NDArray[np.float64]
Lab = tuple[float, float, float]

_ROUNDING = 1e-4
"""Linear light so far outside 0-1 is taken as rounding of a colour on the rim of sRGB."""
_HEX = re.compile(r"#?([0-9a-f]{6}|[0-9a-f]{3})", re.IGNORECASE)


def value_of(colour: ArrayLike) -> Floats:
    """Munsell value ``(…)`` of CIELAB ``(…, 3)``, by its luminance (ASTM D1535)."""
    return munsell_value(luminance_of_lightness(np.asarray(colour, dtype=np.float64)[..., 0]))


@dataclass(frozen=True)
class Target:
    """``lab``: L* 0-100, a*, b* under D65. Raises PaintError unless these are numbers, and no lighter than white paper
    can be (L* from 0 to 100)."""

    lab: Lab

    def __post_init__(self) -> None:
        told = np.asarray(self.lab, dtype=np.float64)
        if told.shape != (3,) or not np.all(np.isfinite(told)):
            raise PaintError("A colour in CIELAB is three numbers: L*, a* and b*. Give all three.")
        if not -1e-6 <= told[0] <= 100.01:
            raise PaintError(f"Lightness L* is from 0 (black) to 100 (white), and {told[0]:.4g} is not. Give another.")
        object.__setattr__(self, "lab", tuple(told.tolist()))

    @classmethod
    def of_lab(cls, colour: Sequence[float] | Floats, *, within_srgb: bool = True) -> Self:
        """Of L*, a*, b* under D65. Raises PaintError for what is no colour, or, unless ``within_srgb`` is off, lies
        outside sRGB: strong yellows and blues of the tube do, and have no exact likeness on the screen."""
        found = cls(tuple(float(each) for each in colour))  # type: ignore[arg-type]
        light = np.array(found.linear_rgb)
        if within_srgb and not _inside(light):
            raise PaintError("That colour lies outside sRGB, so no screen shows it. Choose one that is less strong.")
        return found

    @classmethod
    def of_linear(cls, light: Sequence[float] | Floats, *, within_srgb: bool = True) -> Self:
        """Of linear light in the sRGB primaries, 0-1; otherwise as :meth:`of_lab`."""
        told = np.asarray(light, dtype=np.float64)
        if told.shape != (3,) or not np.all(np.isfinite(told)):
            raise PaintError("A colour is red, green and blue light, a number for each. Give all three.")
        if within_srgb and not _inside(told):
            raise PaintError("That colour lies outside sRGB: its light is from 0 to 1 in red, green and blue.")
        return cls(tuple(lab(np.clip(told, 0.0, 1.0) if within_srgb else told).tolist()))

    @classmethod
    def of_hex(cls, code: str) -> Self:
        """Of an sRGB code as ``#c9b79c``, ``c9b79c`` or ``#cba``. Raises PaintError for anything else."""
        found = _HEX.fullmatch(code.strip())
        if found is None:
            raise PaintError(f"“{code}” is no colour code. Write six digits from 0 to f, as in #c9b79c.")
        digits = found[1] if len(found[1]) == 6 else "".join(2 * digit for digit in found[1])
        codes = np.array([int(digits[at : at + 2], 16) for at in (0, 2, 4)])
        return cls.of_linear(decode_srgb(codes / 255.0))

    @property
    def linear_rgb(self) -> tuple[float, float, float]:
        """Linear light in the sRGB primaries, not clipped."""
        red, green, blue = rgb_from_xyz(xyz_from_lab(self.lab)).tolist()
        return red, green, blue

    @property
    def hex(self) -> str:
        """Its sRGB code, clipped to sRGB."""
        codes = np.rint(255.0 * encode_srgb(np.clip(self.linear_rgb, 0.0, 1.0))).astype(int)
        return "#" + "".join(f"{code:02x}" for code in codes)

    @property
    def value(self) -> float:
        """Munsell value, 0-10."""
        return float(value_of(self.lab))

    @property
    def warmth(self) -> float:
        """T."""
        return float(warmth_of_lab(self.lab))

    @property
    def chroma(self) -> float:
        """CIELAB chroma C*."""
        return float(np.hypot(self.lab[1], self.lab[2]))


def _inside(light: Floats) -> bool:
    return bool(np.all((light >= -_ROUNDING) & (light <= 1.0 + _ROUNDING)))
