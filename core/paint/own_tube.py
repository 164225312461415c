"""A tube of the painter's own as it is read from a file, and what keeps one from being kept."""

import unicodedata
from collections.abc import Mapping
from typing import Any

import numpy as np

from core.paint.spectrum import WAVELENGTHS
from core.paint.tubes import DRYING, OPACITIES, Tube, tube_of

MOST = 1e6
"""K and S are no more. The white of the set has S = 1, and the strongest tube that comes with the program K = 9."""
LONGEST_NAME = 60
_CONTROLS = ("Cc", "Cf", "Cs", "Zl", "Zp")
"""Unicode categories of what no line of text shows."""


def trouble_of(tube: Tube) -> str | None:
    """Why a tube is none to be kept, as the end of a sentence; None where it is one."""
    paint = tube.paint
    trouble = _of_name(tube.name) or next(filter(None, map(_of_name, tube.pigments)), None)
    if trouble is not None:
        return trouble
    if not (np.all(paint.k <= MOST) and np.all(paint.s <= MOST)):
        return f"the figures of “{tube.name}” are larger than those of any paint"
    if np.any(paint.k + paint.s <= 0):
        return f"“{tube.name}” neither absorbs nor scatters light at some wavelength"
    return None


def read_tube(told: Mapping[str, Any]) -> Tube:
    """One own tube. KeyError, TypeError or ValueError where it is not written as
    :func:`core.paint.tubes.as_told` does, or is none to be kept; a ValueError says why."""
    name = read_text(told["name"])
    for key in ("basis", "lightfastness"):
        read_text(told[key])
    for key in ("cautions", "pigments"):
        read_texts(told[key])
    if told["opacity"] not in OPACITIES or told["drying"] not in DRYING:
        raise ValueError(f"it does not say how opaque “{name}” is, or how it dries")
    sources = told["sources"]
    if not isinstance(sources, dict) or not all(isinstance(each, str) for each in sources.values()):
        raise ValueError(f"the sources of “{name}” are no texts")
    for key in ("white", "black", "own", "strength_known"):
        if not isinstance(told[key], bool):
            raise ValueError(f"“{key}” of “{name}” is neither yes nor no")
    _figures(told, name)
    tube = tube_of(told)
    trouble = trouble_of(tube)
    if trouble is not None:
        raise ValueError(trouble)
    return tube


def _figures(told: Mapping[str, Any], name: str) -> None:
    """ValueError where the figures are none of a paint: before they become doubles, since whole ones may be of any
    length."""
    for key in ("k", "s", "k1"):
        row = told[key]
        if not isinstance(row, list) or len(row) != len(WAVELENGTHS) or any(type(x) not in (int, float) for x in row):
            raise ValueError(f"“{name}” does not have a number at each of the {len(WAVELENGTHS)} wavelengths")
    for key in ("k", "s"):
        if any(MOST < x < np.inf for x in told[key]):
            raise ValueError(f"the figures of “{name}” are larger than those of any paint")
        if not all(0 <= x < np.inf for x in told[key]):
            raise ValueError(f"the figures of “{name}” are not all numbers, and not below 0")
    inner, outer = told["k2"], told["k1"]
    known = type(inner) in (int, float) and all(0 <= x < 1 for x in (inner, *outer))
    if not known or inner + max(outer) >= 1:
        raise ValueError(f"the surface of “{name}” is none that paint has")


def _of_name(name: str) -> str | None:
    if not name.strip():
        return "it has no name"
    if len(name) > LONGEST_NAME:
        return f"the name “{name[:20]}…” is longer than {LONGEST_NAME} letters"
    if _hidden(name):
        return "its name holds a line break, or another sign that does not show"
    return f"the name “{name}” holds a comma, which stands between tubes" if "," in name else None


def _hidden(text: str) -> bool:
    return any(unicodedata.category(sign) in _CONTROLS for sign in text)


def read_texts(told: Any) -> tuple[str, ...]:
    """A list of texts. ValueError where it is none."""
    if not isinstance(told, list):
        raise ValueError("there is no list where names should be")
    return tuple(read_text(each) for each in told)


def read_text(told: Any) -> str:
    """A text of one line. ValueError where it is empty, or none."""
    if not isinstance(told, str) or not told.strip():
        raise ValueError("a name or text in it is empty, or none")
    if _hidden(told):
        raise ValueError("a name or text in it holds a line break, or another sign that does not show")
    return told
