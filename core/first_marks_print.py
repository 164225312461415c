"""First marks and the order of work in print: two pages to hang beside the easel.

Page one has the reference with the first marks outlined and named, D for a dark in a square, L for a light in a ring,
and the list of them; page two has the value plan with the order of work numbered, and its list.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core import words
from core.print_page import MARGIN_MM, PT_PER_MM, SOFT, Print, PrintPage
from core.size import PAPERS, Size
from core.value.first_marks import FirstMark
from core.value.order import Placed
from core.whole_file import save_bytes

Pixels = NDArray[np.uint8]
Tell = Callable[[float, str], object]
Laid = tuple[float, float, float]
Point = tuple[float, float]

MOST_PLACES = 20
_LIST_SHARE = 0.4
"""The picture leaves this share of a page to the list under it, at least."""
_ROW_MM, _HEAD_MM, _GAP_MM = 8.8, 14.0, 6.0
_LINE_MM, _RIM_MM = 0.35, 0.9
_BADGE_MM, _TEXT_PT = 2.2, 7.0


@dataclass(frozen=True, eq=False)
class FirstMarksPages:
    """``picture``: the whole reference ``(H, W, 3)`` uint8 sRGB; ``plan``: ``(H, W)``, its steps in greys.
    ``size``: the canvas. ``boundaries`` between the steps. ``order``: the places to number, any part of an order of
    work. ``title``: at the head."""

    picture: Pixels
    plan: Pixels
    size: Size
    marks: Sequence[FirstMark]
    order: Sequence[Placed]
    boundaries: Sequence[float]
    paper: Size = field(default_factory=lambda: PAPERS["A4"])
    title: str = "Reference"

    @property
    def count(self) -> int:
        return len(self.boundaries) + 1


def write_first_marks(path: Path, pages: FirstMarksPages, *, tell: Tell | None = None) -> int:
    """Write the PDF, whole or not at all; give back how many pages it has. Raises PainterError with a sentence."""
    save_bytes(path, first_marks_bytes(pages, tell=tell))
    return 2


def first_marks_bytes(pages: FirstMarksPages, *, tell: Tell | None = None) -> bytes:
    """The PDF: the first marks, then the order of work."""
    say = tell or (lambda share, doing: None)
    pdf = Print(f"First marks, canvas {pages.size.in_cm()}", pages.paper)
    say(0.0, "Printing the first marks")
    _marks_page(pdf.page, pages)
    pdf.turn()
    say(0.5, "Printing the order of work")
    _order_page(pdf.page, pages)
    pdf.turn()
    return pdf.finished()


def mark_name(mark: FirstMark) -> str:
    """D1 is the first of the darks, L1 of the lights."""
    return f"{'D' if mark.kind == 'dark' else 'L'}{mark.number}"


def step_words(value: float, boundaries: Sequence[float]) -> str:
    """The value step that a Munsell value falls in, such as ``step 1 of 5, the darkest``."""
    step, count = 1 + sum(value >= boundary for boundary in boundaries), len(boundaries) + 1
    which = ", the darkest" if step == 1 else ", the lightest" if step == count else ""
    return f"step {step} of {count}{which}"


def mark_words(mark: FirstMark, boundaries: Sequence[float] | None, size: Size) -> tuple[str, str]:
    """Two lines about a first mark: where and how dark it is; its step and how sure that is."""
    place = words.place(mark.x_mm, mark.y_mm, size)
    say = f"{place.capitalize()}, {words.area(mark.area_mm2 / 100)}: value {mark.value:.1f} ± {mark.spread:.1f}"
    sure = _sure(mark.certainty)
    return say, _capital(sure if boundaries is None else f"{step_words(mark.value, boundaries)} · {sure}")


def placed_words(placed: Placed, boundaries: Sequence[float], size: Size) -> tuple[str, str]:
    """Two lines about a place in the order of work; what it is judged against, the longest border first."""
    region, count = placed.region, len(boundaries) + 1
    place = words.place(region.x_mm, region.y_mm, size)
    name = place.capitalize() if placed.mark is None else f"{mark_name(placed.mark)}, {place}"
    which = ", the darkest" if region.step == 0 else ", the lightest" if region.step == count - 1 else ""
    say = f"{name}: value {region.value:.1f} ± {placed.sigma:.1f}, step {region.step + 1} of {count}{which}"
    against = (
        f"against {_listed(placed.against)}" if placed.against else "a first mark" if placed.mark else "to begin with"
    )
    return say, _capital(f"{against} · {_sure(placed.certainty)}")


def _marks_page(page: PrintPage, pages: FirstMarksPages) -> None:
    laid, foot = _picture(page, pages, pages.picture, "First marks")
    mm = page_mm(laid, pages)
    for mark in pages.marks:
        _outline(page, mm(mark.outline_mm))
    taken: list[Point] = []
    for mark in pages.marks:
        _badge(page, mm(np.array([[mark.x_mm, mark.y_mm]]))[0], mark_name(mark), mark.kind, taken)
    y = page.text(
        "The surest first; D a dark, L a light. Put these in before all else.", MARGIN_MM, foot, 8.5, grey=SOFT
    )
    rows = [(mark_name(mark), *mark_words(mark, pages.boundaries, pages.size)) for mark in pages.marks]
    _list(page, rows or [("", "No first mark is sure enough.", "")], y + 2.0)


def _order_page(page: PrintPage, pages: FirstMarksPages) -> None:
    laid, foot = _picture(page, pages, pages.plan, "Order of work")
    mm = page_mm(laid, pages)
    shown = list(pages.order)[:MOST_PLACES]
    taken: list[Point] = []
    for placed in shown:
        at = mm(np.array([[placed.region.x_mm, placed.region.y_mm]]))[0]
        _badge(page, at, str(placed.number), "light", taken)
    y = page.text(
        "Each is judged against the ones it touches that are already there. ± is how well an eye can do so.",
        MARGIN_MM, foot, 8.5, grey=SOFT,
    )  # fmt: skip
    rows = [(str(placed.number), *placed_words(placed, pages.boundaries, pages.size)) for placed in shown]
    _list(page, rows, y + 2.0)


def page_mm(laid: Laid, pages: FirstMarksPages) -> Callable[[NDArray[np.float64]], NDArray[np.float64]]:
    """From mm on the canvas ``(n, 2)`` to mm on a page on which its picture was laid: left, top, mm per mm."""
    left, top, scale = laid
    return lambda points: np.asarray(points, dtype=np.float64) * scale + (left, top)


def _picture(page: PrintPage, pages: FirstMarksPages, pixels: Pixels, heading: str) -> tuple[Laid, float]:
    """Lay a picture under the heading; how it lies, and where what follows begins."""
    page.text(f"{pages.title}: {heading.lower()}", MARGIN_MM, MARGIN_MM + 5.0, 13, weight="SemiBold")
    about = f"Canvas {pages.size.in_cm()} ({pages.size.in_inches()}) · {pages.count} value steps"
    page.text(about, MARGIN_MM, MARGIN_MM + 10.0, 8.5, grey=SOFT)
    top = MARGIN_MM + _HEAD_MM
    wide = page.width_mm - 2 * MARGIN_MM
    high = (1.0 - _LIST_SHARE) * (page.height_mm - MARGIN_MM - top)
    scale = min(wide / pages.size.width_mm, high / pages.size.height_mm)
    width, height = pages.size.width_mm * scale, pages.size.height_mm * scale
    left = MARGIN_MM + (wide - width) / 2
    page.picture(pixels, left, top, width, height, exact=pixels.ndim == 2)
    return (left, top, scale), top + height + _GAP_MM


def _list(page: PrintPage, rows: Sequence[tuple[str, str, str]], top: float) -> None:
    """Two columns, read downwards; the rows close up where they would not find room."""
    columns = 2 if len(rows) > 1 else 1
    each = -(-len(rows) // columns)
    wide = (page.width_mm - 2 * MARGIN_MM - (columns - 1) * _GAP_MM) / columns
    high = min(_ROW_MM, (page.height_mm - MARGIN_MM - top) / max(each, 1))
    size = 8.0 * min(1.0, high / _ROW_MM)
    for index, (name, say, kind) in enumerate(rows):
        column, row = divmod(index, each)
        x, y = MARGIN_MM + column * (wide + _GAP_MM), top + 3.0 + row * high
        page.text(name, x, y, size + 1.0, weight="SemiBold", room=9.0)
        page.text(say, x + 9.0, y, size, room=wide - 9.0)
        page.text(kind, x + 9.0, y + 0.42 * high, 0.88 * size, grey=SOFT, room=wide - 9.0)


def _outline(page: PrintPage, ring: NDArray[np.float64]) -> None:
    """A closed line, dark with a light rim, so that it shows on any ground."""
    closed = np.concatenate([ring, ring[:1]])
    path = page.pdf.beginPath()
    for index, (x, y) in enumerate(closed.tolist()):
        (path.lineTo if index else path.moveTo)(x * PT_PER_MM, (page.height_mm - y) * PT_PER_MM)
    page.pdf.setLineJoin(1)
    for width, grey in ((_RIM_MM, 1.0), (_LINE_MM, 0.0)):
        page.pdf.setStrokeGray(grey)
        page.pdf.setLineWidth(width * PT_PER_MM)
        page.pdf.drawPath(path, stroke=1, fill=0)


def clear_of(at: Point, taken: Sequence[Point]) -> Point:
    """Where a plate keeps clear of those laid already: its own place, else one beside it."""
    aside = [
        (at[0] + far * math.cos(turn * math.pi / 4), at[1] + far * math.sin(turn * math.pi / 4))
        for far in (0.0, 2.4 * _BADGE_MM, 4.0 * _BADGE_MM)
        for turn in range(8)
    ]
    return next((each for each in aside if all(math.dist(each, other) > 2.2 * _BADGE_MM for other in taken)), at)


def _badge(page: PrintPage, at: NDArray[np.float64], label: str, kind: str, taken: list[Point]) -> None:
    """A name on its plate: a dark square, or a light round one; with a line to its place where it had to step aside."""
    place = (float(at[0]), float(at[1]))
    x, y = clear_of(place, taken)
    taken.append((x, y))
    if (x, y) != place:
        page.line(place, (x, y), _RIM_MM, 1.0)
        page.line(place, (x, y), _LINE_MM, 0.0)
    pdf: Any = page.pdf
    ground, ink = (0.0, 1.0) if kind == "dark" else (1.0, 0.0)
    pdf.setFillGray(ground)
    pdf.setStrokeGray(ink)
    pdf.setLineWidth(0.6)
    side, left, low = (
        2 * _BADGE_MM * PT_PER_MM,
        (x - _BADGE_MM) * PT_PER_MM,
        (page.height_mm - y - _BADGE_MM) * PT_PER_MM,
    )
    if kind == "dark":
        pdf.rect(left, low, side, side, stroke=1, fill=1)
    else:
        pdf.circle(x * PT_PER_MM, (page.height_mm - y) * PT_PER_MM, side / 2, stroke=1, fill=1)
    page.words(label, x, y + 0.85, _TEXT_PT, weight="SemiBold", grey=ink)


def _sure(certainty: float) -> str:
    return f"{words.how_sure(certainty)}, {words.per_cent(certainty)}"


def _listed(numbers: Sequence[int], most: int = 3) -> str:
    told = [str(number) for number in numbers[:most]]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]
