"""The plan of a painting in sittings: each with its aim, its paint and how long it should take.

Four to start with: two thin and quick, one long, one of small corrections (common practice, no source). A sitting has a
key that stays its own, so that the log finds it again when others are moved or removed; its number is its place.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from core.errors import PaintingError
from core.sitting.coat import USUAL_COAT, Coat, read_coat
from core.sitting.layer import Medium, Thickness
from core.sitting.record import SCHEMA, Reading, as_text, as_whole, opened
from core.sitting.timer import LONGEST_MINUTES

SITTING_PLAN = "sitting_plan"
"""The plan of the painting that holds it."""
_USUAL_MINUTES = 120
_WHAT = "plan of the sittings"


@dataclass(frozen=True)
class PlannedSitting:
    """``key``: its own, from 1, whatever its place. ``minutes``: how long it should take, 1 to a day.

    Raises PaintingError for a length that no sitting has.
    """

    key: int
    aim: str = ""
    coat: Coat = USUAL_COAT
    minutes: int = _USUAL_MINUTES

    def __post_init__(self) -> None:
        if not 1 <= self.minutes <= LONGEST_MINUTES:
            raise PaintingError(
                f"A sitting takes from a minute to 24 hours; {self.minutes} minutes is not within that."
            )


@dataclass(frozen=True)
class SittingPlan:
    """``sittings``: in their order. ``next_key``: the key of the next one that is added; none is ever used again."""

    sittings: tuple[PlannedSitting, ...]
    next_key: int

    def of(self, key: int) -> PlannedSitting:
        """The sitting of this key. PaintingError where the plan no longer holds it."""
        return self.sittings[self._place(key)]

    def number(self, key: int) -> int:
        """Its place, from 1. PaintingError where the plan no longer holds it."""
        return self._place(key) + 1

    def changed(self, sitting: PlannedSitting) -> "SittingPlan":
        """With this one in place of that of the same key."""
        place = self._place(sitting.key)
        return replace(self, sittings=(*self.sittings[:place], sitting, *self.sittings[place + 1 :]))

    def added(
        self, *, aim: str = "", coat: Coat = USUAL_COAT, minutes: int = _USUAL_MINUTES, number: int | None = None
    ) -> "SittingPlan":
        """With one more: at the end, or as the one of this number, the later ones moving on."""
        at = len(self.sittings) if number is None else min(max(number - 1, 0), len(self.sittings))
        new = PlannedSitting(self.next_key, aim, coat, minutes)
        return SittingPlan((*self.sittings[:at], new, *self.sittings[at:]), self.next_key + 1)

    def split(self, key: int) -> "SittingPlan":
        """In two of half the length (up to a minute), with the same aim and paint; the first keeps the key."""
        place = self._place(key)
        whole = self.sittings[place]
        first = replace(whole, minutes=(whole.minutes + 1) // 2)
        second = replace(whole, key=self.next_key, minutes=max(1, whole.minutes // 2))
        return SittingPlan((*self.sittings[:place], first, second, *self.sittings[place + 1 :]), self.next_key + 1)

    def moved(self, key: int, number: int) -> "SittingPlan":
        """With this sitting as the one of that number, from 1; the first or last where there is no such number."""
        sitting = self.of(key)
        rest = [each for each in self.sittings if each.key != key]
        rest.insert(min(max(number - 1, 0), len(rest)), sitting)
        return replace(self, sittings=tuple(rest))

    def removed(self, key: int) -> "SittingPlan":
        """Without this sitting. What the log holds of it stays in the log."""
        place = self._place(key)
        return replace(self, sittings=(*self.sittings[:place], *self.sittings[place + 1 :]))

    @property
    def minutes(self) -> int:
        """How long all of it should take."""
        return sum(each.minutes for each in self.sittings)

    def to_json(self) -> dict[str, Any]:
        """Plain data that :func:`read_plan` reads back."""
        return {
            "schema": SCHEMA,
            "next_key": self.next_key,
            "sittings": [
                {"key": each.key, "aim": each.aim, "minutes": each.minutes, **each.coat.to_json()}
                for each in self.sittings
            ],
        }

    def _place(self, key: int) -> int:
        for place, each in enumerate(self.sittings):
            if each.key == key:
                return place
        raise PaintingError("This sitting is no longer in the plan. Undo its removal, or choose another.")


def usual_plan() -> SittingPlan:
    """Four sittings: two thin and quick, one long, one of small corrections (common practice, no source)."""
    wanted = (
        ("The large shapes and the darks, thin and quick", Medium.SOLVENT, Thickness.THIN, 60),
        ("Lights against darks: the whole canvas covered, thin and quick", Medium.STRAIGHT, Thickness.THIN, 90),
        ("Form by form: drawing, values, temperature and edges", Medium.LITTLE_OIL, Thickness.USUAL, 240),
        ("Small corrections and accents", Medium.LITTLE_OIL, Thickness.USUAL, 60),
    )
    sittings = tuple(
        PlannedSitting(key, aim, Coat(medium, thickness), minutes)
        for key, (aim, medium, thickness, minutes) in enumerate(wanted, start=1)
    )
    return SittingPlan(sittings, len(sittings) + 1)


def read_plan(data: Any) -> tuple[SittingPlan, tuple[str, ...]]:
    """What was kept, and a sentence for everything in it that could not be read and is as usual now.

    None, where nothing was kept yet, is the usual plan. Raises PaintingError for a plan of a newer program, and for
    what is no plan at all.
    """
    if data is None:
        return usual_plan(), ()
    kept = opened(data, _WHAT)
    reading = Reading()
    sittings: list[PlannedSitting] = []
    for number, entry in enumerate(reading.entries(kept, "sittings", f"the {_WHAT}"), start=1):
        sittings.append(_sitting(entry, f"sitting {number}", reading))
    used = [each.key for each in sittings]
    free = max((*used, reading.take(kept, "next_key", f"the count in the {_WHAT}", as_whole, 1) - 1, 0)) + 1
    seen: set[int] = set()
    for place, sitting in enumerate(sittings):
        if sitting.key < 1 or sitting.key in seen:
            sittings[place] = replace(sitting, key=free)
            reading.told.append(f"Sitting {place + 1} could not be matched with the log. Note again what was done.")
            free += 1
        seen.add(sittings[place].key)
    return SittingPlan(tuple(sittings), free), tuple(reading.told)


def _sitting(entry: Mapping[str, Any], where: str, reading: Reading) -> PlannedSitting:
    take = reading.take
    return PlannedSitting(
        take(entry, "key", f"the key of {where}", as_whole, 0),
        take(entry, "aim", f"the aim of {where}", as_text, ""),
        read_coat(entry, where, reading),
        take(entry, "minutes", f"the length of {where}", _minutes, _USUAL_MINUTES),
    )


def _minutes(value: Any) -> int:
    return PlannedSitting(1, minutes=as_whole(value)).minutes
