"""What is thrown and how: plain values, kept with the painting."""

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from core.drawing.projection import Projection
from core.errors import DrawingError
from core.size import Size

SETTING = "projection"
BRIGHTNESSES = (0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 1.0)
"""Shares of the light, each about half as bright again to the eye as the one before."""
LINE_WEIGHTS_MM = (0.3, 0.5, 0.8, 1.2, 2.0, 3.0)
_USUAL_WEIGHT = 2
MOST_SCREENS = 12

Corners = tuple[tuple[float, float], ...]


class Mode(StrEnum):
    """What the projector shows."""

    LINES = "lines"
    COLOUR = "colour"
    GREY = "grey"
    STEP = "step"
    CORNERS = "corners"
    MARKS = "marks"
    DARK = "dark"


MODE_WORDS = {
    Mode.LINES: "Drawing",
    Mode.COLOUR: "Reference in colour",
    Mode.GREY: "Reference in grey",
    Mode.STEP: "One value step",
    Mode.CORNERS: "Corner marks",
    Mode.MARKS: "Marks to measure by",
    Mode.DARK: "Black",
}


@dataclass(frozen=True)
class Throw:
    """``step``: which value step, 0 the darkest. ``brightness`` and ``weight`` count in the tables above.

    ``corners``: by :func:`screen_key`, the four on each screen in its pixels, the last used last.
    """

    mode: Mode = Mode.LINES
    step: int = 0
    brightness: int = len(BRIGHTNESSES) - 1
    weight: int = _USUAL_WEIGHT
    help: bool = True
    corners: dict[str, Corners] = field(default_factory=dict)

    @property
    def light(self) -> float:
        """Share of the projector's light."""
        return BRIGHTNESSES[self.brightness]

    @property
    def weight_mm(self) -> float:
        return LINE_WEIGHTS_MM[self.weight]

    def brighter(self, by: int) -> "Throw":
        return replace(self, brightness=_within(self.brightness + by, len(BRIGHTNESSES)))

    def heavier(self, by: int) -> "Throw":
        return replace(self, weight=_within(self.weight + by, len(LINE_WEIGHTS_MM)))

    def with_corners(self, screen: str, projection: Projection) -> "Throw":
        """The corners on a screen; those of the screens used longest ago are forgotten."""
        others = [(name, corners) for name, corners in self.corners.items() if name != screen]
        fresh = tuple((float(x), float(y)) for x, y in projection.corners_px)
        return replace(self, corners=dict([*others, (screen, fresh)][-MOST_SCREENS:]))

    def projection(self, screen: str, size: Size, width: int, height: int) -> Projection:
        """Where the canvas lies on a screen: as it was left, or fitted into it."""
        kept = self.corners.get(screen)
        if kept is not None:
            try:
                return Projection(kept, size, width, height)  # type: ignore[arg-type]
            except DrawingError:
                pass  # another program, or another size of canvas: start as on a new screen
        return Projection.fitted(size, width, height)

    def to_json(self) -> dict[str, Any]:
        return {
            "mode": self.mode,
            "step": self.step,
            "brightness": self.brightness,
            "weight": self.weight,
            "help": self.help,
            "corners": self.corners,
        }

    @classmethod
    def from_json(cls, data: Any) -> "Throw":
        """What was kept; as usual where it cannot be read."""
        try:
            return cls(
                mode=Mode(data["mode"]),
                step=max(int(data["step"]), 0),
                brightness=_within(int(data["brightness"]), len(BRIGHTNESSES)),
                weight=_within(int(data["weight"]), len(LINE_WEIGHTS_MM)),
                help=bool(data["help"]),
                corners={
                    str(name): tuple((float(x), float(y)) for x, y in corners)
                    for name, corners in data["corners"].items()
                },
            )
        except (KeyError, TypeError, ValueError, AttributeError):
            return cls()


def screen_key(name: str, width: int, height: int) -> str:
    """A screen in the words under which its corners are kept."""
    return f"{name} {width} × {height}"


def _within(index: int, count: int) -> int:
    return min(max(index, 0), count - 1)
