"""The plan of the sittings in print: what each is for and with what, room to write, drying, and cautions.

Words flow line by line: a sitting goes onto the next page where this one has no room for it, and is parted only where
no page could hold it. The page knows no plan and no forecast: it sets what it is given, in plain strings.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.mix_pages import page_number, too_small
from core.print_page import MARGIN_MM, PT_PER_MM, RULE, SOFT, Print, PrintPage
from core.sitting.cautions import DEFER, Caution
from core.sitting_lines import Row, high_mm, rows_of, taken
from core.size import PAPERS, Size
from core.whole_file import save_bytes

Pixels = NDArray[np.uint8]

_PICTURE_MM, _PICTURE_HIGH_MM, _PICTURE_DPI = 62.0, 46.0, 250
_WRITE_MM, _WRITE_SHARE, _GAP_MM, _PAD_MM = 72.0, 0.48, 6.0, 2.5
"""How wide the boxes to write in are, and the most that is of the page; what lies between columns, and between a box
and its words."""
_BOX_MM, _LEAST_DONE_MM, _LABEL_MM = 8.0, 16.0, 4.2
"""How high the box of a date is, the least room for what was done, and the words over a box."""
_DONE_MM = _LABEL_MM + 3 * _PAD_MM
"""What is about the words in the box of what was done."""
_HEADS_MM, _SECTION_MM = 32.0, 8.5
_LEAST_WIDE_MM, _LEAST_HIGH_MM = 140.0, 180.0
_BETWEEN_MM, _EDGE_MM = 3.0, 0.15
_FIELDS = ("Date", "Time taken", "Touch-dry")


@dataclass(frozen=True)
class Note:
    """A heading of a word or two, and what is said under it."""

    head: str
    say: str


@dataclass(frozen=True)
class SittingBlock:
    """``heading``: such as ``Sitting 1``; ``medium``, ``thickness``, ``length``: in words; ``tubes``: by name.

    ``warnings``: fat over lean and fast over slow, in sentences; ``drying``: when it may be dry to the touch.
    ``planned``: its day, where it has one. ``on``, ``took``, ``dry_on`` (a few words each) and ``done``: what is known
    of it already, printed where else there is room to write.
    """

    heading: str
    aim: str
    medium: str = ""
    thickness: str = ""
    tubes: Sequence[str] = ()
    length: str = ""
    warnings: Sequence[str] = ()
    drying: str = ""
    planned: str = ""
    on: str = ""
    took: str = ""
    dry_on: str = ""
    done: str = ""


@dataclass(frozen=True, eq=False)
class PlanSheet:
    """``picture``: the reference ``(H, W, 3)`` or ``(H, W)`` uint8 sRGB, or None. ``facts``: what is said beside it.

    ``drying``: of the whole painting, such as the next sitting and varnish; ``limits``: how far such forecasts can be
    trusted. ``cautions``: see :func:`notes_of`; ``defer``: what goes before them.
    """

    title: str
    size: Size | None
    sittings: Sequence[SittingBlock]
    picture: Pixels | None = None
    facts: Sequence[Note] = ()
    drying: Sequence[Note] = ()
    limits: str = ""
    cautions: Sequence[Note] = ()
    defer: str = DEFER
    paper: Size = field(default_factory=lambda: PAPERS["A4"])


def notes_of(cautions: Iterable[Caution]) -> tuple[Note, ...]:
    """Cautions as the page takes them; where two have one heading, the second goes without."""
    notes: list[Note] = []
    for caution in cautions:
        known = any(note.head == caution.title for note in notes[-1:])
        notes.append(Note("" if known else caution.title, caution.line))
    return tuple(notes)


def write_plan_page(path: Path, sheet: PlanSheet) -> int:
    """Write the PDF, whole or not at all; give back how many pages it has. Raises PainterError with a sentence."""
    made, pages = plan_page_bytes(sheet)
    save_bytes(path, made)
    return pages


def plan_page_bytes(sheet: PlanSheet) -> tuple[bytes, int]:
    """The PDF, and how many pages it has. Raises PainterError where the paper is too small."""
    paper = sheet.paper
    if paper.width_mm < _LEAST_WIDE_MM or paper.height_mm < _LEAST_HIGH_MM:
        raise too_small(paper, "the plan of the sittings")
    if sheet.picture is not None:
        sheet = replace(sheet, picture=_reduced(sheet.picture))
    first = _set(_Pages(Print(sheet.title, paper), sheet.title, 0), sheet)
    counted = _set(_Pages(Print(sheet.title, paper), sheet.title, first.number), sheet)
    return counted.pdf.finished(), counted.number


@dataclass
class _Pages:
    """Pages that are filled from the top. ``pages``: how many there are in all, 0 while that is being found."""

    pdf: Print
    title: str
    pages: int
    number: int = 1
    top: float = MARGIN_MM

    @property
    def page(self) -> PrintPage:
        return self.pdf.page

    @property
    def wide(self) -> float:
        return self.page.width_mm - 2 * MARGIN_MM

    @property
    def write(self) -> float:
        """How wide the boxes to write in are."""
        return min(_WRITE_MM, _WRITE_SHARE * self.wide)

    @property
    def left(self) -> float:
        """Of the page's height, mm."""
        return self.page.height_mm - MARGIN_MM - self.top

    def turn(self) -> None:
        """To the next page, with the title in small at its head."""
        page_number(self.page, self.number, self.pages)
        self.pdf.turn()
        self.number += 1
        named = rows_of(self.title, 8.5, self.wide, grey=SOFT)[:1]
        self.top = set_rows(self.page, named, MARGIN_MM, MARGIN_MM - 6.0) + 4.0
        self.top = max(self.top, MARGIN_MM)

    def end(self) -> None:
        page_number(self.page, self.number, self.pages)
        self.pdf.turn()


