"""Munsell notation of a colour, as ``9.5YR 4.6/6.1``: by the renotation of Newhall, Nickerson and Judd 1943.

The renotation is for illuminant C and the 2° observer; colours under D65 are adapted to it by Bradford's transform.
Against 24 colours of a chart reckoned under C itself it is off by CIEDE2000 0.18 in the middle and 0.55 at most; CAT02
by 0.26 and 0.69.

A colour is looked up among those of the renotation of its value: hue and chroma between neighbours by angle and
distance from white, value between planes by luminance. The table is that of colour-science, which takes 0.7 s to load:
call this when the notation is looked at.

Two ways were measured (``tests/measure/recipes.py``). colour-science's own search takes 0.2 s a colour, and of 40
colours of photographs it has no answer for 15 %, darker than value 1 or not closed in on. This takes 0.9 ms, and of
300 colours 1.3 % lie outside. Of 773 notations at random, value 1 to 9 and chroma 1 to 10, it is off from the notation
that colour-science made the colour of by 0.02 of hue in the middle and 0.23 at most, by 0.005 of chroma and 0.21. Above
value 9 it goes on to the renotation's own colours of value 10, where colour-science takes white.

The renotation reaches from value 0.2 to 10, and ends at a chroma that differs from hue to hue.
"""

import re
import warnings
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import luminance_of_value, munsell_value, xyz_from_lab
from core.paint.target import Lab, value_of

Floats = NDArray[np.float64]
Known = NDArray[np.bool_]

OUTSIDE = "outside the Munsell renotation"
_GREY = 0.05
"""Chroma that is written as 0.0."""
_DARK_GREY = 1.0
"""CIELAB chroma under which a colour too dark for the renotation is told as a neutral."""
# Bradford's cone responses: ICC.1:2022, annex E.
_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_D65_XY, _C_XY = (0.3127, 0.3290), (0.31006, 0.31616)
_FAMILIES = ("R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP")
_HUES, _MOST_CHROMA, _CHROMA_STEP = 40, 60, 2.0
_HUE = re.compile(r"([0-9.]+)([A-Z]+)")
_PAST = 4
_ROUNDS, _CLOSED = 80, 1e-7


@dataclass(frozen=True)
class Munsell:
    """``hue``: 0-100, 10 for each family from red on, so that 5R is 5 and 5YR 15; ``value`` 0-10; ``chroma``."""

    hue: float
    value: float
    chroma: float

    def __str__(self) -> str:
        if self.chroma < _GREY:
            return f"N {self.value:.1f}"
        tenths = round(10 * self.hue) % 1000 or 1000
        family = (tenths - 1) // 100
        return f"{tenths / 10 - 10 * family:.1f}{_FAMILIES[family]} {self.value:.1f}/{self.chroma:.1f}"


@lru_cache(maxsize=1024)
def notation(colour: Lab) -> str:
    """Of CIELAB under D65; of a neutral ``N 4.9``. What the renotation does not hold is told by its value."""
    found = munsell_of_xyy(xyy_under_c(colour))
    if found is not None:
        return str(found)
    value = float(value_of(colour))
    dark_grey = value < 1 and float(np.hypot(colour[1], colour[2])) < _DARK_GREY
    return f"N {value:.1f}" if dark_grey else f"value {value:.1f}, {OUTSIDE}"


def munsell_of_xyy(xyy: ArrayLike) -> Munsell | None:
    """Of x, y and Y (0-1, perfect diffuser) under illuminant C, or None where the renotation does not hold it."""
    told = np.asarray(xyy, dtype=np.float64)
    value, from_white = float(munsell_value(told[2])), told[:2] - np.array(_C_XY)
    distance, angle = float(np.hypot(*from_white)), float(np.arctan2(from_white[1], from_white[0]))
    if distance < 1e-5:
        return Munsell(0.0, value, 0.0)
    found = _plane(value, float(told[2]))
    if found is None:
        return None
    plane, known = found
    place = _place(plane, distance, angle)
    if place is None or not _held(known, *place):
        return None
    return Munsell(2.5 * (place[0] + 1) % 100, value, _CHROMA_STEP * place[1])


def _place(plane: Floats, distance: float, angle: float) -> tuple[float, float] | None:
    """The hue and the step of chroma that lie so far from white in that direction: one by the other until both hold."""
    distances, turns = np.hypot(*np.moveaxis(plane, -1, 0)), np.arctan2(plane[..., 1], plane[..., 0])
    turns[:, 0] = turns[:, 1]
    off = (turns - angle + np.pi) % (2 * np.pi) - np.pi
    hue, step = 0.0, 1.0
    for _ in range(_ROUNDS):
        before = hue, step
        met = _hue_at(off, step)
        if met is None:
            return None
        hue, step = met, _step_at(distances, met, distance)
        if abs(hue - before[0]) + abs(step - before[1]) < _CLOSED:
            return hue, step
    return None


