"""Pricking dots: the landmarks as dots to prick through, each with its name beside it where there is room."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.drawing.drawing import Landmark
from core.drawing.sheet_ink import DOT_RADIUS_MM, Rect
from core.drawing.sheet_page import HAIR_MM, Draft
from core.drawing.sheet_space import Space
from core.drawing.sheet_type import CAP_HEIGHT, MM_PER_PT, can_set, width_mm

Array = NDArray[np.float64]

RING_MM, NAME_PT = 1.6, 6.5
_LONGEST = 40
_AROUND = np.linspace(0.0, 2.0 * np.pi, 33)


def landmark_dots(draft: Draft, marks: Sequence[Landmark], shown: Rect, on_paper: Callable[[Array], Array]) -> None:
    """Dots with a ring about them, and names where they cover as little as can be of lines, dots and other names.

    The lines must be on the draft already.
    """
    left, top, right, bottom = shown
    seen = [(n, m) for n, m in enumerate(marks, 1) if left <= m.x_mm <= right and top <= m.y_mm <= bottom]
    if not seen:
        return
    centres = on_paper(np.array([(m.x_mm, m.y_mm) for _, m in seen]))
    room = on_paper(np.array([(left, top), (right, bottom)])).ravel()
    rings = [(x - RING_MM, y - RING_MM, x + RING_MM, y + RING_MM) for x, y in centres.tolist()]
    space = Space((stroke.points for stroke in draft.strokes), rings)
    for (number, mark), (x, y) in zip(seen, centres.tolist(), strict=True):
        draft.fill(_circle(x, y, DOT_RADIUS_MM))
        draft.stroke(_circle(x, y, RING_MM), HAIR_MM)
        name = printed_name(mark, number)
        wide, high = width_mm(name, NAME_PT), CAP_HEIGHT * NAME_PT * MM_PER_PT
        boxes = [box for box in _beside(x, y, wide, high) if _within(box, room)]
        if boxes:
            box = space.take(boxes)
            draft.write(name, box[0], box[3], NAME_PT)


def printed_name(mark: Landmark, number: int) -> str:
    """A landmark's name as it can be set: by its number when the typeface lacks its letters, shortened when long."""
    name = mark.name if mark.name and _settable(mark.name) else str(number)
    return name if len(name) <= _LONGEST else name[: _LONGEST - 1].rstrip() + "…"


def numbered_notes(marks: Sequence[Landmark]) -> tuple[str, ...]:
    """What is said of landmarks that are printed by number."""
    numbered = [number for number, mark in enumerate(marks, 1) if not _settable(mark.name)]
    if not numbered:
        return ()
    which = ", ".join(map(str, numbered[:12])) + (" and more" if len(numbered) > 12 else "")
    return (
        f"Landmarks {which} stand on the sheets by number: the sheets' typeface has not all letters of their names.",
    )


@lru_cache(maxsize=2048)
def _settable(name: str) -> bool:
    return can_set(name)


def _circle(x: float, y: float, radius: float) -> Array:
    return np.column_stack([x + radius * np.cos(_AROUND), y + radius * np.sin(_AROUND)])


def _beside(x: float, y: float, wide: float, high: float) -> Iterator[Rect]:
    """Places for a name, the most usual first: right, left, above, below, then the four corners."""
    off = RING_MM + 0.6
    for left, base in (
        (x + off, y + high / 2),
        (x - off - wide, y + high / 2),
        (x - wide / 2, y - off),
        (x - wide / 2, y + off + high),
        (x + off * 0.7, y - off * 0.7),
        (x + off * 0.7, y + off * 0.7 + high),
        (x - off * 0.7 - wide, y - off * 0.7),
        (x - off * 0.7 - wide, y + off * 0.7 + high),
    ):
        yield left, base - high, left + wide, base


def _within(box: Rect, room: Iterable[float]) -> bool:
    left, top, right, bottom = room
    return left <= box[0] and top <= box[1] and box[2] <= right and box[3] <= bottom
