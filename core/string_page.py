"""Strings in print: a page to mix from, each step a large square with its parts, its value and its warmth."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from core.errors import PaintError
from core.mix_pages import (
    HONEST,
    PARTS,
    Line,
    beyond_print,
    cautions_of,
    head,
    lines_mm,
    page_number,
    set_lines,
    swatch_code,
    too_small,
    used_tubes,
    whole_warmth,
)
from core.paint.tubes import Tube
from core.paint.value_string import StringStep, ValueString, say_mix, say_value
from core.print_page import MARGIN_MM, Print, PrintPage
from core.size import PAPERS, Size
from core.whole_file import save_bytes

MOST_STRINGS = 2
_SIDES_MM = tuple(float(side) for side in range(27, 13, -1))
_LEAST_ROW_MM = 21.0
"""Squares are no smaller where the paper is wide enough for words beside them."""
_LEAST_WORDS_MM = 28.0
_GAP_MM, _BESIDE_MM, _BETWEEN_MM = 6.0, 3.5, 1.5
_UP_MM, _UNDER_MM, _INTO_MM = 2.5, 1.0, 0.8
_LARGER = 1.15
"""Letters, where one string has the page to itself."""


@dataclass(frozen=True, eq=False)
class StringPage:
    """``strings``: one or two, each under its heading; ``tubes``: those they are mixed from, by name. ``notes``: whole
    sentences under them, such as which is the warmer. ``title``: at the head.

    Raises PaintError where there is no string, more than two, or none with a step.
    """

    strings: Sequence[tuple[str, ValueString]]
    tubes: Mapping[str, Tube]
    notes: Sequence[str] = ()
    paper: Size = field(default_factory=lambda: PAPERS["A4"])
    title: str = "Value string"

    def __post_init__(self) -> None:
        if not 1 <= len(self.strings) <= MOST_STRINGS:
            raise PaintError("A page takes one string, or two beside each other. Print the others on another page.")
        if not any(string.steps for _, string in self.strings):
            raise PaintError("No step of this string is reached, so there is nothing to print. Ask for other values.")


def write_string_page(path: Path, page: StringPage) -> int:
    """Write the PDF, whole or not at all; give back how many pages it has. Raises PainterError with a sentence."""
    made, pages = string_page_bytes(page)
    save_bytes(path, made)
    return pages


def string_page_bytes(page: StringPage) -> tuple[bytes, int]:
    """The PDF, and how many pages it has: as few as hold squares of ``_LEAST_ROW_MM`` and all the words, and on them
    the squares as large as there is room for. What is said below stands on the last page."""
    pdf = Print(page.title, page.paper)
    laid = _laid(pdf.page, page)
    for number, some in enumerate(laid.pages, 1):
        top = head(pdf.page, page.title, _under(page))
        top = _names(pdf.page, page, top) if some else top
        for value in some:
            for column, (_, string) in enumerate(page.strings):
                step = string.at(value)
                if step is not None:
                    _step(pdf.page, page, string, step, column, top, laid)
            top += laid.row_mm
        if number == len(laid.pages):
            set_lines(pdf.page, _foot(page), MARGIN_MM, top + _BESIDE_MM, _wide(page))
        page_number(pdf.page, number, len(laid.pages))
        pdf.turn()
    return pdf.finished(), len(laid.pages)


@dataclass(frozen=True)
class _Laid:
    """``pages``: the values on each, the last with what is said below. ``side_mm``: of the squares; ``row_mm``: how
    high the rows are, as much more as their words need."""

    pages: tuple[tuple[float, ...], ...]
    side_mm: float
    row_mm: float


def _laid(paper_page: PrintPage, page: StringPage) -> _Laid:
    """Raises PaintError where the paper is too small."""
    top = _names(paper_page, page, head(paper_page, page.title, _under(page), draw=False), draw=False)
    room = page.paper.height_mm - MARGIN_MM - top
    foot = lines_mm(paper_page, _foot(page), _wide(page)) + _BESIDE_MM
    found: list[_Laid] = []
    for side in _SIDES_MM:
        words = _words_room(page, side)
        if words < _LEAST_WORDS_MM:
            continue
        row = max(side, _words_mm(paper_page, page, words) + _BETWEEN_MM)
        pages = _paged(_values(page), math.floor(room / row), math.floor((room - foot) / row))
        if pages is not None:
            found.append(_Laid(pages, side, row))
    usual = [laid for laid in found if laid.side_mm >= _LEAST_ROW_MM] or found
    if not usual:
        what = "this string" if len(page.strings) == 1 else "two strings beside each other"
        raise too_small(page.paper, what)
    return min(usual, key=lambda laid: (len(laid.pages), -laid.side_mm))


def _paged(values: Sequence[float], each: int, last: int) -> tuple[tuple[float, ...], ...] | None:
    """The values on as few pages as hold them, ``each`` so many at most and the ``last`` one so many, which may be none
    where what is said below has a page to itself; as many on each page as there can be. None where that cannot be."""
    if each < 1 or last < 0:
        return None
    if len(values) <= last:
        return (tuple(values),)
    pages = 1 + math.ceil((len(values) - last) / each)
    even = math.ceil(len(values) / pages)
    fit = min(even, each)
    if len(values) - fit * (pages - 1) > last:
        fit = each
    return tuple(tuple(values[at * fit : (at + 1) * fit]) for at in range(pages))


def _words_room(page: StringPage, side: float) -> float:
    """How wide the words beside a square are set, mm."""
    return _column(page, 0)[1] - side - _BESIDE_MM


def _words_mm(paper_page: PrintPage, page: StringPage, room: float) -> float:
    """How high the words of the longest step are."""
    return max(
        lines_mm(paper_page, _told(string, step, _larger(page)), room)
        for _, string in page.strings
        for step in string.steps
    )


def _larger(page: StringPage) -> float:
    return 1.0 if len(page.strings) > 1 else _LARGER


def _wide(page: StringPage) -> float:
    return page.paper.width_mm - 2 * MARGIN_MM


def _values(page: StringPage) -> list[float]:
    """Every value that a string has a step at, the lightest first."""
    return sorted({round(step.asked, 6) for _, string in page.strings for step in string.steps}, reverse=True)


def _under(page: StringPage) -> str:
    return "Value is Munsell value, 0 black to 10 white. T is warmth: a neutral is 0, higher is warmer."


def _foot(page: StringPage) -> list[Line]:
    """What is said below the steps."""
    strings = [string for _, string in page.strings]
    short = [
        f"{heading}: {_lower(said)}"
        for heading, string in page.strings
        for said in (string.say_left_out(), string.say_alike())
        if said
    ]
    mixes = [step.parts for string in strings for step in string.steps]
    notes = [(note, 8.5, "Medium") for note in page.notes]
    about = [*short, *cautions_of(used_tubes(mixes, page.tubes)), f"{PARTS} {HONEST}"]
    return [*notes, *((say, 7.5, "Regular") for say in about)]


def _names(paper_page: PrintPage, page: StringPage, top: float, *, draw: bool = True) -> float:
    """The names of the strings and by what they are carried; gives where the steps begin."""
    ends = []
    for column, (heading, string) in enumerate(page.strings):
        x, room = _column(page, column)
        lines: list[Line] = [(heading, 10, "SemiBold"), (_carried(string), 7.5, "Regular")]
        ends.append(set_lines(paper_page, lines, x, top - _UP_MM, room, draw=draw))
    return max(ends) + _UNDER_MM


def _carried(string: ValueString) -> str:
    """By what the string is carried up and down."""
    ways = [("lighter", string.lighter), ("darker", string.darker)]
    told = [f"{word} with {say_mix(mix)}" for word, mix in ways if mix]
    return _capital(", ".join(told)) or "As it is mixed"


def _column(page: StringPage, column: int) -> tuple[float, float]:
    """Left and width of one string, mm."""
    count = len(page.strings)
    room = (page.paper.width_mm - 2 * MARGIN_MM - (count - 1) * _GAP_MM) / count
    return MARGIN_MM + column * (room + _GAP_MM), room


def _step(
    paper_page: PrintPage, page: StringPage, string: ValueString, step: StringStep, column: int, top: float, laid: _Laid
) -> None:
    x, _ = _column(page, column)
    paper_page.box(x, top, laid.side_mm, laid.row_mm, swatch_code(step.linear_rgb), edge=True)
    room = _words_room(page, laid.side_mm)
    set_lines(paper_page, _told(string, step, _larger(page)), x + laid.side_mm + _BESIDE_MM, top + _INTO_MM, room)


def _told(string: ValueString, step: StringStep, larger: float) -> list[Line]:
    """The words beside a square."""
    told: list[Line] = [(f"Value {say_value(step.asked)}  ·  T {whole_warmth(step.warmth)}", 10 * larger, "SemiBold")]
    onward = string.say_onward(step)
    first, second = step.say_parts(), f"or {onward}" if onward else ""
    if step.better_onward:
        first, second = onward, f"straight from the tubes more roughly: {first}"
    told.append((first, 8.5 * larger, "Medium"))
    told += [(second, 7.5 * larger, "Regular")] if second else []
    if step.rough_either_way:
        told.append(("rough either way" if onward else "rough in so few parts", 7.5 * larger, "Regular"))
    if beyond_print(step.linear_rgb):
        told.append(("stronger than print and screen can show", 7.5 * larger, "Regular"))
    return told


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]


def _lower(say: str) -> str:
    return say[:1].lower() + say[1:]
