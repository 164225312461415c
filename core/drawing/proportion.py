"""Lengths, leans and proportions between points of the canvas face, as taken with dividers and a plumb line.

Points are mm on the canvas, x right, y down. An uncertainty is one standard deviation. Points known to ``u`` mm RMS,
both directions together, as :class:`core.canvas.locate` states it, are known to u / √2 along any one line; the distance
of two of them, wrong independently, is therefore known to u itself, and the lean to u / length (GUM, JCGM 100:2008,
5.1.2, law of propagation). Neighbouring points are wrong alike, so this errs on the safe side.
"""

import math
from dataclasses import dataclass
from functools import cached_property

from core.size import MM_PER_INCH

Point = tuple[float, float]

HANDY_TOLERANCE = 0.01
MOST_HANDY = 12
"""Ratios are given in whole numbers up to here, within a hundredth: common practice with dividers, no source."""

DIGITS = {"mm": 1, "cm": 2, "in": 2}
"""Decimals in which lengths are told in each unit: a tenth of a millimetre, or the nearest to it."""

MM_PER = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH}

_SHORTEST_MM = 1e-6
_TENTHS_BELOW_DEG = 0.1  # a lean known this well is told to a tenth of a degree, else to whole ones


@dataclass(frozen=True)
class Span:
    """From one point of the canvas to another. Raises ValueError when a coordinate is not finite."""

    start: Point
    end: Point

    def __post_init__(self) -> None:
        if not all(math.isfinite(each) for each in (*self.start, *self.end)):
            raise ValueError("A span's points must be finite.")

    @cached_property
    def across_mm(self) -> float:
        """How far the end lies to the right of the start; negative to the left."""
        return self.end[0] - self.start[0]

    @cached_property
    def down_mm(self) -> float:
        """How far the end lies below the start; negative above."""
        return self.end[1] - self.start[1]

    @cached_property
    def length_mm(self) -> float:
        return math.hypot(self.across_mm, self.down_mm)

    @cached_property
    def lean_deg(self) -> float | None:
        """Angle to plumb in (-90, 90]: 0 plumb, 90 level, positive when the upper end is to the right.

        It is the same from either end; None for a span without length.
        """
        if self.length_mm < _SHORTEST_MM:
            return None
        across, up = self.across_mm, -self.down_mm
        if up < 0.0 or (up == 0.0 and across < 0.0):
            across, up = -across, -up
        return math.degrees(math.atan2(across, up))

    def lean_uncertainty_deg(self, place_uncertainty_mm: float) -> float:
        """How well the lean is known when the places are known to so many mm; 90 when nothing is known of it."""
        if self.length_mm <= place_uncertainty_mm:
            return 90.0
        return math.degrees(math.asin(place_uncertainty_mm / self.length_mm))


def lean_words(span: Span, *, place_uncertainty_mm: float | None = None) -> str:
    """Such as ``leans 12° to the right of plumb``, ``rises 8° from level to the left``, ``plumb`` or ``level``.

    Steeper than 45° is told from plumb, flatter from level. Told to a tenth of a degree where the places are known well
    enough for it, else to a whole one; what cannot be told from plumb or level is called so.
    """
    lean = span.lean_deg
    if lean is None:
        return "no length"
    sure = None if place_uncertainty_mm is None else span.lean_uncertainty_deg(place_uncertainty_mm)
    if sure is not None and sure >= 45.0:
        return "too short to tell its lean"
    steep = abs(lean) <= 45.0
    off = abs(lean) if steep else 90.0 - abs(lean)
    digits = 1 if sure is not None and sure < _TENTHS_BELOW_DEG else 0
    off_by = round(off, digits)
    side = "right" if lean > 0 else "left"
    if off_by == 0 or (sure is not None and off < sure):
        return "plumb" if steep else "level"
    return f"leans {off_by:g}° to the {side} of plumb" if steep else f"rises {off_by:g}° from level to the {side}"


def length_words(mm: float, unit: str = "mm", *, uncertainty_mm: float | None = None) -> str:
    """Such as ``84.3 mm``, ``8.43 cm``, ``3.32 in`` or ``8.43 ± 0.04 cm``; less than 1 cm is told in mm.

    An uncertainty is never told as less than the last decimal. Raises KeyError for another unit than mm, cm or in.
    """
    if unit == "cm" and abs(mm) < MM_PER["cm"]:
        unit = "mm"
    digits, per = DIGITS[unit], MM_PER[unit]
    number = f"{mm / per:.{digits}f}"
    if uncertainty_mm is not None:
        number += f" ± {max(uncertainty_mm / per, 10.0**-digits):.{digits}f}"
    return f"{number} {unit}"


