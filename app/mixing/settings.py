"""How mixes are looked for and shown: plain values, kept with the view. Every change gives a new ``MixView``.

Lengths are mm on the canvas.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from core.size import PAPERS

SPANS_MM = (1.0, 2.0, 4.0, 6.0, 10.0, 15.0, 20.0, 30.0, 50.0)
FEWEST_TUBES, MOST_TUBES = 1, 4
PARTS = (4, 6, 8, 10, 12, 16, 20, 24)
FEWEST_STRING, MOST_STRING = 3, 15
_NAME_LETTERS = 60


@dataclass(frozen=True)
class MixView:
    """``palette``: its name, empty for the first there is. ``span_mm``: across, of the passage that is read.
    ``tubes``, ``parts``: the most in one mix. ``pins``: what is on the mixing list is shown on the wall. ``unreached``:
    so are passages that the palette does not reach. ``steps``: of a string; ``lighter``, ``darker``: the tubes that
    carry it, empty for the palette's white and black; ``beside``: a plain grey one stands beside it; ``families``: it
    is of the light family, with that of the shadow family beside it. ``paper``: its name."""

    palette: str = ""
    span_mm: float = 6.0
    tubes: int = 4
    parts: int = 12
    pins: bool = True
    unreached: bool = False
    steps: int = 9
    lighter: str = ""
    darker: str = ""
    beside: bool = False
    families: bool = False
    paper: str = "A4"

    def to_json(self) -> dict[str, Any]:
        return {each.name: getattr(self, each.name) for each in fields(self)}

    @classmethod
    def from_json(cls, data: Any) -> "MixView":
        """What was kept; each part that cannot be read is as usual."""
        found = cls()
        for name, read in _READ.items() if isinstance(data, dict) else ():
            if name in data:
                try:
                    found = replace(found, **{name: read(data[name])})
                except (TypeError, ValueError):
                    continue
        return found


def _within(least: int, most: int) -> Callable[[Any], int]:
    return lambda data: min(max(int(data), least), most)


def _nearest(among: Sequence[float]) -> Callable[[Any], Any]:
    def read(data: Any) -> float:
        number = float(data)
        if not math.isfinite(number):
            raise ValueError("a setting is a number")
        return min(among, key=lambda each: abs(each - number))

    return read


def _name(data: Any) -> str:
    if not isinstance(data, str):
        raise TypeError("a name is written in letters")
    return data[:_NAME_LETTERS]


def _paper(data: Any) -> str:
    if data not in PAPERS:
        raise ValueError("no paper of that name is known")
    return str(data)


_READ: dict[str, Callable[[Any], Any]] = {
    "palette": _name,
    "span_mm": _nearest(SPANS_MM),
    "tubes": _within(FEWEST_TUBES, MOST_TUBES),
    "parts": _nearest(PARTS),
    "pins": bool,
    "unreached": bool,
    "steps": _within(FEWEST_STRING, MOST_STRING),
    "lighter": _name,
    "darker": _name,
    "beside": bool,
    "families": bool,
    "paper": _paper,
}
