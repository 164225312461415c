"""Pins: the warmth read at a few places, two of them compared, and a chain of them from warm to cool."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import lab, warmth_of_lab
from core.disc import Disc, Mask, disc_of
from core.temperature.neutral import Balance
from core.temperature.warmth import USUAL_WORDS, WarmthWords
from core.words import signed

RADIUS_MM = 3.0
_LEAST = 0.2
"""What 8-bit codes leave of sureness, however even the paint."""
_STUDENT = (6.31, 6.31, 2.92, 2.35)
"""Student's t, nine times in ten, for 1 to 3 degrees of freedom; the first is not used."""
_TIED = 1.3
"""Neighbouring sectors share brush marks; found on known truth."""


@dataclass(frozen=True)
class Pin:
    """What was read at one place: ``warmth`` T with ``uncertainty`` plus or minus, nine times in ten (brush marks,
    weave and noise; not the white balance); ``light``: mean linear light; ``lab``: its CIELAB; ``known``: share of the
    disc that could be judged."""

    x_mm: float
    y_mm: float
    name: str
    warmth: float
    uncertainty: float
    light: tuple[float, float, float]
    lab: tuple[float, float, float]
    known: float


@dataclass(frozen=True)
class Relation:
    """One pin against another: ``difference`` of T (above 0: the first is warmer), plus or minus ``uncertainty``."""

    one: str
    other: str
    difference: float
    uncertainty: float
    words: WarmthWords = USUAL_WORDS

    @property
    def word(self) -> str:
        return self.words.word(self.difference)

    @property
    def sure(self) -> bool:
        """Whether the sign is beyond doubt."""
        return abs(self.difference) > self.uncertainty

    def say(self) -> str:
        """Such as ``jug: warmer than the wall by 6 ± 1 (warmer)``."""
        within = f"± {max(0.5, self.uncertainty):.1f}" if self.uncertainty < 1 else f"± {self.uncertainty:.0f}"
        named = f"{self.one}: " if self.one else ""
        if abs(self.difference) < self.words.same and self.uncertainty < self.words.touch:
            return (
                f"{named}the same as {self.other}, to within {self.words.same:g} ({signed(self.difference)} {within})"
            )
        if not self.sure:
            return f"{named}cannot be told from {self.other} ({signed(self.difference)} {within})"
        way = "warmer" if self.difference > 0 else "cooler"
        return f"{named}{way} than {self.other} by {abs(self.difference):.0f} {within} ({self.word})"


@dataclass(frozen=True)
class Chain:
    """Pins from warm to cool; ``relations``: of each against the next."""

    pins: tuple[Pin, ...]
    relations: tuple[Relation, ...]


def read_pin(
    linear: NDArray[Any],
    x_mm: float,
    y_mm: float,
    *,
    px_per_mm: float,
    radius_mm: float = RADIUS_MM,
    withheld: Mask | None = None,
    name: str = "",
) -> Pin | None:
    """Read linear light ``(H, W, 3)`` (balanced, NaN: withheld) in a disc about a point of the canvas.

    The uncertainty is that of the means of four sectors, since the pixels of one brush mark are one sample. Of 450
    discs of painted passages of one T, 92 % lie within it of that T with marks of 0.5 mm, 80 % with marks of 1 mm, and
    61 % with marks of 2 mm, which hardly fit the disc (of 450 kept apart 91, 81 and 60 %). By the scatter of pixels it
    is 16, 8 and 4 %.

    None where the point lies outside or less than half of the disc is known. ValueError when a size is not above 0.
    """
    disc = disc_of(linear, x_mm, y_mm, radius_mm, px_per_mm=px_per_mm, withheld=withheld)
    if disc is None:
        return None
    colour = lab(disc.mean)
    red, green, blue = disc.mean.tolist()
    lightness, a, b = colour.tolist()
    return Pin(
        x_mm=float(x_mm),
        y_mm=float(y_mm),
        name=name,
        warmth=float(warmth_of_lab(colour)),
        uncertainty=_uncertainty(disc),
        light=(red, green, blue),
        lab=(lightness, a, b),
        known=disc.known,
    )


def relation(one: Pin, other: Pin, *, balance: Balance, words: WarmthWords = USUAL_WORDS) -> Relation:
    """``one`` against ``other``, both read from one picture; what its white ``balance`` leaves open is in the doubt."""
    doubt = float(np.hypot(np.hypot(one.uncertainty, other.uncertainty), balance.doubt(one.light, other.light)))
    return Relation(one.name, other.name, one.warmth - other.warmth, doubt, words)


def chain(pins: Iterable[Pin], *, balance: Balance, words: WarmthWords = USUAL_WORDS) -> Chain:
    """The pins sorted from warm to cool, each against the next."""
    ordered = tuple(sorted(pins, key=lambda pin: -pin.warmth))
    pairs = pairwise(ordered)
    return Chain(ordered, tuple(relation(one, other, balance=balance, words=words) for one, other in pairs))


def _uncertainty(disc: Disc) -> float:
    told = warmth_of_lab(lab(disc.parts)) if len(disc.parts) else np.zeros(0)
    if len(told) < 2:
        return max(_LEAST, _TIED * _STUDENT[0])
    error = float(told.std(ddof=1)) / np.sqrt(len(told))
    return float(np.hypot(_LEAST, _TIED * _STUDENT[len(told) - 1] * error))