@dataclass(frozen=True)
class Ratio:
    """One length in terms of another; ``uncertainty`` None when that of the lengths is not known."""

    value: float
    uncertainty: float | None = None


def ratio(
    length_mm: float,
    unit_mm: float,
    *,
    length_uncertainty_mm: float | None = None,
    unit_uncertainty_mm: float | None = None,
) -> Ratio:
    """How often ``unit_mm`` goes into ``length_mm``. Relative uncertainties add in squares (GUM 5.1.6).

    The uncertainty is told when either is known; one that is not counts as none. Raises ValueError unless the unit is
    more than 0 and both are finite.
    """
    if not (math.isfinite(length_mm) and math.isfinite(unit_mm) and length_mm >= 0.0 and unit_mm > 0.0):
        raise ValueError("A ratio needs a length and a unit of more than 0 mm.")
    value = length_mm / unit_mm
    if length_uncertainty_mm is None and unit_uncertainty_mm is None:
        return Ratio(value)
    return Ratio(value, math.hypot((length_uncertainty_mm or 0.0), value * (unit_uncertainty_mm or 0.0)) / unit_mm)


def in_units(found: Ratio, name: str) -> str:
    """Such as ``2.4 heads``, ``1 head``, ``2.40 ± 0.05 heads``, ``0.38 × width of the jug``.

    Told to a hundredth below 10, else to a tenth; with an uncertainty, to as many digits as that supports.
    """
    if found.uncertainty is None:
        number = f"{found.value:.2f}" if found.value < 9.995 else f"{found.value:.1f}"
        number = number.rstrip("0").rstrip(".") if float(number) == round(float(number)) else number
    else:
        known = max(found.uncertainty, 0.005)
        digits = min(max(math.ceil(-math.log10(known)), 0), 2)
        number = f"{found.value:.{digits}f} ± {known:.{digits}f}"
    if " " in name.strip():
        return f"{number} × {name.strip()}"
    return f"{number} {name.strip() if number == '1' else _plural(name.strip())}"


@dataclass(frozen=True)
class HandyRatio:
    """``first`` : ``second`` in lowest terms; ``miss``: how much larger it is than the true ratio, as a share of it."""

    first: int
    second: int
    miss: float


def handy_ratio(
    one: float, other: float, *, tolerance: float = HANDY_TOLERANCE, most: int = MOST_HANDY
) -> HandyRatio | None:
    """The simplest ratio of two lengths in whole numbers up to ``most``; None when none is within ``tolerance``.

    The simplest is the first met on the way down the Stern–Brocot tree (Graham, Knuth and Patashnik, Concrete
    Mathematics, 4.5), which has the smallest terms of all that are near enough: near enough means that neither is
    larger than the other by more than ``tolerance``, as a share. Raises ValueError unless both lengths are more than 0.
    """
    if not (one > 0.0 and other > 0.0 and math.isfinite(one) and math.isfinite(other)):
        raise ValueError("A ratio needs two lengths of more than 0 mm.")
    true = one / other
    low, high = (0, 1), (1, 0)
    while True:
        first, second = low[0] + high[0], low[1] + high[1]
        if first > most or second > most:
            return None
        here = first / second
        if max(here, true) <= min(here, true) * (1.0 + tolerance):
            return HandyRatio(first, second, here / true - 1.0)
        if here < true:
            low = (first, second)
        else:
            high = (first, second)


def handy_words(found: HandyRatio, *, relative_uncertainty: float = 0.0) -> str:
    """Such as ``5 : 3, within 1 %``: how far off the true ratio can be, whole percent, rounded up, at least 1."""
    percent = max(1, math.ceil(100.0 * (abs(found.miss) + relative_uncertainty) - 1e-9))
    return f"{found.first} : {found.second}, within {percent} %"


_IRREGULAR = {"foot": "feet", "tooth": "teeth", "leaf": "leaves", "loaf": "loaves", "knife": "knives", "half": "halves"}


def _plural(word: str) -> str:
    if word.lower() in _IRREGULAR:
        return _IRREGULAR[word.lower()]
    if word.endswith(("s", "x", "z", "ch", "sh")):
        return f"{word}es"
    if word.endswith("y") and word[-2:-1] not in ("", "a", "e", "i", "o", "u"):
        return f"{word[:-1]}ies"
    return f"{word}s"
