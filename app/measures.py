"""The measures taken on a painting, the unit they are told in, and the pinned plumb lines: plain values.

Every change gives new ``Measures``; they are kept with the painting. Lengths are mm on the canvas.
"""

import math
from dataclasses import dataclass, replace
from typing import Any

from core.drawing.proportion import Point, Span
from core.size import Size

MOST_MEASURES = 20
MOST_PINS = 12
SETTING = "proportion"


@dataclass(frozen=True)
class End:
    """One end of a measure. ``name``: of the landmark it was caught by, else "". ``slack_mm``: standard deviation each
    way of pointing by hand, at the zoom it was pointed at; 0 on a landmark."""

    at: Point
    name: str = ""
    slack_mm: float = 0.0


@dataclass(frozen=True)
class Measure:
    """From one point of the canvas to another. ``on_canvas``: taken on a photo of the painting, so that it is no surer
    than that photo lies flat."""

    number: int
    start: End
    end: End
    on_canvas: bool = False

    @property
    def span(self) -> Span:
        return Span(self.start.at, self.end.at)

    def uncertainty_mm(self, canvas_mm: float | None) -> float | None:
        """Standard deviation of its length: of pointing, and of how flat the canvas lies; None when nothing is known
        to be uncertain."""
        flat = canvas_mm if self.on_canvas and canvas_mm is not None else 0.0
        return math.hypot(self.start.slack_mm, self.end.slack_mm, flat) or None


@dataclass(frozen=True)
class NamedUnit:
    """A length that the painter has given a name, such as the head, to measure others by."""

    name: str
    length_mm: float
    uncertainty_mm: float | None = None


@dataclass(frozen=True)
class Measures:
    """All measures in the order they were taken. ``chosen``: the number of the one that is worked on."""

    kept: tuple[Measure, ...] = ()
    chosen: int | None = None
    unit: NamedUnit | None = None
    pins: tuple[Point, ...] = ()

    @property
    def current(self) -> Measure | None:
        return next((each for each in self.kept if each.number == self.chosen), None)

    @property
    def next_number(self) -> int:
        return max((each.number for each in self.kept), default=0) + 1

    def with_measure(self, measure: Measure) -> "Measures":
        """Add a measure, or put it in the place of the one with its number; it is then the chosen one."""
        others = [measure if each.number == measure.number else each for each in self.kept]
        if measure not in others:
            others.append(measure)
        return replace(self, kept=tuple(others), chosen=measure.number)

    def without(self, number: int) -> "Measures":
        """Take one away; then the one before it is chosen."""
        kept = tuple(each for each in self.kept if each.number != number)
        before = [each.number for each in kept if each.number < number] or [each.number for each in kept[:1]]
        return replace(self, kept=kept, chosen=before[-1] if before else None)

    def take_unit(self, name: str, canvas_mm: float | None = None) -> "Measures":
        """The chosen measure is the unit from now on, under this name; ``canvas_mm``: how flat the canvas lies."""
        current = self.current
        if current is None or current.span.length_mm <= 0.0 or not name.strip():
            return self
        return replace(self, unit=NamedUnit(name.strip(), current.span.length_mm, current.uncertainty_mm(canvas_mm)))

    def to_json(self) -> dict[str, Any]:
        return {
            "measures": [
                [each.number, each.on_canvas, *([*end.at, end.name, end.slack_mm] for end in (each.start, each.end))]
                for each in self.kept
            ],
            "chosen": self.chosen,
            "unit": None if self.unit is None else [self.unit.name, self.unit.length_mm, self.unit.uncertainty_mm],
            "pins": [list(pin) for pin in self.pins],
        }

    @classmethod
    def from_json(cls, data: Any, size: Size) -> "Measures":
        """Those that were kept; none when they cannot be read. Places off the canvas come back onto it."""
        try:
            return cls._read(data, size)
        except (KeyError, TypeError, ValueError, IndexError):
            return cls()

    @classmethod
    def _read(cls, data: dict[str, Any], size: Size) -> "Measures":
        kept = tuple(
            Measure(int(number), _end(start, size), _end(end, size), bool(on_canvas))
            for number, on_canvas, start, end in data["measures"]
        )[:MOST_MEASURES]
        numbers = [each.number for each in kept]
        if len(set(numbers)) < len(numbers):
            raise ValueError
        unit = data["unit"]
        named = None if unit is None else NamedUnit(str(unit[0]), float(unit[1]), _known(unit[2]))
        if named is not None and not (named.name and 0.0 < named.length_mm < float("inf")):
            raise ValueError
        chosen = data["chosen"] if data["chosen"] in numbers else (numbers[-1] if numbers else None)
        pins = tuple(onto((x, y), size) for x, y in data["pins"])[:MOST_PINS]
        return cls(kept, chosen, named, pins)


def _end(data: Any, size: Size) -> End:
    x, y, name, slack_mm = data
    return End(onto((x, y), size), str(name), _known(slack_mm) or 0.0)


def _known(mm: Any) -> float | None:
    if mm is None:
        return None
    if not (math.isfinite(mm) and mm >= 0.0):
        raise ValueError("an uncertainty is a length")
    return float(mm)


def onto(at: Point, size: Size) -> Point:
    """The nearest point of the canvas. Raises ValueError when there is none."""
    x, y = min(max(float(at[0]), 0.0), size.width_mm), min(max(float(at[1]), 0.0), size.height_mm)
    if math.isnan(x) or math.isnan(y):
        raise ValueError("a place must be a number")
    return x, y
