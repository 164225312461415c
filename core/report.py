"""The printed check sheet: three A4 pages to hang beside the easel, more where the list is long.

Page one hangs reference and canvas, in colour and in grey; page two a picture for each question; page three is the list
to mend, how sure the answers are, and what was withheld.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.check import CheckResult
from core.check_pictures import SheetPicture, check_pictures, pair_pictures, question_pictures
from core.mend import Finding
from core.print_page import MARGIN_MM, SOFT, Print, PrintPage
from core.size import PAPERS
from core.whole_file import save_bytes

_GAP = 6.0
_WIDTH, _HEIGHT = PAPERS["A4"].width_mm, PAPERS["A4"].height_mm
_LEGEND = 5 * 4.2 + 2
_LEAST_LIST = 80.0
"""mm of its page that the list to mend has at least, however much there is to say on how sure it is."""
_INDENT, _REST = 9.0, 6.0


def write_sheet(result: CheckResult, path: Path, *, on: date | None = None) -> None:
    """Write the check as a PDF of three pages. Raises PainterError when it cannot be written."""
    save_bytes(path, sheet_bytes(result, on=on))


def sheet_bytes(
    result: CheckResult, *, on: date | None = None, pictures: Mapping[str, NDArray[np.uint8]] | None = None
) -> bytes:
    """The check sheet as PDF bytes, dated ``on`` (today when not given); ``pictures`` saves making them again."""
    sheet = Print("Check sheet", PAPERS["A4"])
    on, made = on or date.today(), pictures or check_pictures(result)
    for title, hung in (
        ("Check of the canvas against the reference", pair_pictures(result, made)),
        ("What the check found", question_pictures(result, made)),
    ):
        _hang(sheet.page, hung, _heading(sheet.page, title, result, on))
        sheet.turn()
    _list_page(sheet, result, on)
    sheet.turn()
    return sheet.finished()


def _hang(page: PrintPage, pictures: Sequence[SheetPicture], top: float) -> None:
    """Two by two, each with its legend under it."""
    width = (_WIDTH - 2 * MARGIN_MM - _GAP) / 2
    most = (_HEIGHT - MARGIN_MM - top - _GAP) / 2 - _LEGEND
    for row in range(0, len(pictures), 2):
        feet = []
        for column, picture in enumerate(pictures[row : row + 2]):
            left = MARGIN_MM + column * (width + _GAP)
            _, begins, scale = page.fitted(picture.pixels, left, top, width, most, title=picture.title)
            foot = begins + picture.pixels.shape[0] * scale + 2
            feet.append(page.legend(picture.legend, left, foot, width, columns=2))
        top = max(feet) + _GAP


def _list_page(sheet: Print, result: CheckResult, on: date) -> None:
    page, sure = sheet.page, (*result.certainty, *_HOW_TO_READ)
    y = _heading(page, "To mend, largest first", result, on)
    y = _list(page, result, y, max(_HEIGHT - MARGIN_MM - _sure(page, sure, 0.0, draw=False), y + _LEAST_LIST))
    begun = 0
    while begun < len(sure):  # what the page has no room for is on the next
        fits = len(sure) - begun
        while fits > 1 and _sure(page, sure[begun : begun + fits], y, draw=False) > _HEIGHT - MARGIN_MM:
            fits -= 1
        _sure(page, sure[begun : begun + fits], y)
        begun += fits
        if begun < len(sure):
            sheet.turn()
            y = MARGIN_MM


def _list(page: PrintPage, result: CheckResult, y: float, foot: float) -> float:
    """What there is to mend, as far as there is room above ``foot``."""
    if not result.mend:
        return page.text("Nothing to mend was found.", MARGIN_MM, y, 11)
    for number, finding in enumerate(result.mend, start=1):
        rest = len(result.mend) - number
        if _finding(page, number, finding, y, draw=False) + (_REST if rest else 0.0) > foot:
            return page.text(
                f"and {rest + 1} smaller: they stand in check.json.", MARGIN_MM + _INDENT, y, 9.5, grey=SOFT
            )
        y = _finding(page, number, finding, y)
    return y


def _finding(page: PrintPage, number: int, finding: Finding, y: float, *, draw: bool = True) -> float:
    """One line of the list and its place; gives the next baseline."""
    if draw:
        page.text(f"{number}.", MARGIN_MM, y, 11, weight="SemiBold")
    y = page.text(finding.say, MARGIN_MM + _INDENT, y, 11, draw=draw) + 1.5
    at = f"{finding.question} · {finding.x_mm / 10:.1f} cm from the left, {finding.y_mm / 10:.1f} cm from the top"
    return page.text(at, MARGIN_MM + _INDENT, y - 1.2, 8.5, grey=SOFT, draw=draw) + 2.0


def _sure(page: PrintPage, sentences: Sequence[str], y: float, *, draw: bool = True) -> float:
    """How sure the answers are, under a rule; gives the next baseline."""
    y += 8
    if draw:
        page.rule(y)
    y = page.text("How sure this is, and what was withheld", MARGIN_MM, y + 6, 13, weight="SemiBold", draw=draw) + 2
    for sentence in sentences:
        y = page.text(sentence, MARGIN_MM, y, 9.5, draw=draw) + 1.2
    return y


_HOW_TO_READ = (
    "A step is one step of Munsell value, ten from black to white; within half a step counts as right.",
    "Lines on the value picture run at every half step off: dashed too dark, unbroken too light, heavy at whole steps.",
    "Arrows run from where a landmark should be to where it is painted, three times their true length.",
    "Positions are on the canvas face. The canvas is laid flat from its own corners, never by its picture.",
)


def _heading(page: PrintPage, title: str, result: CheckResult, on: date) -> float:
    y = page.text(title, MARGIN_MM, MARGIN_MM + 6, 17, weight="SemiBold")
    name = result.request.photo.source.name
    line = f"{name + ' · ' if name else ''}canvas {result.size.in_cm()} ({result.size.in_inches()}) · {on:%d %B %Y}"
    y = page.text(line, MARGIN_MM, y - 0.5, 9.5, grey=SOFT)
    page.rule(y)
    return y + 5
