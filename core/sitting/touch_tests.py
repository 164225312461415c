"""Touch tests: what a clean finger found, and between which times a layer must have become dry by them.

A layer goes from wet to tacky to dry. A test that is not dry says that it takes longer than that; a dry one, that it
does not. Tests that go back (wet after dry) cannot all hold: then the later, softer one counts, for to believe it costs
a few days, and not to believe it a sitting on paint that still gives.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from core.sitting.dates import day_and_hour

DAY_SECONDS = 86_400.0


class Touch(StrEnum):
    """Wet: paint comes off on the finger. Tacky: nothing comes off, but it clings. Dry: neither."""

    WET = "wet"
    TACKY = "tacky"
    DRY = "dry"


_SOFTNESS = (Touch.DRY, Touch.TACKY, Touch.WET)


@dataclass(frozen=True)
class TouchTest:
    """``at``: when it was touched, with its time zone."""

    at: datetime
    found: Touch


@dataclass(frozen=True)
class Bounds:
    """Days since the layer was finished; None where no test says. ``after``: it was not dry yet; ``by``: it was.

    ``told``: sentences on tests that do not fit.
    """

    after: float | None = None
    by: float | None = None
    told: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether no test says anything."""
        return self.after is None and self.by is None


def read_tests(finished: datetime, tests: Sequence[TouchTest]) -> Bounds:
    """What the tests of one layer, in any order, say of the time since it was finished. Both with a time zone."""
    told = []
    held: list[tuple[float, TouchTest]] = []
    for test in sorted(tests, key=lambda each: (each.at, _SOFTNESS.index(each.found))):
        days = (test.at - finished).total_seconds() / DAY_SECONDS
        if days <= 0.0:
            told.append(
                f"The touch test of {day_and_hour(test.at)} was before the layer was finished, and is not counted. "
                "Set its time, or that of the layer, right."
            )
            continue
        while held and _SOFTNESS.index(held[-1][1].found) < _SOFTNESS.index(test.found):
            told.append(_goes_back(held.pop()[1], test))
        held.append((days, test))
    return Bounds(
        max((days for days, test in held if test.found is not Touch.DRY), default=None),
        min((days for days, test in held if test.found is Touch.DRY), default=None),
        tuple(told),
    )


def touches_as_json(tests: Sequence[TouchTest]) -> list[dict[str, str]]:
    """For JSON: ``at`` in ISO 8601 with its time zone, ``found``."""
    return [{"at": test.at.isoformat(), "found": str(test.found)} for test in tests]


def touches_from_json(value: Any) -> tuple[tuple[TouchTest, ...], tuple[str, ...]]:
    """The tests that can be read, and a sentence if some cannot. Never raises."""
    if value is None:
        return (), ()
    entries = value if isinstance(value, list) else [value]
    read = [test for entry in entries if (test := _one(entry)) is not None]
    lost = len(entries) - len(read)
    if not lost:
        return tuple(read), ()
    return tuple(read), (f"{lost} touch test{'s' if lost > 1 else ''} could not be read and must be noted again.",)


def _one(entry: Any) -> TouchTest | None:
    if not isinstance(entry, dict):
        return None
    try:
        at, found = datetime.fromisoformat(entry["at"]), Touch(entry["found"])
    except (KeyError, TypeError, ValueError):
        return None
    return None if at.tzinfo is None else TouchTest(at, found)


def _goes_back(before: TouchTest, after: TouchTest) -> str:
    return (
        f"Found {before.found} on {day_and_hour(before.at)}, but {after.found} on {day_and_hour(after.at)}: "
        f"both cannot be, and the later one counts. Touch the same place each time."
    )
