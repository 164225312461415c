"""The landmarks as a table: where each lies in the drawing and on the painting, and how far apart they are."""

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.drawing.drawing import Landmark
from core.drawing.proportion import DIGITS, MM_PER, Point, Span

CONFIDENT = 0.5
"""From this confidence on a drift is told, as in the list of findings; below it is withheld."""

_SAME_PLACE_MM = 0.02  # two decimals are kept of a landmark's place in a check
WITHHELD = "–"


@dataclass(frozen=True)
class Strayed:
    """What a check found at one landmark: its place in the drawing and its drift, mm; None where not measured."""

    name: str
    x_mm: float
    y_mm: float
    dx_mm: float | None
    dy_mm: float | None
    confidence: float


@dataclass(frozen=True)
class Row:
    """One landmark. ``other``: the landmark its distance is taken to; "" for the base itself or the first of a chain.

    ``place``: mm from the left and the top edge in the drawing, ``painted`` on the painting; ``distance_mm`` and
    ``painted_distance_mm`` to ``other``. None: withheld, or there is nothing to measure.
    """

    name: str
    place: Point
    painted: Point | None
    other: str
    distance_mm: float | None
    painted_distance_mm: float | None

    @property
    def off(self) -> Point | None:
        """Painting minus drawing, right and down, mm."""
        return None if self.painted is None else (self.painted[0] - self.place[0], self.painted[1] - self.place[1])

    @property
    def distance_off_mm(self) -> float | None:
        """How much longer the painted distance is than the drawn one, mm."""
        if self.distance_mm is None or self.painted_distance_mm is None:
            return None
        return self.painted_distance_mm - self.distance_mm


def landmark_rows(
    landmarks: Sequence[Landmark], *, strayed: Sequence[Strayed] = (), base: int | None = None
) -> tuple[Row, ...]:
    """A row for each landmark in the drawing's order.

    ``base``: index of the landmark that distances are taken to; None takes each to the one before it. ``strayed``: what
    a check found, matched by name and place, so that a landmark moved since is withheld; a landmark of which less than
    ``CONFIDENT`` is known is withheld too, and with it its distance. Raises IndexError when there is no such base.
    """
    if base is not None and not 0 <= base < len(landmarks):
        raise IndexError("there is no such landmark to measure from")
    painted = [_painted(mark, strayed) for mark in landmarks]
    rows = []
    for index, mark in enumerate(landmarks):
        other = base if base is not None else (index - 1 if index else None)
        to = other if other != index else None
        rows.append(
            Row(
                name=mark.name,
                place=_place(mark),
                painted=painted[index],
                other="" if to is None else landmarks[to].name,
                distance_mm=None if to is None else _distance(_place(landmarks[to]), _place(mark)),
                painted_distance_mm=None if to is None else _distance(painted[to], painted[index]),
            )
        )
    return tuple(rows)


def figure(mm: float | None, unit: str = "mm", *, signed: bool = False) -> str:
    """A length as the table writes it, without its unit: ``84.3``, ``+2.0``, ``–`` when withheld."""
    if mm is None:
        return WITHHELD
    number = round(mm / MM_PER[unit], DIGITS[unit]) + 0.0
    text = f"{abs(number):.{DIGITS[unit]}f}"
    if number < 0:
        return f"−{text}"
    return f"+{text}" if signed and number > 0 else text


HEADINGS = (
    "landmark", "from left", "from top", "painted from left", "painted from top", "off right", "off down",
    "distance to", "distance", "painted distance", "distance off",
)  # fmt: skip


def as_cells(rows: Sequence[Row], unit: str = "mm") -> list[list[str]]:
    """The table as text, its headings first; every length in ``unit`` (mm, cm or in), withheld ones empty."""
    lengths = {"from left", "from top", "painted from left", "painted from top", "off right", "off down"}
    lengths |= {"distance", "painted distance", "distance off"}
    cells = [[f"{head} ({unit})" if head in lengths else head for head in HEADINGS]]
    for row in rows:
        painted, off = row.painted or (None, None), row.off or (None, None)
        numbers = [*row.place, *painted, *off, row.distance_mm, row.painted_distance_mm, row.distance_off_mm]
        written = ["" if mm is None else figure(mm, unit).replace("−", "-") for mm in numbers]
        cells.append([row.name, *written[:6], row.other, *written[6:]])
    return cells


def as_text(rows: Sequence[Row], unit: str = "mm") -> str:
    """For the clipboard: tabs between the cells, so that it falls into a spreadsheet or a table."""
    plain = [[" ".join(cell.split()) for cell in cells] for cells in as_cells(rows, unit)]
    return "\n".join("\t".join(cells) for cells in plain) + "\n"


def as_csv(rows: Sequence[Row], unit: str = "mm") -> str:
    """As a file of comma-separated values (RFC 4180)."""
    made = io.StringIO()
    csv.writer(made, lineterminator="\r\n").writerows(as_cells(rows, unit))
    return made.getvalue()


def _place(mark: Landmark) -> Point:
    return mark.x_mm, mark.y_mm


def _painted(mark: Landmark, strayed: Sequence[Strayed]) -> Point | None:
    for each in strayed:
        same = each.name == mark.name and math.dist((each.x_mm, each.y_mm), _place(mark)) <= _SAME_PLACE_MM
        if same and each.dx_mm is not None and each.dy_mm is not None and each.confidence >= CONFIDENT:
            return mark.x_mm + each.dx_mm, mark.y_mm + each.dy_mm
    return None


def _distance(one: Point | None, other: Point | None) -> float | None:
    return None if one is None or other is None else Span(one, other).length_mm
