"""From what has been read of the reference to what lies over it."""

from functools import lru_cache
from typing import TYPE_CHECKING

from app.values.jobs import Work
from app.values.settings import SHOWN_AHEAD
from app.view import View
from app.wall.value_marks import MarkShape, Outline, ValueMarks, WorkNumber

if TYPE_CHECKING:
    from app.values.reads import ValueReads
    from core.value.first_marks import FirstMark
    from core.value.order import Placed


def value_marks(reads: "ValueReads", view: View) -> ValueMarks | None:
    """What lies over the reference; None when nothing is wanted, or nothing has been found yet."""
    values = view.values
    found = reads.marks() if values.marks else None
    work = reads.work() if values.order else None
    if not found and work is None:
        return None
    numbers: tuple[WorkNumber, ...] = ()
    numbered: frozenset[str] = frozenset()
    current: Outline | None = None
    if work is not None:
        at = place_at(work, values.at)
        shown = shown_about(work, at)
        numbers = tuple(_number(each, at, named=bool(found)) for each in shown)
        numbered = frozenset(_name(each.mark) for each in shown if each.mark is not None)
        current = reads.outline(work, work.placed[at - 1].region.index)
    return ValueMarks(() if not found else _shapes(found), numbers, current, numbered)


def place_at(work: Work, at: int) -> int:
    """A number in the order of work, held to those there are."""
    return min(max(at, 1), len(work.placed))


def shown_about(work: Work, at: int) -> "tuple[Placed, ...]":
    """The place looked at and those to come after it, and before them those that it is judged by."""
    current = work.placed[at - 1]
    earlier = tuple(work.placed[number - 1] for number in sorted(current.against))
    return (*earlier, *work.placed[at - 1 : at - 1 + SHOWN_AHEAD])


def _number(placed: "Placed", at: int, *, named: bool) -> WorkNumber:
    """``named``: one that is a first mark says so."""
    region, mark = placed.region, placed.mark
    if mark is None or not named:
        label, place = str(placed.number), (region.x_mm, region.y_mm)
    else:
        label, place = f"{placed.number} {_name(mark)}", (mark.x_mm, mark.y_mm)
    return WorkNumber(label, place, placed.number == at, placed.number < at)


def _name(mark: "FirstMark") -> str:
    from core.first_marks_print import mark_name

    return mark_name(mark)


@lru_cache(maxsize=8)
def _shapes(found: "tuple[FirstMark, ...]") -> tuple[MarkShape, ...]:
    return tuple(MarkShape(_name(mark), mark.kind == "dark", (mark.x_mm, mark.y_mm), mark.outline_mm) for mark in found)
