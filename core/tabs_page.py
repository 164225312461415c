"""The corner tabs in print: one page, true to size, to cut out and stick beside the canvas's corners."""

from pathlib import Path

import numpy as np

from core.canvas.corners import NAMES
from core.canvas.tabs import GREY_MM, GREY_VALUES, MODULES, NEAREST, QUIET_MM, TAB_MM, grey_squares, tab_modules
from core.colorimetry import encode_srgb, luminance_of_value
from core.errors import CanvasError
from core.print_page import PT_PER_MM, SOFT, Print, PrintPage
from core.size import PAPERS, Size
from core.whole_file import save_bytes

TABS_PAPERS = ("A4", "Letter")
RULER_MM = 100.0
PIECE_MM = (TAB_MM + 2 * QUIET_MM, 62.0)
"""Width and height of a tab to cut out, the same for all four."""
_LABELS_MM = PIECE_MM[1] - 2 * QUIET_MM - TAB_MM - GREY_MM
"""Room on a tab for its words, beyond the greys."""
_BETWEEN_MM = (26.0, 8.0)
_FIRST_TOP_MM, _MARGIN_MM = 44.0, 15.0
_RULER_FROM_FOOT_MM = 18.0
_BODY_PT, _SMALL_PT, _TINY_PT = 9.5, 7.5, 6.0
_STEP_INDENT_MM, _STEP_GAP_MM, _COLUMN_GAP_MM = 5.0, 1.4, 8.0
_POINTER_MM = 2.6
STEPS = (
    "Print at 100 %, not fitted to the page, on thick matt paper. The ruler at the foot must be 100 mm long.",
    "Cut along the dashed lines. Leave the white round the black squares: they are found by it.",
    "Stick each tab beside its corner of the canvas, the words upright and the small black corner towards the canvas. "
    "Leave a little of the surround between them.",
    "Stick them flat, level with the front of the canvas, on something that stays where the canvas stays: a strip of "
    "stiff card taped to the back of the stretcher, packed out to the front. Further back, they are right only while "
    "the camera stays where it was.",
    "Photograph the canvas once with all four tabs in the picture. From then on any two tabs are enough to find it by, "
    "whatever covers the rest.",
    "If the canvas or a tab has been moved, take that one photograph anew.",
)
CAUTION = (
    "White paper tells a check how light your paint is, to about 0.2 of a value step. The greys are meant to be "
    "Munsell value {}; no printer hits them, and they stand in only where the white is burnt out."
)


def tabs_page(path: Path, *, paper: str = "A4") -> int:
    """Write the PDF of the tabs, whole or not at all; give back how many pages it has.

    Raises PainterError with a sentence.
    """
    save_bytes(path, tabs_page_bytes(paper=paper))
    return 1


def tabs_page_bytes(*, paper: str = "A4") -> bytes:
    """The PDF of one page. ``paper``: ``A4`` or ``Letter``; CanvasError for another."""
    if paper not in TABS_PAPERS:
        raise CanvasError(f"The corner tabs are made for {' and '.join(TABS_PAPERS)}, not for {paper}. Choose one.")
    size = PAPERS[paper]
    pdf = Print("Corner tabs", size)
    page = pdf.page
    page.text("Corner tabs", _MARGIN_MM, 20.0, 18, weight="SemiBold")
    page.text(
        "Four markers to stick beside the corners of the canvas. With them the program finds the canvas by itself, in "
        "photographs, whatever stands before it.",
        _MARGIN_MM,
        28.0,
        _BODY_PT,
    )
    for corner in range(4):
        _tab(page, corner)
    _steps(page, _FIRST_TOP_MM + 2 * PIECE_MM[1] + _BETWEEN_MM[1] + 11.0)
    _ruler(page)
    pdf.turn()
    return pdf.finished()


def piece_at(paper: Size, corner: int) -> tuple[float, float]:
    """Left and top of a tab's piece on a paper, mm."""
    column, row = int(corner in (1, 2)), int(corner in (2, 3))
    wide = 2 * PIECE_MM[0] + _BETWEEN_MM[0]
    left = (paper.width_mm - wide) / 2 + column * (PIECE_MM[0] + _BETWEEN_MM[0])
    return left, _FIRST_TOP_MM + row * (PIECE_MM[1] + _BETWEEN_MM[1])


def square_at(corner: int) -> tuple[float, float]:
    """Left and top of the black square in its piece, mm: the greys lie away from the canvas."""
    return QUIET_MM, (PIECE_MM[1] - QUIET_MM - TAB_MM if corner < 2 else QUIET_MM)


