"""The pins, the neutrals and what was brushed into the light or the shadow: plain values, kept with the painting and
undone with it."""

import math
from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from app.measures import onto
from app.stepping import MOST_STROKES
from core.painting import Corners, Painting
from core.size import Size
from core.temperature.strokes import Family, FamilyStroke

PINS, NEUTRALS, FAMILIES = "temperature pins", "neutrals", "light and shadow"
"""The plans they are kept in."""
MOST_PINS = 20
MOST_NAME = 24
"""Letters of a pin's name."""
_SAME_CORNER_PX = 0.01
_OWN_ARTICLE = frozenset({"the", "a", "an", "my", "his", "her", "its", "our", "their", "this", "that"})

Point = tuple[float, float]


@dataclass(frozen=True)
class Place:
    """One pin: a place on the canvas face, mm, the same in every picture. ``name``: the painter's, else empty."""

    number: int
    at: Point
    name: str = ""

    @property
    def told(self) -> str:
        """How sentences call it: ``pin 2``, or ``the wall``. What begins with a capital is taken for a name."""
        if not self.name:
            return f"pin {self.number}"
        bare = self.name.split()[0] in _OWN_ARTICLE or not self.name[0].islower()
        return self.name if bare else f"the {self.name}"


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

    def named(self, number: int, name: str) -> "Pins":
        """One with another name; an empty one takes its name back."""
        name = pin_name(name)
        return replace(
            self, places=tuple(replace(each, name=name) if each.number == number else each for each in self.places)
        )

    def told(self) -> dict[int, str]:
        """How sentences call each, by its number; those called alike are told apart by their numbers."""
        alike = Counter(place.told for place in self.places)
        return {
            place.number: f"{place.told} (pin {place.number})" if alike[place.told] > 1 else place.told
            for place in self.places
        }

    def without(self, number: int) -> "Pins":
        return replace(self, places=tuple(place for place in self.places if place.number != number))

    def to_json(self) -> list[list[float | str]]:
        return [[place.number, *place.at, *([place.name] if place.name else [])] for place in self.places]

    @classmethod
    def from_json(cls, data: Any, size: Size) -> "Pins":
        """Those that were kept; what cannot be read is left out. Places off the canvas come back onto it."""
        found: dict[int, Place] = {}
        for each in data if isinstance(data, list) else ():
            try:
                number, x, y, *name = each
                place = Place(int(number), onto((x, y), size), pin_name("".join(name[:1])))
                found.setdefault(place.number, place)
            except (TypeError, ValueError):
                continue
        return cls(tuple(found.values())[:MOST_PINS])


def pin_name(typed: str) -> str:
    """As it is kept: without needless spaces, and not too long."""
    return " ".join(typed.split())[:MOST_NAME].strip()


@dataclass(frozen=True)
class Brushwork:
    """What was brushed into the light or the shadow, in both pictures; where strokes lie over one another the later
    one counts."""

    strokes: tuple[FamilyStroke, ...] = ()

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash(self.strokes)  # of thousands of points, and pictures are looked up by it again and again

    def to_json(self) -> list[Any]:
        return [[str(each.family), each.width_mm, [list(at) for at in each.points_mm]] for each in self.strokes]

    @classmethod
    def from_json(cls, data: Any) -> "Brushwork":
        """What was kept; strokes that cannot be read are left out."""
        found = []
        for each in data if isinstance(data, list) else ():
            try:
                family, width_mm, points = each
                at = tuple((float(x), float(y)) for x, y in points)
                found.append(FamilyStroke(at, float(width_mm), Family(family)))
            except (TypeError, ValueError, OverflowError):
                continue
        return cls(tuple(found[:MOST_STROKES]))


NOTHING_BRUSHED = Brushwork()


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


def kept_brushwork(painting: Painting) -> Brushwork:
    return Brushwork.from_json(painting.plan(FAMILIES))


def keep_brushwork(painting: Painting, brushwork: Brushwork, label: str) -> None:
    """As one step of ``label``. Raises PaintingError with a sentence when that cannot be done."""
    painting.set_plan(FAMILIES, brushwork.to_json(), label=label)


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