def set_rows(page: PrintPage, rows: Sequence[Row], x: float, top: float) -> float:
    """Set rows below each other; gives where they end, mm."""
    for row in rows:
        if row.words:
            page.pdf.setFont(row.font, row.size)
            page.pdf.setFillGray(row.grey)
            baseline = page.height_mm - top - row.size / PT_PER_MM
            page.pdf.drawString(x * PT_PER_MM, baseline * PT_PER_MM, row.words)
        top += row.high_mm
    return top


def _set(pages: _Pages, sheet: PlanSheet) -> _Pages:
    _head(pages, sheet)
    for block in sheet.sittings:
        _block(pages, block)
    _section(pages, "Drying", sheet.drying, last=sheet.limits)
    _section(pages, "Cautions", sheet.cautions, first=sheet.defer if sheet.cautions else "")
    pages.end()
    return pages


def _head(pages: _Pages, sheet: PlanSheet) -> None:
    """Title, canvas and what is said of it; at the right the reference."""
    beside = 0.0 if sheet.picture is None else _PICTURE_MM + _GAP_MM
    room, top = pages.wide - beside, pages.top
    rows = [*rows_of(sheet.title, 16, room, weight="SemiBold"), *rows_of(_about(sheet), 9, room, grey=SOFT, after=1.5)]
    for note in sheet.facts:
        rows += rows_of(f"{note.head}: {note.say}", 9, room, after=0.8)
    foot = top
    if sheet.picture is not None:
        foot = _picture(pages.page, sheet.picture, pages.page.width_mm - MARGIN_MM, top)
    rest = rows
    while rest:
        some, rest = taken(rest, pages.left)
        pages.top = set_rows(pages.page, some, MARGIN_MM, pages.top)
        if rest:
            pages.turn()
            foot = 0.0
    pages.top = max(pages.top, foot) + _BETWEEN_MM


def _about(sheet: PlanSheet) -> str:
    count = len(sheet.sittings)
    told = [] if sheet.size is None else [f"Canvas {sheet.size.in_cm()} ({sheet.size.in_inches()})"]
    return " · ".join([*told, "1 sitting" if count == 1 else f"{count} sittings"])


def _picture(page: PrintPage, pixels: Pixels, right: float, top: float) -> float:
    """The reference in small, its right edge at ``right``; gives its foot."""
    scale = min(_PICTURE_MM / pixels.shape[1], _PICTURE_HIGH_MM / pixels.shape[0])
    wide, high = pixels.shape[1] * scale, pixels.shape[0] * scale
    page.picture(pixels, right - wide, top, wide, high)
    return float(top + high)


def _reduced(pixels: Pixels) -> Pixels:
    """As many pixels as the print shows."""
    from PIL import Image

    most = round(_PICTURE_MM / 25.4 * _PICTURE_DPI), round(_PICTURE_HIGH_MM / 25.4 * _PICTURE_DPI)
    image = Image.fromarray(np.ascontiguousarray(pixels))
    image.thumbnail(most, Image.Resampling.BOX, reducing_gap=None)
    return np.asarray(image)


def _block(pages: _Pages, block: SittingBlock) -> None:
    """One sitting: its words at the left, room to write at the right."""
    rows = _told(block, pages.wide - pages.write - _GAP_MM - 2 * _PAD_MM)
    done = rows_of(block.done, 8.5, pages.write - 2 * _PAD_MM)
    head = _fields_mm(block, pages.write)
    high = max(high_mm(rows) + 2 * _PAD_MM, head + _DONE_MM + max(high_mm(done), _LEAST_DONE_MM))
    if high > pages.left:
        pages.turn()
    if high <= pages.left:
        _part(pages, block, rows, done, high, head)
        return
    while rows or done:
        some, rows = taken(rows, pages.left - 2 * _PAD_MM)
        told, done = taken(done, pages.left - head - _DONE_MM)
        _part(pages, block, some, told, pages.left if rows or done else _part_mm(some, told, head), head)
        head = 0.0
        if rows or done:
            pages.turn()


def _part_mm(rows: Sequence[Row], done: Sequence[Row], head: float) -> float:
    return max(high_mm(rows) + 2 * _PAD_MM, head + _DONE_MM + max(high_mm(done), _LEAST_DONE_MM / 2))


