"""Which coats lie on one another: what was really painted in the order it was, then what is planned."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from core.sitting.coat import Coat, Lies
from core.sitting.dates import day
from core.sitting.log import LoggedSitting, SittingLog
from core.sitting.plan import SittingPlan


@dataclass(frozen=True)
class Laid:
    """A coat that counts. ``name``: such as ``sitting 2``. ``done``: painted already. ``found_dry``: by touch."""

    key: int
    name: str
    coat: Coat
    done: bool = False
    found_dry: bool = False


def laid(plan: SittingPlan, log: SittingLog | None = None, *, found_dry: Collection[int] = ()) -> tuple[Laid, ...]:
    """From the lowest up, without those wiped off or elsewhere. ``found_dry``: keys of sittings found dry to the touch.

    What the log tells was painted counts as it was painted, by its day; one without a day keeps its place in the plan.
    """
    log = log or SittingLog()
    begun = {each.key: each for each in log.entries if each.begun}
    painted = [begun[each.key] for each in plan.sittings if each.key in begun]
    planned = {each.key for each in plan.sittings}
    removed = [each for each in begun.values() if each.key not in planned]
    layers = [
        Laid(each.key, _name(each, plan, planned), each.coat, True, each.key in found_dry)
        for each in _by_day([*painted, *removed])
    ]
    layers += [
        Laid(each.key, f"sitting {number}", each.coat)
        for number, each in enumerate(plan.sittings, start=1)
        if each.key not in begun
    ]
    return tuple(each for each in layers if each.coat.lies is Lies.OVER)


def _by_day(entries: list[LoggedSitting]) -> list[LoggedSitting]:
    """In the order of their days; one without a day goes with the one before it."""
    told: list[tuple[date, LoggedSitting]] = []
    for each in entries:
        told.append((each.began_on or (told[-1][0] if told else date.min), each))
    return [entry for _, entry in sorted(told, key=lambda pair: pair[0])]


def _name(entry: LoggedSitting, plan: SittingPlan, planned: Collection[int]) -> str:
    if entry.key in planned:
        return f"sitting {plan.number(entry.key)}"
    began = entry.began_on
    return "a sitting that is no longer planned" if began is None else f"the sitting of {day(began)}"