def xyy_under_c(colour: Lab) -> Floats:
    """x, y and Y (0-1) under illuminant C of the colour that is ``colour``, CIELAB, under D65."""
    white, other = (np.array([x / y, 1.0, (1 - x - y) / y]) for x, y in (_D65_XY, _C_XY))
    gain = (_BRADFORD @ other) / (_BRADFORD @ white)
    adapted = np.linalg.solve(_BRADFORD, gain * (_BRADFORD @ xyz_from_lab(colour, white)))
    total = float(adapted.sum())
    return np.array([*(adapted[:2] / total), adapted[1]]) if total > 0 else np.array([*_C_XY, 0.0])


def _hue_at(off: Floats, step: float) -> float | None:
    """Where along the hues the angle is met, at so many steps of chroma: from ``off`` ``(40, steps)`` by how far each
    hue passes it."""
    low = min(int(step), off.shape[1] - 2)
    here = off[:, low] + (step - low) * (off[:, low + 1] - off[:, low]) if step > low else off[:, low]
    ahead = np.roll(here, -1)
    on_it = np.flatnonzero(np.abs(here) < _CLOSED)
    if len(on_it):
        return float(on_it[0])
    with np.errstate(invalid="ignore"):
        met = np.flatnonzero((here * ahead <= 0) & (np.abs(here - ahead) < np.pi / 2))
    if not len(met):
        return None
    at = int(met[0])
    return at + float(here[at] / (here[at] - ahead[at]))


def _step_at(distances: Floats, hue: float, wanted: float) -> float:
    """How many steps of chroma lie so far from white, between two hues; the last step where all are nearer."""
    at = int(hue) % _HUES
    share = hue - int(hue)
    along = distances[at] if share == 0 else distances[at] * (1 - share) + distances[(at + 1) % _HUES] * share
    along = along[np.isfinite(along)]
    found = float(np.interp(wanted, along, np.arange(len(along))))
    return round(found) if abs(found - round(found)) < _CLOSED else found


def _held(known: Known, hue: float, step: float) -> bool:
    """Whether all colours that a place lies between are of the renotation."""
    hues = [int(hue) % _HUES, int(np.ceil(hue)) % _HUES]
    return bool(known[np.ix_(hues, [int(step), int(np.ceil(step))])].all())


def _plane(value: float, luminance: float) -> tuple[Floats, Known] | None:
    """``(40, steps, 2)`` how far each colour of one value lies from white in x and y, and which ``(40, steps)`` are of
    the renotation; None beyond it."""
    values, planes, known = _renotation()
    nearest = int(np.abs(values - value).argmin())
    if abs(values[nearest] - value) < _CLOSED:
        return np.array(planes[nearest]), known[nearest]
    if not values[0] < value < values[-1]:
        return None
    above = int(np.searchsorted(values, value))
    dark, light = luminance_of_value(values[above - 1 : above + 1])
    share = (luminance - dark) / (light - dark)
    return planes[above - 1] * (1 - share) + planes[above] * share, known[above - 1] & known[above]


@cache
def _renotation() -> tuple[Floats, Floats, Known]:
    """The values that have a plane; the planes ``(n, 40, steps, 2)``, which go on in a line for some steps past the
    strongest colour of a hue, since a place at the rim is looked for from both sides; and which colours are known."""
    with warnings.catch_warnings():
        # It says that matplotlib is missing, which is of no concern here.
        warnings.simplefilter("ignore")
        from colour import MUNSELL_COLOURS

    told = MUNSELL_COLOURS["Munsell Colours All"]
    values = sorted({float(value) for (_, value, _), _ in told})
    planes = np.full((len(values), _HUES, int(_MOST_CHROMA / _CHROMA_STEP) + 1, 2), np.nan)
    planes[:, :, 0] = 0.0
    for (hue, value, chroma), xyy in told:
        number, family = _HUE.fullmatch(hue).groups()  # type: ignore[union-attr]
        at = (4 * _FAMILIES.index(family) + round(float(number) / 2.5) - 1) % _HUES
        planes[values.index(float(value)), at, round(chroma / _CHROMA_STEP)] = np.asarray(xyy[:2]) - _C_XY
    known = np.isfinite(planes).all(axis=-1)
    for plane, of in zip(planes, known, strict=True):
        for at in range(_HUES):
            last = int(of[at].sum()) - 1
            if last > 0:
                past = plane[at, last + 1 : last + 1 + _PAST]
                past[:] = plane[at, last] + np.arange(1, len(past) + 1)[:, None] * (
                    plane[at, last] - plane[at, last - 1]
                )
    for held in (planes, known):
        held.setflags(write=False)
    return np.array(values), planes, known
