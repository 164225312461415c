"""How the landmarks and the values went over the sittings, read from the checks that were kept."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from app.findings import Findings, Landmark, read_findings
from core.drawing.drift_confidence import sigma_of, tolerance_mm
from core.drawing.history import Course, Seen, Sitting, courses
from core.painting import CanvasPhotoRecord, CheckRecord
from core.size import Size

if TYPE_CHECKING:
    from core.drawing.by_hand import Hand

_SAME_MM = 0.01


@dataclass(frozen=True)
class Kept:
    """A canvas photo, its last check, and the landmarks that are placed by hand on it."""

    photo: CanvasPhotoRecord
    record: CheckRecord
    hands: "dict[str, Hand]" = field(default_factory=dict)


def read_kept(kept: Kept, size: Size) -> Findings | None:
    """The findings of one kept check; None when it cannot be read."""
    record = kept.record
    return read_findings(record.result, size, made_at=record.made_at, is_current=record.is_current, hands=kept.hands)


def read_courses(kept: Sequence[Kept], now: Findings, size: Size) -> dict[str, Course]:
    """The course of every landmark of ``now``, by name.

    Where a landmark of the drawing was moved since a check, its drift then is told from where it belongs ``now``: what
    was painted has not moved with it. Checks of a canvas of another size say nothing any more.
    """
    belongs = {mark.name: (mark.x_mm, mark.y_mm) for mark in now.landmarks}
    sittings = []
    for each in kept:
        found = read_kept(each, size)
        if found is not None and _of_size(each.record.result, size):
            seen = tuple(
                _seen(mark, belongs[mark.name], each, size) for mark in found.landmarks if mark.name in belongs
            )
            sittings.append(Sitting(each.photo.sitting, each.photo.id, seen))
    return courses(sittings)


def read_progress(kept: Sequence[Kept], size: Size) -> tuple[str, ...]:
    """What the last photo changed, then a sentence for each passage, those still there first; none with one photo."""
    from core.value_history import value_history, value_sitting

    rows = []
    for each in kept:
        if read_kept(each, size) is not None and _of_size(each.record.result, size):
            rows.append(value_sitting(each.photo.sitting, each.photo.id, json.loads(each.record.result)["check"]))
    if len(rows) < 2:
        return ()
    history = value_history(rows)
    went = (f"{course.say[:1].upper()}{course.say[1:]}." for course in history.courses)
    return tuple(sentence for sentence in (history.say, *went) if sentence)


def _of_size(text: str, size: Size) -> bool:
    width, height = json.loads(text)["check"]["size_mm"]
    return bool(abs(width - size.width_mm) < _SAME_MM and abs(height - size.height_mm) < _SAME_MM)


def _seen(mark: Landmark, belongs: tuple[float, float], kept: Kept, size: Size) -> Seen:
    if mark.dx_mm is None or mark.dy_mm is None or not mark.is_told:
        return Seen(mark.name, None, None, None)
    hand = kept.hands.get(mark.name)
    sigma = hand.sigma_mm if hand is not None else sigma_of(mark.confidence, tolerance_mm(size))
    dx, dy = mark.x_mm + mark.dx_mm - belongs[0], mark.y_mm + mark.dy_mm - belongs[1]
    return Seen(mark.name, dx, dy, sigma, by_hand=mark.by_hand)
