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
    used_tubes,
    whole_warmth,
)
from core.paint.tubes import Tube
from core.paint.value_string import StringStep, ValueString, say_mix, say_value
from core.print_page import MARGIN_MM, SOFT, Print, PrintPage
from core.size import PAPERS, Size
from core.whole_file import save_bytes

MOST_STRINGS = 2
_LEAST_ROW_MM, _MOST_ROW_MM = 21.0, 27.0
_GAP_MM, _BESIDE_MM, _NAME_MM = 6.0, 3.5, 9.0
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
    """The PDF, and how many pages it has: as many as leave each square large."""
    pdf = Print(page.title, page.paper)
    values = _values(page)
    wide = page.paper.width_mm - 2 * MARGIN_MM
    foot = _foot(page)
    foot_mm = lines_mm(pdf.page, foot, wide) + _BESIDE_MM
    room = page.paper.height_mm - 2 * MARGIN_MM - foot_mm - head_mm(pdf.page, page)
    each = max(1, math.floor(room / _LEAST_ROW_MM))
    pages = math.ceil(len(values) / each)
    each = math.ceil(len(values) / pages)
    for number in range(pages):
        some = values[number * each : (number + 1) * each]
        row = min(_MOST_ROW_MM, max(_LEAST_ROW_MM, room / len(some)))
        top = _names(pdf.page, page, head(pdf.page, page.title, _under(page)))
        for value in some:
            for column, (_, string) in enumerate(page.strings):
                step = string.at(value)
                if step is not None:
                    _step(pdf.page, page, string, step, column, top, row)
            top += row
        set_lines(pdf.page, foot, MARGIN_MM, top + _BESIDE_MM, wide)
        page_number(pdf.page, number + 1, pages)
        pdf.turn()
    return pdf.finished(), pages


def head_mm(paper_page: PrintPage, page: StringPage) -> float:
    """How high the head and the names of the strings are."""
    lines: list[Line] = [(page.title, 14, "SemiBold"), (_under(page), 8.5, "Regular")]
    return max(19.0, lines_mm(paper_page, lines, page.paper.width_mm - 2 * MARGIN_MM) + 4.0) + _NAME_MM


def _values(page: StringPage) -> list[float]:
    """Every value that a string has a step at, the lightest first."""
    return sorted({round(step.asked, 6) for _, string in page.strings for step in string.steps}, reverse=True)


def _under(page: StringPage) -> str:
    return "Value is Munsell value, 0 black to 10 white. T is warmth: a neutral is 0, higher is warmer."


def _foot(page: StringPage) -> list[Line]:
    """What is said below the steps."""
    strings = [string for _, string in page.strings]
    left_out = [f"{heading}: {_lower(string.say_left_out())}" for heading, string in page.strings if string.left_out]
    mixes = [step.parts for string in strings for step in string.steps]
    notes = [(note, 8.5, "Medium") for note in page.notes]
    about = [*left_out, *cautions_of(used_tubes(mixes, page.tubes)), f"{PARTS} {HONEST}"]
    return [*notes, *((say, 7.5, "Regular") for say in about)]


def _names(paper_page: PrintPage, page: StringPage, top: float) -> float:
    for column, (heading, string) in enumerate(page.strings):
        x, room = _column(page, column)
        paper_page.text(heading, x, top + 1.0, 10, weight="SemiBold", room=room)
        paper_page.text(_carried(string), x, top + 5.0, 7.5, grey=SOFT, room=room)
    return top + _NAME_MM


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
    paper_page: PrintPage, page: StringPage, string: ValueString, step: StringStep, column: int, top: float, row: float
) -> None:
    x, room = _column(page, column)
    paper_page.box(x, top, row, row, swatch_code(step.linear_rgb), edge=True)
    beside = x + row + _BESIDE_MM
    larger = 1.0 if len(page.strings) > 1 else _LARGER
    set_lines(paper_page, _told(string, step, larger), beside, top + 0.8, x + room - beside)


def _told(string: ValueString, step: StringStep, larger: float) -> list[Line]:
    """The words beside a square."""
    told: list[Line] = [(f"Value {say_value(step.asked)}  ·  T {whole_warmth(step.warmth)}", 10 * larger, "SemiBold")]
    onward = string.say_onward(step)
    if step.rough and onward:
        told.append((onward, 8.5 * larger, "Medium"))
        told.append((f"straight from the tubes only roughly: {step.say_parts()}", 7.5 * larger, "Regular"))
    else:
        told.append((step.say_parts(), 8.5 * larger, "Medium"))
        told += [(f"or {onward}", 7.5 * larger, "Regular")] if onward else []
    if beyond_print(step.linear_rgb):
        told.append(("stronger than print and screen can show", 7.5 * larger, "Regular"))
    return told


def _capital(say: str) -> str:
    return say[:1].upper() + say[1:]


def _lower(say: str) -> str:
    return say[:1].lower() + say[1:]
