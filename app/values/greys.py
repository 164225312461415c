"""Greys of known value, and the colour chart, that were pointed at in the canvas photos: plain values, kept with the
painting."""

import math
from dataclasses import asdict, dataclass
from typing import Any

from core.painting import KNOWN_GREYS, Painting

CHART = "chart"
KINDS = ("card", "ground", CHART)
_NAMES = {"card": "Grey card", "ground": "Bare ground", CHART: "Colour chart"}
Point = tuple[float, float]


@dataclass(frozen=True)
class Grey:
    """``x_px, y_px``: where it was pressed, or a chart's middle, photo pixels of the upright photo, which is ``width``
    × ``height``.

    ``value``: its Munsell value; None for a chart, whose patches are known. ``outline_px``: the even area that was
    found round it, or the chart's rim.
    """

    x_px: float
    y_px: float
    value: float | None
    kind: str
    width: int
    height: int
    outline_px: tuple[Point, ...] = ()

    @property
    def say(self) -> str:
        """Such as ``Grey card, value 8``."""
        return _NAMES[self.kind] if self.value is None else f"{_NAMES[self.kind]}, value {self.value:g}"

    @property
    def plate(self) -> str:
        """What stands on it on the wall."""
        return self.kind if self.value is None else f"{self.value:g}"


Kept = dict[int, tuple[Grey, ...]]
"""By canvas photo."""


def kept_with(painting: Painting) -> Kept:
    """What was pointed at in the photos of a painting; of one kept by an earlier version, what its setting holds."""
    plan = painting.plan(KNOWN_GREYS)
    return from_json(painting.setting(KNOWN_GREYS) if plan is None else plan)


def keep_with(painting: Painting, kept: Kept, label: str) -> None:
    """Keep them, as one step of ``label``. Raises PaintingError with a sentence when that cannot be done."""
    painting.set_plan(KNOWN_GREYS, to_json(kept), label=label)


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
    kind = data["kind"]
    x, y = float(data["x_px"]), float(data["y_px"])
    value = None if kind == CHART else float(data["value"])
    if kind not in KINDS or not all(map(math.isfinite, (x, y, value or 0.0))):
        raise ValueError("no grey")
    return Grey(x, y, value, kind, int(data["width"]), int(data["height"]), outline)
