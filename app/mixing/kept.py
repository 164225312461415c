"""The mixing list of a sitting: plain values, kept with the painting and undone with it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from app.measures import onto
from core.painting import Painting
from core.size import Size

MIXES = "mixing list"
"""The plan it is kept in."""
MOST_MIXES = 40
MOST_NAME = 24
_MOST_TUBES, _MOST_PARTS = 4, 1000

Point = tuple[float, float]
Light = tuple[float, float, float]
Parts = tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Mix:
    """``light``: linear light of what is to be mixed, in the sRGB primaries. ``parts``: tubes with their whole parts.
    ``at``: where it was read, mm, with ``span_mm`` across; None for a value ``step`` (1 the darkest) or a typed
    colour."""

    number: int
    light: Light
    parts: Parts
    name: str = ""
    at: Point | None = None
    span_mm: float = 0.0
    step: int | None = None

    @property
    def told(self) -> str:
        """How lists call it."""
        if self.name:
            return self.name
        return f"value step {self.step}" if self.step is not None else f"mix {self.number}"

    @property
    def whole(self) -> Mapping[str, int]:
        return dict(self.parts)

    def to_json(self) -> dict[str, Any]:
        return {
            "number": self.number,
            "light": list(self.light),
            "parts": [list(each) for each in self.parts],
            "name": self.name,
            "at": None if self.at is None else list(self.at),
            "span_mm": self.span_mm,
            "step": self.step,
        }

    @classmethod
    def from_json(cls, data: Any, size: Size) -> "Mix":
        """Raises KeyError, TypeError or ValueError when it is none. A place off the canvas comes back onto it."""
        light = tuple(float(each) for each in data["light"])
        parts = tuple((str(name), int(count)) for name, count in data["parts"])
        if len(light) != 3 or not all(math.isfinite(each) for each in light):
            raise ValueError("light is three numbers")
        counts = [count for _, count in parts]
        if not 1 <= len(parts) <= _MOST_TUBES or min(counts) < 1 or sum(counts) > _MOST_PARTS:
            raise ValueError("a mix has a few whole parts")
        at, step = data.get("at"), data.get("step")
        return cls(
            number=int(data["number"]),
            light=(light[0], light[1], light[2]),
            parts=parts,
            name=mix_name(str(data.get("name", ""))),
            at=None if at is None else onto(at, size),
            span_mm=float(data.get("span_mm", 0.0)),
            step=None if step is None else int(step),
        )


@dataclass(frozen=True)
class MixingList:
    """In the order they were put on it."""

    mixes: tuple[Mix, ...] = ()

    @property
    def next_number(self) -> int:
        """The smallest that is free."""
        taken = {mix.number for mix in self.mixes}
        return next(number for number in range(1, len(taken) + 2) if number not in taken)

    def added(self, mix: Mix) -> "MixingList":
        return replace(self, mixes=(*self.mixes, replace(mix, number=self.next_number)))

    def named(self, number: int, name: str) -> "MixingList":
        """One with another name; an empty one takes its name back."""
        name = mix_name(name)
        return replace(self, mixes=tuple(replace(m, name=name) if m.number == number else m for m in self.mixes))

    def without(self, number: int) -> "MixingList":
        return replace(self, mixes=tuple(mix for mix in self.mixes if mix.number != number))

    def mix(self, number: int) -> Mix | None:
        return next((mix for mix in self.mixes if mix.number == number), None)

    @property
    def tubes(self) -> tuple[str, ...]:
        """All that are needed, each once, those that are needed most first."""
        total: dict[str, float] = {}
        for mix in self.mixes:
            whole = sum(count for _, count in mix.parts)
            for name, count in mix.parts:
                total[name] = total.get(name, 0.0) + count / whole
        return tuple(sorted(total, key=lambda name: (-total[name], name)))

    @classmethod
    def from_json(cls, data: Any, size: Size) -> "MixingList":
        """What was kept; mixes that cannot be read are left out."""
        found: dict[int, Mix] = {}
        for each in data if isinstance(data, list) else ():
            try:
                mix = Mix.from_json(each, size)
            except (KeyError, TypeError, ValueError, OverflowError):
                continue
            found.setdefault(mix.number, mix)
        return cls(tuple(found.values())[:MOST_MIXES])


def mix_name(typed: str) -> str:
    """As it is kept: without needless spaces, and not too long."""
    return " ".join(typed.split())[:MOST_NAME].strip()


def kept_list(painting: Painting) -> MixingList:
    return MixingList.from_json(painting.plan(MIXES), painting.size)


def keep_list(painting: Painting, mixes: MixingList, label: str) -> None:
    """As one step of ``label``. Raises PaintingError with a sentence when that cannot be done."""
    painting.set_plan(MIXES, [mix.to_json() for mix in mixes.mixes], label=label)