def _tab(page: PrintPage, corner: int) -> None:
    left, top = piece_at(page.paper, corner)
    x, y = (at + own for at, own in zip((left, top), square_at(corner), strict=True))
    _square(page, corner, x, y)
    _pointer(page, corner, left, top, y)
    for value, grey in zip(GREY_VALUES, grey_squares(corner), strict=True):
        code = round(255 * float(encode_srgb(luminance_of_value(value))))
        page.box(x + grey[0, 0], y + grey[0, 1], GREY_MM, GREY_MM, (code, code, code))
    strip = y + float(grey_squares(corner)[0, 0, 1])
    upper = corner < 2
    numbers = strip - 1.2 if upper else strip + GREY_MM + 2.8
    for value, grey in zip(GREY_VALUES, grey_squares(corner), strict=True):
        page.words(f"{value:g}", x + grey[:, 0].mean(), numbers, _TINY_PT, grey=SOFT)
    page.words(NAMES[corner], left + PIECE_MM[0] / 2, top + 4.0 if upper else top + PIECE_MM[1] - 2.2, _SMALL_PT)
    _cut_lines(page, left, top)


def _square(page: PrintPage, corner: int, x: float, y: float) -> None:
    """Black, with its white modules as runs along and down, so that no seam shows between them."""
    page.box(x, y, TAB_MM, TAB_MM, (0, 0, 0))
    side = TAB_MM / MODULES
    white = (255, 255, 255)
    modules = tab_modules(corner)
    for row, column in np.argwhere(modules).tolist():
        wide = 1 + int(column + 1 < MODULES and modules[row, column + 1])
        high = 1 + int(row + 1 < MODULES and modules[row + 1, column])
        page.box(x + column * side, y + row * side, wide * side, side, white)
        page.box(x + column * side, y + row * side, side, high * side, white)


def _pointer(page: PrintPage, corner: int, left: float, top: float, square_top: float) -> None:
    """A black corner, in the corner of the white that lies nearest to the canvas's."""
    right, low = NEAREST[corner] in (1, 2), NEAREST[corner] in (2, 3)
    x = left + PIECE_MM[0] if right else left
    y = square_top + TAB_MM + QUIET_MM if low else square_top - QUIET_MM
    inward = np.array([-1.0 if right else 1.0, -1.0 if low else 1.0]) * _POINTER_MM
    path = page.pdf.beginPath()
    for number, (px, py) in enumerate(((x, y), (x + inward[0], y), (x, y + inward[1]))):
        at = (px * PT_PER_MM, (page.height_mm - py) * PT_PER_MM)
        (path.lineTo if number else path.moveTo)(*at)
    path.close()
    page.pdf.setFillGray(0.0)
    page.pdf.drawPath(path, stroke=0, fill=1)


def _cut_lines(page: PrintPage, left: float, top: float) -> None:
    right, foot = left + PIECE_MM[0], top + PIECE_MM[1]
    page.pdf.saveState()
    page.pdf.setDash(1.5 * PT_PER_MM, 1.5 * PT_PER_MM)
    places = [(left, top), (right, top), (right, foot), (left, foot)]
    for start, end in zip(places, places[1:] + places[:1], strict=True):
        page.line(start, end, 0.15, SOFT)
    page.pdf.restoreState()


def _steps(page: PrintPage, y: float) -> None:
    """What to do, numbered, in two columns; then the caution about the greys."""
    wide = (page.width_mm - 2 * _MARGIN_MM - _COLUMN_GAP_MM) / 2
    half = (len(STEPS) + 1) // 2
    feet = []
    for column in range(2):
        x, foot = _MARGIN_MM + column * (wide + _COLUMN_GAP_MM), y
        for number, step in list(enumerate(STEPS, 1))[column * half : (column + 1) * half]:
            page.text(f"{number}", x, foot, _BODY_PT, weight="SemiBold")
            foot = page.text(step, x + _STEP_INDENT_MM, foot, _BODY_PT, room=wide - _STEP_INDENT_MM) + _STEP_GAP_MM
        feet.append(foot)
    *first, last = (f"{value:g}" for value in GREY_VALUES)
    page.text(CAUTION.format(f"{', '.join(first)} and {last}"), _MARGIN_MM, max(feet) + 1.5, _SMALL_PT, grey=SOFT)


def _ruler(page: PrintPage) -> None:
    x, y = (page.width_mm - RULER_MM) / 2, page.height_mm - _RULER_FROM_FOOT_MM
    page.line((x, y), (x + RULER_MM, y), 0.2)
    for at in range(round(RULER_MM) + 1):
        high = 3.0 if at in (0, RULER_MM) else 2.2 if at % 10 == 0 else 1.7 if at % 5 == 0 else 1.1
        page.line((x + at, y), (x + at, y - high), 0.1 if at % 10 else 0.2)
    for place, label in ((0.0, "0"), (RULER_MM / 2, f"{RULER_MM / 2:g}"), (RULER_MM, f"{RULER_MM:g} mm")):
        page.words(label, x + place, y + 3.4, 7, grey=SOFT)
