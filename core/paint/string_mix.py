"""Mixes as painters write them: ``2 yellow ochre, 1 ivory black``."""

import re
from collections.abc import Mapping

from core.errors import PaintError
from core.paint.tubes import Tube, UnknownTubeError, tube_named

_PART = re.compile(r"(?P<parts>[-+]?(?:\d+[.]?\d*|[.]\d+))\s*(?:parts?\b\s*)?(?:of\b\s*)?(?P<name>.*)", re.IGNORECASE)
_OTHERWISE = re.compile(r"e\d|x\s", re.IGNORECASE)
"""How what follows a number begins where the number is written otherwise: 1/2, 1½, 1e3, 2 x."""
_MOST = 1000.0
_HOW = "Write parts as a number such as 2 or 0.5 and the tube after it: 2 yellow ochre, 0.5 ivory black."


def parse_mix(text: str, among: Mapping[str, Tube] | None = None) -> dict[str, float]:
    """Parts by the name of the tube, of ``2 yellow ochre, 1 ivory black``; a name alone is one part. Tubes go by their
    name or their only pigment (``PY43``), in any case.

    Raises PaintError for an unknown tube, one told twice, parts that are not above 0 and up to 1000, or no mix.
    """
    mix: dict[str, float] = {}
    for told in (part.strip() for part in text.split(",") if part.strip()):
        found = _PART.fullmatch(told)
        parts, named = (float(found["parts"]), found["name"].strip()) if found else (1.0, told)
        if not named:
            raise PaintError(f"“{told}” does not say of which tube. {_HOW}")
        name = _named(told, named, among)
        if not 0.0 < parts <= _MOST:
            raise PaintError(f"Parts are numbers above 0, up to {_MOST:g}; “{told}” has other ones. Correct it.")
        if name in mix:
            raise PaintError(f"“{text}” names {name} twice. Add its parts up.")
        mix[name] = parts
    if not mix:
        raise PaintError("A mix needs at least one tube. Write parts and names, such as “2 yellow ochre, 1 PBk9”.")
    return mix


def _named(told: str, named: str, among: Mapping[str, Tube] | None) -> str:
    """The tube of ``named``. Raises PaintError, on the parts where they were written otherwise."""
    try:
        return tube_named(named, among).name
    except UnknownTubeError:
        if not named[0].isalpha() or (named != told and _OTHERWISE.match(named)):
            raise PaintError(f"The parts of “{told}” cannot be read. {_HOW}") from None
        raise
