"""The printed check sheet: three A4 pages to hang beside the easel.

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
from core.print_page import MARGIN_MM, SOFT, Print, PrintPage
from core.size import PAPERS
from core.whole_file import save_bytes

_GAP = 6.0
_WIDTH, _HEIGHT = PAPERS["A4"].width_mm, PAPERS["A4"].height_mm
_LEGEND = 5 * 4.2 + 2
_LIST_STOPS_AT = 105.0
"""The list to mend ends here, mm from the foot of its page, to leave room for how sure it is."""


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
    _list_page(sheet.page, result, on)
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


def _list_page(page: PrintPage, result: CheckResult, on: date) -> None:
    y = _heading(page, "To mend, largest first", result, on)
    if not result.mend:
        y = page.text("Nothing to mend was found.", MARGIN_MM, y, 11)
    for number, finding in enumerate(result.mend, start=1):
        if y > _HEIGHT - _LIST_STOPS_AT:
            rest = len(result.mend) - number + 1
            page.text(f"and {rest} smaller: they stand in check.json.", MARGIN_MM + 9, y, 9.5, grey=SOFT)
            break
        page.text(f"{number}.", MARGIN_MM, y, 11, weight="SemiBold")
        y = page.text(finding.say, MARGIN_MM + 9, y, 11) + 1.5
        at = f"{finding.question} · {finding.x_mm / 10:.1f} cm from the left, {finding.y_mm / 10:.1f} cm from the top"
        y = page.text(at, MARGIN_MM + 9, y - 1.2, 8.5, grey=SOFT) + 2.0
    y += 8
    page.rule(y)
    y = page.text("How sure this is, and what was withheld", MARGIN_MM, y + 6, 13, weight="SemiBold") + 2
    for sentence in (*result.certainty, *_HOW_TO_READ):
        y = page.text(sentence, MARGIN_MM, y, 9.5) + 1.2


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
