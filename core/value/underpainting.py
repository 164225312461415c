"""The reference as an underpainting in one earth: every value kept, the hue that of the earth's tints.

The tints are those of the tubes, each mixed with titanium white in Kubelka and Munk's two constants
(``assets/make_earths.py``). At 450 and 650 nm, at equal reflectance at 550, they are off those of three acrylic earths
(Okumura 2005) by 0.021 in reflectance; but these tubes lie halfway to her figures. By the tubes' model alone, which has
not seen more of them than one strength each, they are off by 0.043, by one constant from the dry powders by 0.069, by
straight averages of powder and white by 0.104. Tubes are approximations: the picture shows the kind of hue, not that of
the painter's own tube.
"""

import json
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.assets import FOLDER
from core.colorimetry import encode_srgb
from core.errors import ValuesError
from core.value.boundaries import WHITE

Floats = NDArray[np.float64]

RAW_UMBER = "raw umber"
_LEVELS = 2001


@dataclass(frozen=True, eq=False)
class Earth:
    """``name`` and ``pigment`` (Colour Index name). ``values``: ``(n,)`` Munsell values from 0 to 10, rising;
    ``tints``: ``(n, 3)`` linear sRGB of the tint of each, of that value's luminance."""

    name: str
    pigment: str
    values: Floats
    tints: Floats


def earths() -> tuple[Earth, ...]:
    """The earths that come with the program, raw umber first."""
    return _earths()


def earth_named(name: str) -> Earth:
    """One of them by its name, in any case. Raises ValuesError with the names there are."""
    found = next((earth for earth in earths() if earth.name.casefold() == name.strip().casefold()), None)
    if found is None:
        raise ValuesError(f"“{name}” is not an earth known here. Choose {', '.join(e.name for e in earths())}.")
    return found


def underpainting(value: NDArray[Any], earth: Earth | None = None) -> NDArray[np.uint8]:
    """``value`` ``(H, W)`` Munsell value as sRGB codes ``(H, W, 3)`` uint8 in tints of ``earth`` (raw umber).

    The value of every place is kept within 0.06 step, what whole codes allow. NaN is painted as 0.
    """
    chosen = earths()[0] if earth is None else earth
    levels = np.linspace(0.0, WHITE, _LEVELS)
    tints = np.stack([np.interp(levels, chosen.values, chosen.tints[:, k]) for k in range(3)], axis=1)
    codes = np.rint(255.0 * encode_srgb(np.clip(tints, 0.0, 1.0))).astype(np.uint8)
    told = np.nan_to_num(np.asarray(value, dtype=np.float32))
    at = (np.clip(told, 0.0, WHITE) * np.float32((_LEVELS - 1) / WHITE) + np.float32(0.5)).astype(np.uint16)
    return np.asarray(codes[at])


@cache
def _earths() -> tuple[Earth, ...]:
    held = json.loads((FOLDER / "earths.json").read_text(encoding="utf-8"))
    values = np.array(held["values"], dtype=np.float64)
    found = [
        Earth(name, each["pigment"], values, np.array(each["linear_srgb"], dtype=np.float64))
        for name, each in held["earths"].items()
    ]
    return tuple(sorted(found, key=lambda earth: earth.name != RAW_UMBER))
