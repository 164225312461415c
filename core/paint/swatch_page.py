"""The swatch card in print: one page, true to size, with what to paint where and how to photograph it."""

from pathlib import Path

import numpy as np

from core.colorimetry import encode_srgb
from core.errors import PaintError
from core.paint import swatch_card as card
from core.print_page import PT_PER_MM, RULE, SOFT, Print, PrintPage
from core.size import PAPERS, Size
from core.whole_file import save_bytes

SWATCH_PAPERS = ("A4", "Letter")
BLOCK_TOP_MM = 48.0
RULER_MM = 100.0
_STEPS_GAP_MM, _COLUMN_GAP_MM, _STEP_INDENT_MM, _STEP_GAP_MM = 12.0, 8.0, 5.0, 1.6
_STEP_PT, _LABEL_PT, _SMALL_PT = 9.5, 9.0, 7.5
_RULER_FROM_FOOT_MM = 18.0
_FIELD_MM, _FIELD_GAP_MM, _LONGEST_NAME = 87.0, 6.0, 40
STEPS = (
    "Print at 100 %, not fitted to the page. The ruler at the foot must be 100 mm long.",
    "Mix the two tints by weight, on a scale that shows 0.1 g or finer. Without a scale, count equal blobs. If you "
    "weigh other parts, write them on the card and tell the program.",
    "Paint each square thickly, evenly and up to its edges, until the black bar no longer shows through. Stir each "
    "tint until no streak is left. Keep the greys and the corner marks clean.",
    "Lay the card flat in diffuse daylight, near a window but out of the sun. Switch lamps off, use no flash.",
    "Hold the camera straight above it, with the four corner marks near the edges of the picture, all of them sharp. "
    "Turn the card until no square shines. Keep your own shadow off it.",
    "Keep filters and effects of the camera off. Expose so that the white is light, but not burnt out.",
)


def swatch_page(path: Path, *, paper: str = "A4", tube_name: str = "", white_name: str = "") -> int:
    """Write the PDF of the card, whole or not at all; give back how many pages it has.

    Raises PainterError with a sentence.
    """
    save_bytes(path, swatch_page_bytes(paper=paper, tube_name=tube_name, white_name=white_name))
    return 1


def swatch_page_bytes(*, paper: str = "A4", tube_name: str = "", white_name: str = "") -> bytes:
    """The PDF of one page. ``paper``: ``A4`` or ``Letter``; PaintError for another."""
    if paper not in SWATCH_PAPERS:
        raise PaintError(f"The swatch card is made for {' and '.join(SWATCH_PAPERS)}, not for {paper}. Choose one.")
    size = PAPERS[paper]
    pdf = Print(f"Swatch card, {tube_name}" if tube_name else "Swatch card", size)
    left, top = block_at(size)
    _head(pdf.page, left, tube_name, white_name)
    for corner in range(4):
        _mark(pdf.page, corner, left, top)
    for patch in card.patches():
        _box(pdf.page, patch.rect, left, top, card.GREYS[patch.level])
    for square in card.SQUARES:
        _square(pdf.page, square, left, top)
    _card_place(pdf.page, left, top)
    _steps(pdf.page, left, top + card.HEIGHT_MM + _STEPS_GAP_MM)
    _ruler(pdf.page)
    pdf.turn()
    return pdf.finished()


def block_at(paper: Size) -> tuple[float, float]:
    """Left and top of the block on a paper, mm."""
    return (paper.width_mm - card.WIDTH_MM) / 2, BLOCK_TOP_MM


def _head(page: PrintPage, left: float, tube_name: str, white_name: str) -> None:
    page.text("Swatch card", left, 20.0, 18, weight="SemiBold")
    for number, (label, name) in enumerate((("Tube", tube_name), ("White", white_name))):
        x, y = left + number * (_FIELD_MM + _FIELD_GAP_MM), 32.0
        page.text(label, x, y, _LABEL_PT, grey=SOFT)
        page.line((x + 12.0, y + 1.4), (x + _FIELD_MM, y + 1.4), 0.2, RULE)
        page.text(_shortened(name), x + 12.0, y, _LABEL_PT + 1, weight="Medium", room=_FIELD_MM)
    page.text("Paint the four squares, then photograph the part between the corner marks.", left, 41.0, _LABEL_PT)


def _shortened(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1].rstrip() + "…"


def _mark(page: PrintPage, corner: int, left: float, top: float) -> None:
    """A corner mark: black, with its white modules as runs along and down, so that no seam shows between them."""
    rect = card.mark_rects()[corner]
    _box(page, rect, left, top, 0.0)
    modules = card.mark_modules(corner)
    side = card.MARK_MM / card.MODULES
    for turned, picture in ((False, modules), (True, modules.T)):
        for row, values in enumerate(picture):
            for start, stop in _runs(values.tolist()):
                x, y, wide, high = start * side, row * side, (stop - start) * side, side
                at = card.Rect(y, x, high, wide) if turned else card.Rect(x, y, wide, high)
                _box(page, card.Rect(rect.left + at.left, rect.top + at.top, at.width, at.height), left, top, 1.0)


