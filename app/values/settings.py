"""How the values of a painting are looked at: plain values, kept with its view.

Every change gives new ``Values``. Values are Munsell values; areas are mm² on the canvas.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from itertools import pairwise
from typing import Any

from core.size import PAPERS

SMALLEST_MM2 = (0.0, 1.0, 4.0, 9.0, 25.0, 50.0, 100.0, 200.0, 400.0, 900.0, 2500.0)
"""What the size of the small shapes that are joined to their neighbours can be set to."""
KEYINGS = ("as it is", "keep the lights", "keep the darks", "compress evenly")
"""The names of :class:`core.value.keying.Keying`, which is only loaded when something is keyed."""
SHOWN_AHEAD = 20
"""So many places of the order of work are numbered at a time."""
_WHITE, _APART = 10.0, 0.1


class Between(StrEnum):
    """Where the boundaries between value steps lie."""

    EQUAL = "equal"
    BEST = "best"
    HAND = "hand"


@dataclass(frozen=True)
class PaintReach:
    """``darkest``, ``lightest`` and their ``uncertainty``, 0 where it is not known; ``from_canvas``: measured on a
    photo of the canvas."""

    darkest: float
    lightest: float
    uncertainty: float = 0.0
    from_canvas: bool = False


@dataclass(frozen=True)
class Printed:
    """How pages are printed: the ``paper``'s name, the grey pair ``fitted`` on a page, ``with_grid`` of the wall."""

    paper: str = "A4"
    fitted: bool = True
    with_grid: bool = False


@dataclass(frozen=True)
class Values:
    """``own``: the boundaries moved by hand, rising. ``alone``: the step that is shown alone, 0 the darkest.

    ``marks``, ``order``: whether they lie over the reference; ``at``: the number in the order of work that is looked
    at. ``reach`` None: that of oil paint. ``beyond``: what of the reference is beyond the reach is hatched.
    """

    between: Between = Between.EQUAL
    own: tuple[float, ...] = ()
    smallest_mm2: float = 9.0
    alone: int | None = None
    marks: bool = False
    order: bool = False
    at: int = 1
    reach: PaintReach | None = None
    keying: str = KEYINGS[0]
    beyond: bool = False
    earth: str = "raw umber"
    printed: Printed = field(default_factory=Printed)

    @property
    def is_keyed(self) -> bool:
        return self.keying != KEYINGS[0]

    def for_count(self, count: int) -> "Values":
        """The same for so many steps."""
        own = own_for(self.own, count) if self.between is Between.HAND else self.own
        return replace(self, own=own, alone=None if self.alone is None else min(self.alone, count - 1), at=1)

    def smallest_by(self, by: int) -> "Values":
        """Join larger shapes, or only smaller ones."""
        at = nearest_smallest(self.smallest_mm2) + by
        return replace(self, smallest_mm2=SMALLEST_MM2[min(max(at, 0), len(SMALLEST_MM2) - 1)], at=1)

    def walked(self, by: int, count: int) -> "Values":
        """The next darker (-1) or lighter step alone; from all steps it begins at the darkest, or the lightest."""
        if self.alone is None:
            return replace(self, alone=0 if by > 0 else count - 1)
        return replace(self, alone=min(max(self.alone + by, 0), count - 1))

    def to_json(self) -> dict[str, Any]:
        reach = self.reach
        return {
            "between": self.between,
            "own": list(self.own),
            "smallest_mm2": self.smallest_mm2,
            "alone": self.alone,
            "marks": self.marks,
            "order": self.order,
            "at": self.at,
            "reach": None
            if reach is None
            else [reach.darkest, reach.lightest, reach.uncertainty, reach.from_canvas],
            "keying": self.keying,
            "beyond": self.beyond,
            "earth": self.earth,
            "printed": [self.printed.paper, self.printed.fitted, self.printed.with_grid],
        }  # fmt: skip

    @classmethod
    def from_json(cls, data: Any, count: int) -> "Values":
        """Those that were kept, for so many steps; each part that cannot be read is as usual."""
        if not isinstance(data, dict):
            return cls()
        found = cls()
        for part in fields(cls):
            if part.name in data:
                try:
                    found = replace(found, **{part.name: _READ[part.name](data[part.name])})
                except (TypeError, ValueError, KeyError):
                    continue
        if len(found.own) != count - 1:
            found = replace(found, own=(), between=Between.EQUAL if found.between is Between.HAND else found.between)
        alone = found.alone if found.alone is not None and 0 <= found.alone < count else None
        return replace(found, alone=alone)


def own_for(own: Sequence[float], count: int) -> tuple[float, ...]:
    """Boundaries for ``count`` steps: the widest steps are halved, or the narrowest joined, until there are so many."""
    found = list(own)
    while len(found) < count - 1:
        ends = [0.0, *found, _WHITE]
        at = max(range(len(ends) - 1), key=lambda i: ends[i + 1] - ends[i])
        found.insert(at, round((ends[at] + ends[at + 1]) / 2, 2))
    while len(found) > count - 1:
        ends = [0.0, *found, _WHITE]
        at = min(range(len(found)), key=lambda i: ends[i + 2] - ends[i])
        del found[at]
    return tuple(found)


def nearest_smallest(mm2: float) -> int:
    return min(range(len(SMALLEST_MM2)), key=lambda i: abs(SMALLEST_MM2[i] - mm2))


def _own(data: Any) -> tuple[float, ...]:
    own = tuple(float(each) for each in data)
    ends = (0.0, *own, _WHITE)
    if not all(high - low >= _APART - 1e-9 for low, high in pairwise(ends)):
        raise ValueError("boundaries rise from dark to light")
    return own


def _reach(data: Any) -> PaintReach | None:
    if data is None:
        return None
    darkest, lightest, uncertainty, from_canvas = data
    found = PaintReach(float(darkest), float(lightest), float(uncertainty), bool(from_canvas))
    if not (0.0 <= found.darkest <= found.lightest - 2.0 <= _WHITE - 2.0 and 0.0 <= found.uncertainty < _WHITE):
        raise ValueError("no reach of paint")
    return found


def _printed(data: Any) -> Printed:
    paper, fitted, with_grid = data
    if paper not in PAPERS:
        raise ValueError("no paper known here")
    return Printed(paper, bool(fitted), bool(with_grid))


def _keying(data: Any) -> str:
    return KEYINGS[KEYINGS.index(data)]


def _smallest(data: Any) -> float:
    return SMALLEST_MM2[nearest_smallest(float(data))]


_READ: dict[str, Any] = {
    "between": Between,
    "own": _own,
    "smallest_mm2": _smallest,
    "alone": lambda data: None if data is None else int(data),
    "marks": bool,
    "order": bool,
    "at": lambda data: max(int(data), 1),
    "reach": _reach,
    "keying": _keying,
    "beyond": bool,
    "earth": str,
    "printed": _printed,
}
