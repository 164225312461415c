"""What the plan and the log of the sittings tell in a report, in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from app.sittings.words import coat_words, first_up
from core.errors import PainterError
from core.painting import CanvasPhotoRecord, Painting
from core.painting_report.parts import SittingWords
from core.sitting.log import SITTING_LOG, LoggedSitting, SittingLog, read_log
from core.sitting.plan import SITTING_PLAN, PlannedSitting, SittingPlan, read_plan
from core.sitting.timer import in_words


@dataclass(frozen=True)
class Told:
    """``plan``: lines. ``sittings``: words by the number of the sitting. ``trouble``: what could not be read, in
    sentences."""

    plan: tuple[str, ...]
    sittings: dict[int, SittingWords]
    trouble: tuple[str, ...] = ()


def told_of(painting: Painting, *, to_mend: bool) -> Told:
    """``to_mend``: whether what is still to mend is told of each sitting, as for a student. Never raises."""
    plan, log = SittingPlan((), 1), SittingLog()
    trouble: list[str] = []
    held = painting.plan(SITTING_PLAN)
    try:
        if held is not None:
            plan, said = read_plan(held)
            trouble += said
    except PainterError as problem:
        trouble.append(str(problem))
    try:
        log, said = read_log(painting.plan(SITTING_LOG))
        trouble += said
    except PainterError as problem:
        trouble.append(str(problem))
    photos = [photo for photo in painting.canvas_photos() if not photo.is_blank]
    return Told(plan_lines(plan), sitting_words(plan, log, photos, to_mend=to_mend), tuple(trouble))


def plan_lines(plan: SittingPlan) -> tuple[str, ...]:
    """How much is planned, then each sitting of it."""
    if not plan.sittings:
        return ()
    count = len(plan.sittings)
    first = f"Planned: {count} {'sitting' if count == 1 else 'sittings'}, {_minutes(plan.minutes)} in all."
    return (first, *(_line(number, each) for number, each in enumerate(plan.sittings, start=1)))


def sitting_words(
    plan: SittingPlan, log: SittingLog, photos: Iterable[CanvasPhotoRecord], *, to_mend: bool
) -> dict[int, SittingWords]:
    """What was painted, by the number of the sitting: that of its photo on the ledge, so that words and photo stand
    together; else its number in the plan; else, where that is taken or there is none, the next that is free."""
    photos = list(photos)
    on_ledge = {photo.id: photo.sitting for photo in photos}
    in_plan = {each.key: number for number, each in enumerate(plan.sittings, start=1)}
    begun = sorted(
        (entry for entry in log.entries if entry.begun), key=lambda entry: in_plan.get(entry.key, len(photos))
    )
    numbers: dict[int, LoggedSitting] = {}
    for wanted in ({each.key: on_ledge.get(each.after or 0) for each in begun}, in_plan):
        for entry in begun:
            number = wanted.get(entry.key)
            if number is not None and number not in numbers and entry not in numbers.values():
                numbers[number] = entry
    for entry in begun:
        if entry not in numbers.values():
            numbers[max((*numbers, *on_ledge.values(), *in_plan.values(), 0)) + 1] = entry
    aims = {each.key: each.aim for each in plan.sittings}
    return {
        number: _words(entry, aims.get(entry.key, ""), [p.note for p in photos if p.sitting == number], to_mend)
        for number, entry in sorted(numbers.items())
    }


def _words(entry: LoggedSitting, aim: str, notes: list[str], to_mend: bool) -> SittingWords:
    done = [each.strip() for each in (entry.done, entry.notes, *notes) if each.strip()]
    if to_mend and entry.still_to_mend:
        done.append(f"Still to mend: {' '.join(entry.still_to_mend)}")
    minutes = entry.timer.length().total_seconds() / 60
    return SittingWords(
        entry.began_on, aim.strip(), first_up(coat_words(entry.coat)), tuple(dict.fromkeys(done)), minutes or None
    )


def _line(number: int, sitting: PlannedSitting) -> str:
    aim, coat = sitting.aim.strip().rstrip("."), first_up(coat_words(sitting.coat))
    told = ". ".join(part for part in (aim, coat) if part)
    return f"Sitting {number}, {_minutes(sitting.minutes)}: {told}."


def _minutes(minutes: int) -> str:
    return in_words(timedelta(minutes=minutes))
