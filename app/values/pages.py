"""The printed pages of the value question, written in a worker."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from app.prints import PrintKey, Sheet, make_sheet, read_photo
from app.values import looks
from app.values.jobs import Work
from app.values.settings import SHOWN_AHEAD, Printed
from app.work import Progress
from core.drawing.squaring import Squaring
from core.size import PAPERS

if TYPE_CHECKING:
    from core.photo import Photo
    from core.value.first_marks import FirstMark


@dataclass(frozen=True, eq=False)
class PairOrder:
    """``key``: the reference as it hangs in colour. ``photo``: when it is at hand. ``squaring``: the wall's grid."""

    key: PrintKey
    photo: "Photo | None"
    printed: Printed
    squaring: Squaring | None
    title: str


@dataclass(frozen=True, eq=False)
class MarksOrder:
    """``sheet``: the reference laid flat; ``key``: how it hangs in colour. ``at``: the first number that is printed."""

    sheet: Sheet
    key: PrintKey
    marks: "tuple[FirstMark, ...]"
    work: Work
    at: int
    printed: Printed
    title: str


def write_pair(order: PairOrder, path: Path, progress: Progress) -> str:
    """The grey pair. Raises PainterError with a sentence."""
    from core import tone
    from core.grey_pair import GreyPair, write_grey_pair

    progress(0.0, "Reading the photograph")
    photo = order.photo or read_photo(order.key.source.file)
    progress(0.1, "Laying the photo flat")
    sheet = make_sheet(photo, order.key.sheet(fine=True), lambda share, say: progress(0.1, say))
    progress(0.3, "Making the pictures")
    if order.key.keyed is None:
        colour, grey = tone.display_codes(sheet.codes, sheet.curve), tone.grey_codes(sheet.codes, sheet.curve)
    else:
        linear = tone.linear_of_codes(sheet.codes, sheet.curve)
        linear = looks.keyed(linear, tone.value_map(sheet.codes, sheet.curve), order.key.keyed)
        colour, grey = tone.display_of_linear(linear), tone.grey_of_linear(linear)
    pair = GreyPair(
        colour,
        grey,
        order.key.source.size,
        PAPERS[order.printed.paper],
        order.printed.fitted,
        order.squaring,
        order.title,
    )
    pages = write_grey_pair(path, pair, tell=lambda share, say: progress(0.4 + 0.6 * share, say))
    return f"The grey pair, {pages} {'page' if pages == 1 else 'pages'}. Print at actual size, and check the strip."


def write_marks(order: MarksOrder, path: Path, progress: Progress) -> str:
    """The first marks and the order of work. Raises PainterError with a sentence."""
    from core import tone
    from core.first_marks_print import FirstMarksPages, write_first_marks

    progress(0.0, "Making the pictures")
    sheet = order.sheet
    if order.key.keyed is None:
        picture = tone.display_codes(sheet.codes, sheet.curve)
    else:
        linear = tone.linear_of_codes(sheet.codes, sheet.curve)
        picture = tone.display_of_linear(looks.keyed(linear, tone.value_map(sheet.codes, sheet.curve), order.key.keyed))
    pages = FirstMarksPages(
        picture=picture,
        plan=np.ascontiguousarray(order.work.plan),
        size=order.key.source.size,
        marks=order.marks,
        order=order.work.placed[order.at - 1 : order.at - 1 + SHOWN_AHEAD],
        boundaries=order.work.boundaries,
        paper=PAPERS[order.printed.paper],
        title=order.title,
    )
    count = write_first_marks(path, pages, tell=lambda share, say: progress(0.2 + 0.8 * share, say))
    return f"First marks and order of work, {count} pages."
