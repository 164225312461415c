"""The pins and the neutrals that the painter pointed at: plain values, kept with the painting and undone with it."""

import math
from dataclasses import dataclass, replace
from typing import Any

from app.measures import onto
from core.painting import Corners, Painting
from core.size import Size

PINS, NEUTRALS = "temperature pins", "neutrals"
"""The plans they are kept in."""
MOST_PINS = 20
_SAME_CORNER_PX = 0.01

Point = tuple[float, float]


@dataclass(frozen=True)
class Place:
    """One pin: a place on the canvas face, mm, the same in every picture."""

    number: int
    at: Point


@dataclass(frozen=True)
class Pins:
    """In the order they were set."""

    places: tuple[Place, ...] = ()

    @property
    def next_number(self) -> int:
        """The smallest that is free."""
        taken = {place.number for place in self.places}
        return next(number for number in range(1, len(taken) + 2) if number not in taken)

    def added(self, at: Point) -> "Pins":
        return replace(self, places=(*self.places, Place(self.next_number, at)))

    def without(self, number: int) -> "Pins":
        return replace(self, places=tuple(place for place in self.places if place.number != number))

    def to_json(self) -> list[list[float]]:
        return [[place.number, *place.at] for place in self.places]

    @classmethod
    def from_json(cls, data: Any, size: Size) -> "Pins":
        """Those that were kept; what cannot be read is left out. Places off the canvas come back onto it."""
        found: dict[int, Place] = {}
        for each in data if isinstance(data, list) else ():
            try:
                number, x, y = each
                found.setdefault(int(number), Place(int(number), onto((x, y), size)))
            except (TypeError, ValueError):
                continue
        return cls(tuple(found.values())[:MOST_PINS])


@dataclass(frozen=True)
class NeutralPlace:
    """A grey or white pointed at in one photograph, ``at`` mm, as the photograph lay flat by ``corners`` then."""

    at: Point
    corners: Corners | None

    def holds(self, corners: Corners | None) -> bool:
        """Whether the photograph still lies so; else the place would be another."""
        if self.corners is None or corners is None:
            return self.corners is None and corners is None
        return all(math.dist(one, other) <= _SAME_CORNER_PX for one, other in zip(self.corners, corners, strict=True))


Neutrals = dict[int, NeutralPlace]
"""By photograph."""


def kept_pins(painting: Painting) -> Pins:
    return Pins.from_json(painting.plan(PINS), painting.size)


def keep_pins(painting: Painting, pins: Pins, label: str) -> None:
    """As one step of ``label``. Raises PaintingError with a sentence when that cannot be done."""
    painting.set_plan(PINS, pins.to_json(), label=label)


def kept_neutrals(painting: Painting) -> Neutrals:
    """Those that were kept; what cannot be read is left out."""
    found: Neutrals = {}
    data = painting.plan(NEUTRALS)
    for photo, each in (data if isinstance(data, dict) else {}).items():
        try:
            corners = each["corners"]
            placed = None if corners is None else tuple((float(x), float(y)) for x, y in corners)
            found[int(photo)] = NeutralPlace(onto(each["at"], painting.size), _four(placed))
        except (KeyError, TypeError, ValueError, IndexError):
            continue
    return found


def keep_neutrals(painting: Painting, neutrals: Neutrals, label: str) -> None:
    """As one step of ``label``. Raises PaintingError with a sentence when that cannot be done."""
    data = {
        str(photo): {"at": list(each.at), "corners": None if each.corners is None else [list(c) for c in each.corners]}
        for photo, each in neutrals.items()
    }
    painting.set_plan(NEUTRALS, data, label=label)


def _four(corners: "tuple[Point, ...] | None") -> Corners | None:
    if corners is None:
        return None
    if len(corners) != 4:
        raise ValueError("a canvas has four corners")
    return corners[0], corners[1], corners[2], corners[3]
