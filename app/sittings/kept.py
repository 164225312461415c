"""What a painting keeps of its sittings: the plan, the log, the drying and the days, each read for itself."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from app.sittings.days import DAYS, PlannedDays, read_days
from core.errors import PainterError
from core.painting import Painting
from core.sitting.drying_record import SCHEMA as DRYING_SCHEMA
from core.sitting.drying_record import SITTING_DRYING, DryingRecord, drying_from_json
from core.sitting.log import SITTING_LOG, SittingLog, read_log
from core.sitting.plan import SITTING_PLAN, SittingPlan, read_plan
from core.sitting.record import SCHEMA

T = TypeVar("T")

_NEWER = "It was saved by a newer Easelside. Bring this one up to date; nothing in it was changed."


@dataclass(frozen=True)
class Kept:
    """``plan``: None where nothing is planned yet, or what is cannot be read. ``told``: what could not be read, in
    sentences. ``locked``: names of the plans of a newer program, each with why it stays as it is."""

    plan: SittingPlan | None = None
    log: SittingLog = field(default_factory=SittingLog)
    drying: DryingRecord = field(default_factory=DryingRecord)
    days: PlannedDays = field(default_factory=PlannedDays)
    told: tuple[str, ...] = ()
    locked: Mapping[str, str] = field(default_factory=dict)


def documents(painting: Painting) -> dict[str, Any]:
    """What is kept, as it is."""
    return {name: painting.plan(name) for name in (SITTING_PLAN, SITTING_LOG, SITTING_DRYING, DAYS)}


def read_kept(data: Mapping[str, Any]) -> Kept:
    """Never raises: what cannot be read is told."""
    told: list[str] = []
    locked: dict[str, str] = {}

    def take(name: str, newest: int, read: Callable[[Any], tuple[T, tuple[str, ...]]], usual: T) -> T:
        held = data.get(name)
        if is_newer(held, newest):
            locked[name] = _NEWER
        try:
            found, said = read(held)
        except PainterError as trouble:
            told.append(str(trouble))
            if name in locked:
                locked[name] = str(trouble)
            return usual
        told.extend(said)
        return found

    plan: SittingPlan | None = None
    if data.get(SITTING_PLAN) is not None:
        plan = take(SITTING_PLAN, SCHEMA, _plan, None)
    log = take(SITTING_LOG, SCHEMA, read_log, SittingLog())
    drying = take(SITTING_DRYING, DRYING_SCHEMA, drying_from_json, DryingRecord())
    days = take(DAYS, 1, read_days, PlannedDays())
    return Kept(plan, log, drying, days, tuple(told), locked)


def is_newer(data: Any, newest: int) -> bool:
    """Whether a newer program has kept it."""
    schema = data.get("schema") if isinstance(data, Mapping) else None
    return type(schema) is int and schema > newest


def _plan(data: Any) -> tuple[SittingPlan | None, tuple[str, ...]]:
    return read_plan(data)
