"""The tubes that come with the program (``assets/make_tubes.py``): what each is, and how it mixes."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType
from typing import Any

import numpy as np

from core.assets import FOLDER
from core.errors import PaintError
from core.paint.paint import Paint
from core.paint.spectrum import WAVELENGTHS

OPACITIES = ("opaque", "semi-opaque", "semi-transparent", "transparent")
DRYING = ("fast", "medium", "slow")

_TINT_PARTS = 10.0
_SEEN = (WAVELENGTHS >= 430) & (WAVELENGTHS <= 700)
_COUNTS = {2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}
_FEW, _NEAR, _ALIKE = 6, 4, 0.6
"""Tubes that are all named; names that are offered of more; and how alike they are spelt, 0-1."""


class UnknownTubeError(PaintError):
    """No tube goes by a name, or several do."""


class SeveralTubesError(UnknownTubeError):
    """Several tubes are of one pigment."""


@dataclass(frozen=True, eq=False)
class Tube:
    """An oil colour: ``pigments`` by Colour Index name (``PY43``), none where it has no such name; ``opacity``, one of
    ``OPACITIES``; ``drying``, one of ``DRYING``; ``lightfastness``: an ASTM category from I, or “not rated”;
    ``cautions``: sentences. ``white``, ``black``: whether it serves as one. ``basis``: where its K and S come from.
    ``sources``: the source of each of the other figures, by its name. ``own``: of the painter's own swatches."""

    name: str
    pigments: tuple[str, ...]
    paint: Paint
    opacity: str
    drying: str
    lightfastness: str
    cautions: tuple[str, ...]
    basis: str
    sources: Mapping[str, str]
    white: bool = False
    black: bool = False
    own: bool = False


def tubes() -> Mapping[str, Tube]:
    """All that come with the program, by name, whites first, then from yellow around to black."""
    return _tubes()


def tube_named(name: str, among: Mapping[str, Tube] | None = None) -> Tube:
    """One by its name or its only pigment (``PY43``), in any case. Raises UnknownTubeError with the names that are
    nearest, SeveralTubesError with those of all tubes of that pigment where there are several."""
    known = _tubes() if among is None else among
    wanted = name.strip().casefold()
    found = next((tube for tube in known.values() if tube.name.casefold() == wanted), None)
    if found is None:
        alike = [tube for tube in known.values() if wanted in (code.casefold() for code in tube.pigments)]
        if len(alike) > 1:
            code = next(each for each in alike[0].pigments if each.casefold() == wanted)
            told = f"{_COUNTS.get(len(alike), str(len(alike)))} tubes are {code}"
            raise SeveralTubesError(f"{told}: {', '.join(tube.name for tube in alike)}. Name one.")
        found = alike[0] if alike else None
    if found is None:
        raise UnknownTubeError(no_tube(name, known))
    return found


def no_tube(name: str, known: Iterable[str]) -> str:
    """What to tell the painter of a tube that is not among those ``known``: all of them where they are few, else the
    nearest names."""
    names = list(known)
    near = names if len(names) <= _FEW else _nearest(name, names)
    if not near:
        return f"There is no tube “{name}” here. Look in the list of tubes for how it is called."
    word = "Choose from" if len(names) <= _FEW else "The nearest by name:"
    return f"There is no tube “{name}” here. {word} {', '.join(near)}."


def _nearest(name: str, names: Sequence[str]) -> list[str]:
    """Up to four names that are spelt like it, or share a word with it."""
    by_key = {each.casefold(): each for each in names}
    wanted = name.strip().casefold()
    spelt = get_close_matches(wanted, by_key, _NEAR, _ALIKE)
    words = {word for word in wanted.split() if len(word) > 2}
    sharing = [each for each in by_key if words & set(each.split())]
    return [by_key[each] for each in dict.fromkeys([*spelt, *sharing])][:_NEAR]


def tinting_strength(tube: Tube) -> float:
    """How strongly 1 part tints 10 of titanium white, by mass: K/S above the white's where it is greatest from 430 to
    700 nm, with that of ultramarine as 1. NaN where the strength is not known."""
    if not tube.paint.strength_known:
        return float("nan")
    return _tint(tube.paint) / _tint(_tubes()["ultramarine"].paint)


def _tint(paint: Paint) -> float:
    white = _tubes()["titanium white"].paint
    tint = (paint.k + _TINT_PARTS * white.k) / (paint.s + _TINT_PARTS * white.s)
    return max(float((tint - white.k / white.s)[_SEEN].max()), 0.0)


@cache
def _tubes() -> Mapping[str, Tube]:
    held = json.loads((FOLDER / "tubes.json").read_text(encoding="utf-8"))
    return MappingProxyType({each["name"]: tube_of(each) for each in held["tubes"]})


def tube_of(told: Mapping[str, Any]) -> Tube:
    """A tube as it is written down in ``tubes.json``. KeyError, TypeError or ValueError where it is not one."""
    k, s, k1 = (np.asarray(told[each], dtype=np.float64) for each in ("k", "s", "k1"))
    paint = Paint(k, s, WAVELENGTHS, k1, float(told["k2"]), strength_known=bool(told.get("strength_known", True)))
    return Tube(
        name=told["name"],
        pigments=tuple(told["pigments"]),
        paint=paint,
        opacity=told["opacity"],
        drying=told["drying"],
        lightfastness=told["lightfastness"],
        cautions=tuple(told["cautions"]),
        basis=told["basis"],
        sources=dict(told["sources"]),
        white=bool(told.get("white", False)),
        black=bool(told.get("black", False)),
        own=bool(told.get("own", False)),
    )


def as_told(tube: Tube) -> dict[str, Any]:
    """What :func:`tube_of` reads back. ValueError for a paint at other wavelengths than ``WAVELENGTHS``."""
    paint = tube.paint
    if not np.array_equal(paint.wavelengths, WAVELENGTHS):
        raise ValueError("a tube is written down at WAVELENGTHS")
    return {
        "name": tube.name,
        "pigments": list(tube.pigments),
        "k": paint.k.tolist(),
        "s": paint.s.tolist(),
        "k1": paint.k1.tolist(),
        "k2": paint.k2,
        "strength_known": paint.strength_known,
        "opacity": tube.opacity,
        "drying": tube.drying,
        "lightfastness": tube.lightfastness,
        "cautions": list(tube.cautions),
        "basis": tube.basis,
        "sources": dict(tube.sources),
        "white": tube.white,
        "black": tube.black,
        "own": tube.own,
    }
