"""Mixes as painters write them: ``2 yellow ochre, 1 ivory black``."""

import re
from collections.abc import Mapping

from core.errors import PaintError
from core.paint.tubes import Tube, tube_named

_PART = re.compile(r"(?P<parts>[-+]?(?:\d+[.]?\d*|[.]\d+))\s*(?:parts?\b\s*)?(?:of\b\s*)?(?P<name>.*)", re.IGNORECASE)
_MOST = 1000.0


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
            raise PaintError(f"“{told}” does not say of which tube. Write parts and names, such as 2 yellow ochre.")
        name = tube_named(named, among).name
        if not 0.0 < parts <= _MOST:
            raise PaintError(f"Parts are numbers above 0, up to {_MOST:g}; “{told}” has other ones. Correct it.")
        if name in mix:
            raise PaintError(f"“{text}” names {name} twice. Add its parts up.")
        mix[name] = parts
    if not mix:
        raise PaintError("A mix needs at least one tube. Write parts and names, such as “2 yellow ochre, 1 PBk9”.")
    return mix
