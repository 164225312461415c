"""The grey pair in print: the reference in colour and in grey, to hang beside the easel, with a strip to check the
printer by.

Fitted, both stand on one page. At canvas scale each goes over as many pages as it takes, row by row, with a lap to join
them by, the paper whichever way up takes fewer. The strip has ten steps from black to white, each at the middle of its
values: a printer that prints two of them alike cannot be trusted with a grey reference.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import encode_srgb, luminance_of_value
from core.drawing.squaring import Squaring, column_name, squaring_grid
from core.errors import PainterError
from core.print_page import SOFT, Print, PrintPage
from core.size import PAPERS, Size
from core.whole_file import save_bytes

Pixels = NDArray[np.uint8]
Rect = tuple[float, float, float, float]
Tell = Callable[[float, str], object]

MARGIN_MM, LAP_MM = 8.0, 8.0
STRIP_VALUES = tuple(np.arange(0.5, 10.0).tolist())
RULER_MM = 100.0
MOST_PAGES = 200
_HEAD_MM, _FOOT_MM, _GAP_MM = 9.0, 26.0, 6.0
_STRIP_HIGH_MM = 8.0
_GRID_MM, _GRID_LIGHT, _GRID_DARK = 0.15, 0.85, 0.15


@dataclass(frozen=True, eq=False)
class GreyPair:
    """``colour``: ``(H, W, 3)`` uint8 sRGB of the whole reference; ``grey``: ``(H, W)`` uint8 sRGB. ``size``: the
    canvas. ``fitted``: both on one page; else at canvas scale. ``squaring``: a grid over both. ``title``: at the head.
    """

    colour: Pixels
    grey: Pixels
    size: Size
    paper: Size = field(default_factory=lambda: PAPERS["A4"])
    fitted: bool = True
    squaring: Squaring | None = None
    title: str = "Reference"


def write_grey_pair(path: Path, pair: GreyPair, *, tell: Tell | None = None) -> int:
    """Write the PDF, whole or not at all; give back how many pages it has. Raises PainterError with a sentence."""
    made, pages = grey_pair_bytes(pair, tell=tell)
    save_bytes(path, made)
    return pages


def grey_pair_bytes(pair: GreyPair, *, tell: Tell | None = None) -> tuple[bytes, int]:
    """The PDF, and how many pages it has. Raises PainterError for paper that is too small, or too many pages."""
    say = tell or (lambda share, doing: None)
    pages = [_fitted_pages(pair)] if pair.fitted else _scaled_pages(pair)
    paper = pages[0][0].paper
    pdf = Print(f"Grey pair, canvas {pair.size.in_cm()}", paper)
    for number, parts in enumerate(pages):
        say(number / len(pages), f"Printing page {number + 1} of {len(pages)}")
        _page(pdf.page, pair, parts, f"{number + 1} of {len(pages)}" if len(pages) > 1 else "")
        pdf.turn()
    return pdf.finished(), len(pages)


@dataclass(frozen=True)
class _Part:
    """A piece of one of the pictures on a page: ``shows`` it, mm on the canvas, at ``place``, mm on the paper."""

    paper: Size
    name: str
    in_grey: bool
    shows: Rect
    place: Rect

    @property
    def scale(self) -> float:
        """Mm on the paper for a mm of the canvas."""
        return (self.place[2] - self.place[0]) / (self.shows[2] - self.shows[0])


def _fitted_pages(pair: GreyPair) -> list[_Part]:
    """Both pictures on one page, side by side or one above the other, the paper the way up that shows them larger."""
    return max(
        (_beside(pair, paper, across) for paper in (pair.paper, pair.paper.turned) for across in (1, 2)),
        key=lambda parts: parts[0].scale,
    )


def _beside(pair: GreyPair, paper: Size, across: int) -> list[_Part]:
    room_w, room_h = _room(paper)
    down = 3 - across
    wide = (room_w - (across - 1) * _GAP_MM) / across
    high = (room_h - (down - 1) * _GAP_MM) / down
    scale = min(wide / pair.size.width_mm, high / pair.size.height_mm)
    w, h = pair.size.width_mm * scale, pair.size.height_mm * scale
    parts = []
    for number, name in enumerate(("in colour", "in grey")):
        left = MARGIN_MM + (number if across == 2 else 0) * (w + _GAP_MM)
        top = MARGIN_MM + _HEAD_MM + (number if down == 2 else 0) * (h + _GAP_MM)
        shows = (0.0, 0.0, pair.size.width_mm, pair.size.height_mm)
        parts.append(_Part(paper, name, number == 1, shows, (left, top, left + w, top + h)))
    return parts


def _scaled_pages(pair: GreyPair) -> list[list[_Part]]:
    """Pages at canvas scale: all of the colour picture, then all of the grey one."""
    paper = min((pair.paper, pair.paper.turned), key=lambda each: math.prod(map(len, _cuts_of(pair.size, each))))
    columns, rows = _cuts_of(pair.size, paper)
    if 2 * len(columns) * len(rows) > MOST_PAGES:
        raise PainterError(
            f"The pair would take {2 * len(columns) * len(rows)} pages at canvas scale. Use larger paper, or fit it on "
            "one page."
        )
    pages = []
    for in_grey in (False, True):
        for row, (top, bottom) in enumerate(rows):
            for column, (left, right) in enumerate(columns):
                name = f"in {'grey' if in_grey else 'colour'}, {column_name(column)}{row + 1}"
                x, y = MARGIN_MM, MARGIN_MM + _HEAD_MM
                place = (x, y, x + right - left, y + bottom - top)
                pages.append([_Part(paper, name, in_grey, (left, top, right, bottom), place)])
    return pages


def _cuts_of(size: Size, paper: Size) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    room_w, room_h = _room(paper)
    return _cuts(size.width_mm, room_w), _cuts(size.height_mm, room_h)


def _cuts(length: float, room: float) -> list[tuple[float, float]]:
    """From where to where each page shows a side, mm, every one lapping over the one before."""
    if room <= 2 * LAP_MM:
        raise PainterError("The paper is too small to print the pair on. Choose a larger one.")
    count = 1 if length <= room else math.ceil((length - LAP_MM) / (room - LAP_MM))
    step = (length - LAP_MM) / count
    return [(k * step, k * step + step + LAP_MM) for k in range(count)] if count > 1 else [(0.0, length)]


def _room(paper: Size) -> tuple[float, float]:
    return paper.width_mm - 2 * MARGIN_MM, paper.height_mm - 2 * MARGIN_MM - _HEAD_MM - _FOOT_MM


def _page(page: PrintPage, pair: GreyPair, parts: list[_Part], number: str) -> None:
    names = " and ".join(part.name for part in parts)
    scale = parts[0].scale
    size = (
        f"canvas scale, pages lap {LAP_MM:g} mm"
        if not pair.fitted
        else f"1 : {1 / scale:.2f}"
        if scale < 1
        else f"{scale:.2f} : 1"
    )
    page.text(f"{pair.title} {names}", MARGIN_MM, MARGIN_MM + 4.0, 11, weight="SemiBold")
    about = f"canvas {pair.size.in_cm()} · {size}{f' · page {number}' if number else ''}"
    page.text(about, page.width_mm / 2, MARGIN_MM + 4.0, 8.5, grey=SOFT, room=page.width_mm / 2 - MARGIN_MM)
    for part in parts:
        _lay(page, pair, part)
    top = page.height_mm - MARGIN_MM - _FOOT_MM + 4.0
    _strip(page, top)
    _ruler(page, top + _STRIP_HIGH_MM + 10.0)


def _lay(page: PrintPage, pair: GreyPair, part: _Part) -> None:
    picture = pair.grey if part.in_grey else pair.colour
    px_x, px_y = picture.shape[1] / pair.size.width_mm, picture.shape[0] / pair.size.height_mm
    # Whole pixels; where they end is where the picture is laid, so that nothing is stretched.
    left, right = math.floor(part.shows[0] * px_x), math.ceil(part.shows[2] * px_x)
    top, bottom = math.floor(part.shows[1] * px_y), math.ceil(part.shows[3] * px_y)
    x = part.place[0] + (left / px_x - part.shows[0]) * part.scale
    y = part.place[1] + (top / px_y - part.shows[1]) * part.scale
    wide, high = (right - left) / px_x * part.scale, (bottom - top) / px_y * part.scale
    piece = np.ascontiguousarray(picture[top:bottom, left:right])
    with page.clipped(*part.place):
        page.picture(piece, x, y, wide, high, exact=part.in_grey)
        if pair.squaring is not None:
            for x1, y1, x2, y2 in squaring_grid(pair.size, pair.squaring).segments:
                ends = [
                    (
                        part.place[0] + (px - part.shows[0]) * part.scale,
                        part.place[1] + (py - part.shows[1]) * part.scale,
                    )
                    for px, py in ((x1, y1), (x2, y2))
                ]
                # A dark line on a light one is seen on any passage.
                page.line(ends[0], ends[1], 2.5 * _GRID_MM, _GRID_LIGHT)
                page.line(ends[0], ends[1], _GRID_MM, _GRID_DARK)


def _strip(page: PrintPage, top: float) -> None:
    """Ten greys of known value, and what to look for."""
    each = min(14.0, (page.width_mm - 2 * MARGIN_MM) / len(STRIP_VALUES))
    codes = np.rint(255 * encode_srgb(luminance_of_value(np.array(STRIP_VALUES)))).astype(int)
    for number, (value, code) in enumerate(zip(STRIP_VALUES, codes.tolist(), strict=True)):
        x = MARGIN_MM + number * each
        page.box(x, top, each, _STRIP_HIGH_MM, (code, code, code), edge=True)
        page.words(f"{value:g}", x + each / 2, top + _STRIP_HIGH_MM + 3.0, 7)
    page.text(
        "Munsell value of each step. Two neighbours that look alike: the printer cannot be trusted there.",
        MARGIN_MM, top + _STRIP_HIGH_MM + 6.2, 7, grey=SOFT,
    )  # fmt: skip


def _ruler(page: PrintPage, y: float) -> None:
    x = MARGIN_MM
    page.line((x, y), (x + RULER_MM, y), 0.2)
    for at in (0.0, RULER_MM / 2, RULER_MM):
        page.line((x + at, y - 1.5), (x + at, y + 1.5), 0.2)
    page.text("100 mm, printed at actual size", x + RULER_MM + 3.0, y + 1.0, 7, grey=SOFT)
