"""The days that planned sittings are given: kept with the painting beside the plan, by the key of the sitting."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from types import MappingProxyType
from typing import Any

from core.sitting.plan import SittingPlan

DAYS = "sitting_days"
"""The plan of the painting that holds them."""
SCHEMA = 1
BEGINS = time(10)
"""When a sitting begins that is given a day."""
_YEARS = range(1900, 2200)


@dataclass(frozen=True)
class PlannedDays:
    """``begins``: by the key of the sitting, when it is to begin, by the clock on the wall."""

    begins: Mapping[int, datetime] = field(default_factory=lambda: MappingProxyType({}))

    def of(self, key: int) -> datetime | None:
        return self.begins.get(key)

    def given(self, key: int, begins: datetime) -> "PlannedDays":
        return PlannedDays(MappingProxyType({**self.begins, key: begins}))

    def without(self, key: int) -> "PlannedDays":
        return PlannedDays(MappingProxyType({each: at for each, at in self.begins.items() if each != key}))

    def within(self, plan: SittingPlan) -> "PlannedDays":
        """Without those of sittings that are planned no longer."""
        planned = {each.key for each in plan.sittings}
        return PlannedDays(MappingProxyType({key: at for key, at in self.begins.items() if key in planned}))

    def to_json(self) -> dict[str, Any]:
        """Plain data that :func:`read_days` reads back."""
        return {"schema": SCHEMA, "begins": {str(key): at.isoformat() for key, at in self.begins.items()}}


def read_days(data: Any) -> tuple[PlannedDays, tuple[str, ...]]:
    """The days, and a sentence where some cannot be read. Never raises."""
    if data is None:
        return PlannedDays(), ()
    held = data.get("begins") if isinstance(data, Mapping) else None
    if not isinstance(held, Mapping):
        return PlannedDays(), ("The days of the sittings could not be read. Give them again.",)
    found: dict[int, datetime] = {}
    for key, at in held.items():
        try:
            begins = datetime.fromisoformat(at)
            if begins.tzinfo is None and begins.year in _YEARS:
                found[int(key)] = begins
        except (TypeError, ValueError):
            continue
    lost = len(held) - len(found)
    told = () if not lost else ("Some days of the sittings could not be read. Give them again.",)
    return PlannedDays(MappingProxyType(found)), told


def at_usual_hour(day: date) -> datetime:
    """The day, from the usual hour on."""
    return datetime.combine(day, BEGINS)