def _runs(values: list[bool]) -> list[tuple[int, int]]:
    """Where runs of True start and stop."""
    padded = np.diff(np.array([False, *values, False]).astype(np.int8))
    return list(zip(np.flatnonzero(padded == 1).tolist(), np.flatnonzero(padded == -1).tolist(), strict=True))


def _box(page: PrintPage, rect: card.Rect, left: float, top: float, light: float) -> None:
    grey = round(255 * float(encode_srgb(light)))
    page.box(left + rect.left, top + rect.top, rect.width, rect.height, (grey, grey, grey))


def _square(page: PrintPage, square: card.Square, left: float, top: float) -> None:
    rect = square.rect
    x, y = left + rect.left, top + rect.top
    _box(page, square.bar, left, top, 0.0)
    corners = [(x, y), (x + rect.width, y), (x + rect.width, y + rect.height), (x, y + rect.height)]
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        page.line(start, end, 0.2, SOFT)
    middle = x + rect.width / 2
    page.words(_capital(square.name), middle, y - 2.4, _LABEL_PT, weight="SemiBold")
    mixed = 0 < square.share < 1
    lines = square.parts.split(", ") if mixed else [square.parts]
    for number, line in enumerate(lines):
        page.words(line, middle, y + rect.height + 4.2 + 3.6 * number, _SMALL_PT)
    if mixed:
        page.words("weighed ______ : ______", middle, y + rect.height + 13.2, _SMALL_PT, grey=SOFT)


def _capital(name: str) -> str:
    return name[:1].upper() + name[1:]


def _card_place(page: PrintPage, left: float, top: float) -> None:
    """Dashed on three sides: a card may hang out below."""
    place = card.CARD_PLACE
    x0, x1 = left + place.left, left + place.left + place.width
    y0, y1 = top + place.top, top + place.top + place.height
    page.pdf.saveState()
    page.pdf.setDash(1.2 * PT_PER_MM, 1.2 * PT_PER_MM)
    for start, end in (((x0, y1), (x0, y0)), ((x0, y0), (x1, y0)), ((x1, y0), (x1, y1))):
        page.line(start, end, 0.2, SOFT)
    page.pdf.restoreState()
    middle = (x0 + x1) / 2
    page.words("If you have a photographer’s grey card,", middle, y0 + 9.0, _SMALL_PT, grey=SOFT)
    page.words("lay it here, up to this line", middle, y0 + 12.8, _SMALL_PT, grey=SOFT)


def _steps(page: PrintPage, left: float, y: float) -> None:
    """What to do, numbered, in two columns."""
    wide = (card.WIDTH_MM - _COLUMN_GAP_MM) / 2
    half = (len(STEPS) + 1) // 2
    for column in range(2):
        x, foot = left + column * (wide + _COLUMN_GAP_MM), y
        for number, step in list(enumerate(STEPS, 1))[column * half : (column + 1) * half]:
            page.text(f"{number}", x, foot, _STEP_PT, weight="SemiBold")
            foot = page.text(step, x + _STEP_INDENT_MM, foot, _STEP_PT, room=wide - _STEP_INDENT_MM) + _STEP_GAP_MM


def _ruler(page: PrintPage) -> None:
    """The check ruler, and over it what the greys are."""
    x, y = (page.width_mm - RULER_MM) / 2, page.height_mm - _RULER_FROM_FOOT_MM
    first, *middle, last = (f"{100 * grey:.0f}" for grey in card.GREYS)
    greys = f"{', '.join([first, *middle])} and {last} %"
    page.words(
        f"The greys are meant to reflect {greys} of the light. No printer hits them: they tell how evenly it falls.",
        page.width_mm / 2,
        y - 8.0,
        _SMALL_PT,
        grey=SOFT,
    )
    page.line((x, y), (x + RULER_MM, y), 0.2)
    for at in range(round(RULER_MM) + 1):
        high = 3.0 if at in (0, RULER_MM) else 2.2 if at % 10 == 0 else 1.7 if at % 5 == 0 else 1.1
        page.line((x + at, y), (x + at, y - high), 0.1 if at % 10 else 0.2)
    for place, label in ((0.0, "0"), (RULER_MM / 2, f"{RULER_MM / 2:g}"), (RULER_MM, f"{RULER_MM:g} mm")):
        page.words(label, x + place, y + 3.4, 7, grey=SOFT)