def _told(block: SittingBlock, room: float) -> list[Row]:
    """The words of a sitting."""
    planned = f" · planned for {block.planned}" if block.planned else ""
    rows = rows_of(f"{block.heading}{planned}", 8.5, room, grey=SOFT, after=0.4)
    rows += rows_of(block.aim, 11, room, weight="SemiBold", after=1.0)
    about = " · ".join(each for each in (block.medium, block.thickness, block.length) if each)
    rows += rows_of(_capital(about), 9, room, weight="Medium", after=0.6)
    if block.tubes:
        rows += rows_of(f"Tubes: {', '.join(block.tubes)}", 9, room, after=0.6)
    for warning in block.warnings:
        rows += rows_of(f"Mind: {warning}", 8.5, room, weight="Medium", after=0.6)
    return rows + rows_of(block.drying, 8.5, room, grey=SOFT, after=0.6)


def _part(
    pages: _Pages, block: SittingBlock, rows: Sequence[Row], done: Sequence[Row], high: float, head: float
) -> None:
    """A sitting, or as much of it as one page holds. ``head``: how high the boxes of date and time are, mm; they stand
    on its first page only."""
    page, top = pages.page, pages.top
    _frame(page, MARGIN_MM, top, pages.wide, high, RULE)
    set_rows(page, rows, MARGIN_MM + _PAD_MM, top + _PAD_MM)
    x, y = page.width_mm - MARGIN_MM - pages.write - _PAD_MM, top + _PAD_MM
    if head:
        _fields(pages, block, x, y, head)
    y += head
    set_rows(page, rows_of("What was done" + ("" if head else ", continued"), 7.5, pages.write, grey=SOFT), x, y)
    y += _LABEL_MM
    _frame(page, x, y, pages.write, top + high - _PAD_MM - y, SOFT)
    set_rows(page, done, x + _PAD_MM, y + _PAD_MM / 2)
    pages.top += high + _BETWEEN_MM


def _known(block: SittingBlock, wide: float) -> list[list[Row]]:
    """What is known of date, time and touch-dry, as lines; of a long text the beginning."""
    each = [rows_of(known, 8, wide / len(_FIELDS) - 2.0) for known in (block.on, block.took, block.dry_on)]
    return [[*rows[:3], replace(rows[3], words="…")] if len(rows) > 3 else rows for rows in each]


def _fields_mm(block: SittingBlock, wide: float) -> float:
    """How high the boxes of date, time and touch-dry are with their labels and what is below them."""
    return _LABEL_MM + max(_BOX_MM, *(high_mm(rows) + 1.4 for rows in _known(block, wide))) + _PAD_MM


def _fields(pages: _Pages, block: SittingBlock, x: float, top: float, high: float) -> None:
    page, each = pages.page, pages.write / len(_FIELDS)
    for column, (label, known) in enumerate(zip(_FIELDS, _known(block, pages.write), strict=True)):
        left, box = x + column * each, top + _LABEL_MM
        set_rows(page, rows_of(label, 7.5, each, grey=SOFT), left, top)
        _frame(page, left, box, each, high - _LABEL_MM - _PAD_MM, SOFT)
        set_rows(page, known, left + 1.0, box + 0.7)


def _section(pages: _Pages, title: str, notes: Sequence[Note], *, first: str = "", last: str = "") -> None:
    """A heading, then each note with its head at the left; before and after them a sentence over the whole width."""
    heads = min(_HEADS_MM, pages.wide / 4)
    beside = heads + _GAP_MM / 2
    parts = [
        (rows_of(note.head, 8.5, heads, weight="SemiBold"), rows_of(note.say, 8.5, pages.wide - beside, after=1.2))
        for note in notes
    ]
    alone = [rows_of(said, 8.5, pages.wide, grey=SOFT, after=1.2) for said in (first, last)]
    laid = [([], alone[0], 0.0), *((head, said, beside) for head, said in parts), ([], alone[1], 0.0)]
    laid = [(head, said, x) for head, said, x in laid if head or said]
    if not laid:
        return
    begins = sum(max(high_mm(head), high_mm(said)) for head, said, _ in laid[:2])
    if pages.left < _SECTION_MM + begins:
        pages.turn()
    set_rows(pages.page, rows_of(title, 11, pages.wide, weight="SemiBold"), MARGIN_MM, pages.top + 1.0)
    pages.top += _SECTION_MM
    for head, said, x in laid:
        _note(pages, head, said, MARGIN_MM + x)
    pages.top += _BETWEEN_MM


def _note(pages: _Pages, head: list[Row], said: list[Row], x: float) -> None:
    """One note, kept together where a page can hold it."""
    if max(high_mm(head), high_mm(said)) > pages.left:
        pages.turn()
    while head or said:
        some_head, head = taken(head, pages.left)
        some, said = taken(said, pages.left)
        ends = [set_rows(pages.page, some_head, MARGIN_MM, pages.top), set_rows(pages.page, some, x, pages.top)]
        pages.top = max(ends)
        if head or said:
            pages.turn()


def _frame(page: PrintPage, x: float, y: float, wide: float, high: float, grey: float) -> None:
    corners = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
    for start, end in zip(corners, (*corners[1:], corners[0]), strict=True):
        page.line(start, end, _EDGE_MM, grey)


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]
