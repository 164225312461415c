"""Greys of known value that the painter pointed at in the canvas photos: plain values, kept with the painting."""

import math
from dataclasses import asdict, dataclass
from typing import Any

SETTING = "known greys"
KINDS = ("card", "ground")
Point = tuple[float, float]


@dataclass(frozen=True)
class Grey:
    """``x_px, y_px``: where it was pressed, photo pixels of the upright photo, which is ``width`` × ``height``.

    ``value``: its Munsell value. ``outline_px``: the even area that was found round it.
    """

    x_px: float
    y_px: float
    value: float
    kind: str
    width: int
    height: int
    outline_px: tuple[Point, ...] = ()

    @property
    def say(self) -> str:
        """Such as ``Grey card, value 8``."""
        return f"{'Grey card' if self.kind == 'card' else 'Bare ground'}, value {self.value:g}"


Kept = dict[int, tuple[Grey, ...]]
"""By canvas photo."""


def to_json(kept: Kept) -> dict[str, Any]:
    return {str(photo): [asdict(grey) for grey in greys] for photo, greys in kept.items() if greys}


def from_json(data: Any) -> Kept:
    """What was kept; what cannot be read is left out."""
    found: Kept = {}
    for photo, greys in (data if isinstance(data, dict) else {}).items():
        try:
            found[int(photo)] = tuple(_grey(each) for each in greys)
        except (KeyError, TypeError, ValueError):
            continue
    return found


def _grey(data: dict[str, Any]) -> Grey:
    outline = tuple((float(x), float(y)) for x, y in data["outline_px"])
    x, y, value = (float(data[name]) for name in ("x_px", "y_px", "value"))
    if data["kind"] not in KINDS or not all(map(math.isfinite, (x, y, value))):
        raise ValueError("no grey")
    return Grey(x, y, value, data["kind"], int(data["width"]), int(data["height"]), outline)
