"""Transfer sheets: a drawing at true size on as few sheets of paper as hold it, with what is needed to join them.

Ask with a ``SheetRequest``; ``lay_sheets`` answers with the ``Sheets``: which pages there are and what each shows of
the canvas. ``write_sheets`` prints them into a PDF, ``sheet_preview`` shows one as pixels, and both are made from the
same page description (``sheet_page``). ``write_picture`` saves the whole drawing as one PNG.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.drawing.sheet_frame import Frame, frame_on
from core.drawing.sheet_ink import Ink, Rect, chosen_drawing, ink_of
from core.drawing.sheet_layout import Cell, Found, Tiling, fewest_sheets
from core.drawing.sheet_marks import landmark_dots, numbered_notes
from core.drawing.sheet_page import FAINT, INK, Draft, Page
from core.drawing.sheet_pdf import pdf_bytes
from core.drawing.sheet_picture import page_pixels, px_per_mm_of
from core.drawing.sheet_plan import plan_page
from core.drawing.sheet_request import SheetRequest, paper_name, parse_paper
from core.drawing.sheet_tile import Neighbours, Tile, dot_chains, tile_page
from core.drawing.squaring import column_name
from core.errors import DrawingError, PhotoError
from core.size import Size
from core.whole_file import write_whole

__all__ = [
    "Neighbours",
    "Sheet",
    "SheetRequest",
    "Sheets",
    "chosen_drawing",
    "lay_sheets",
    "paper_name",
    "parse_paper",
    "sheet_page",
    "sheet_preview",
    "write_picture",
    "write_sheets",
]

PREVIEW_DPI, LEAST_DPI, MOST_DPI = 50.0, 10.0, 2400.0
MOST_PIXELS = 120_000_000
PLAN = "plan"
UNPROVEN = "Fewer sheets may do: so much paper could not be tried in every place to the millimetre."

Tell = Callable[[float, str], object]


@dataclass(frozen=True)
class Sheet:
    """One page. ``paper``: as it is turned. ``on_canvas``: left, top, right, bottom of what it shows, mm on the canvas
    face, also when it is mirrored; None for the plan, whose ``name`` is ``plan``."""

    name: str
    paper: Size
    on_canvas: Rect | None = None
    neighbours: Neighbours = field(default_factory=Neighbours)

    @property
    def on_its_side(self) -> bool:
        """Whether the paper lies wider than high."""
        return self.paper.width_mm > self.paper.height_mm


@dataclass(frozen=True, eq=False)
class Sheets:
    """What will be printed: the mounting plan, then the sheets, row by row.

    ``left_out``: names of the places between the sheets that have nothing on them. ``notes``: plain sentences.
    """

    request: SheetRequest
    pages: tuple[Sheet, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
    ink: Ink
    tiling: Tiling
    tiles: tuple[Tile, ...]

    @property
    def count(self) -> int:
        """How many sheets there are, the plan not counted."""
        return len(self.tiles)

    @property
    def paper(self) -> Size:
        """The paper of every page, as it is turned."""
        return self.pages[0].paper


def lay_sheets(request: SheetRequest) -> Sheets:
    """Lay out the sheets: the fewest, with the paper either way up.

    Raises DrawingError when there is nothing to print, the drawing is larger than its canvas, the paper too small,
    a number out of range, or the sheets too many.
    """
    request.check()
    ink = ink_of(request)
    frame, tiling, proven = _best_way_up(request, ink)
    tiles = _tiles(request, frame, tiling)
    left_out = tuple(_name(cell) for cell in tiling.left_out)
    notes = (*ink.notes, *numbered_notes(ink.marks), *_left_out_notes(left_out), *([] if proven else [UNPROVEN]))
    width = ink.size.width_mm if request.mirrored else None
    pages = (
        Sheet(PLAN, frame.paper),
        *(Sheet(tile.name, frame.paper, _on_face(tile.shown, width), tile.neighbours) for tile in tiles),
    )
    return Sheets(request, pages, left_out, notes, ink, tiling, tiles)


def sheet_page(sheets: Sheets, index: int) -> Page:
    """The description of ``sheets.pages[index]``, in mm on its paper."""
    request = sheets.request
    if not 0 <= index < len(sheets.pages):
        raise IndexError(f"there is no page {index} among {len(sheets.pages)}")
    if index == 0:
        return plan_page(request, sheets.paper, sheets.ink, sheets.tiling, sheets.tiles, sheets.notes)
    return tile_page(sheets.tiles[index - 1], sheets.ink, mirrored=request.mirrored, film=request.film)


def sheet_preview(sheets: Sheets, index: int, *, dpi: float = PREVIEW_DPI) -> NDArray[np.uint8]:
    """``sheets.pages[index]`` as it will look: ``(H, W, 3)`` uint8 sRGB, black on white paper."""
    grey = page_pixels(sheet_page(sheets, index), _checked_px_per_mm(sheets.paper, dpi))
    return np.repeat(grey[..., None], 3, axis=2)


def write_sheets(path: Path | str, request: SheetRequest, *, tell: Tell | None = None) -> Sheets:
    """Write plan and sheets as a PDF, whole or not at all: an older file stays until the new one is safely on disk.

    ``tell`` hears the share done, 0-1, and what is being done. Raises DrawingError as ``lay_sheets`` does, and when
    the file cannot be written.
    """
    path, tell = Path(path), tell or _silent
    tell(0.0, "Laying out the sheets")
    sheets = lay_sheets(request)

    def pages() -> Iterator[Page]:
        for index, sheet in enumerate(sheets.pages):
            drawing = "the plan" if index == 0 else f"sheet {sheet.name}"
            tell(index / len(sheets.pages), f"Drawing {drawing}")
            yield sheet_page(sheets, index)

    data = pdf_bytes(pages(), f"Transfer sheets, canvas {request.drawing.size.in_cm()}")
    tell(1.0, "Saving the sheets")
    _save(path, data)
    return sheets


def write_picture(path: Path | str, request: SheetRequest, *, dpi: float, tell: Tell | None = None) -> tuple[int, int]:
    """Write the whole canvas with the drawing as a grey PNG with its dpi noted; give back width and height in pixels.

    Paper, margin and overlap do not matter; ``tell`` hears as in ``write_sheets``. Raises DrawingError
    for what cannot be drawn or written, or is too large.
    """
    from core.save import save_png

    request.check()
    px_per_mm = _checked_px_per_mm(request.drawing.size, dpi)
    tell = tell or _silent
    tell(0.0, "Drawing the picture")
    pixels = page_pixels(_whole_page(request, ink_of(request)), px_per_mm)
    tell(0.6, "Saving the picture")
    try:
        save_png(path, pixels, px_per_mm=px_per_mm)
    except PhotoError as trouble:
        raise DrawingError(str(trouble)) from trouble
    return pixels.shape[1], pixels.shape[0]


def _silent(share: float, doing: str) -> None:
    """Nobody listens."""


def _whole_page(request: SheetRequest, ink: Ink) -> Page:
    draft = Draft(ink.size, request.film)
    for chain in (*ink.under, *ink.chains):
        draft.stroke(chain.points, chain.width_mm, FAINT if chain.is_grid else INK)
    landmark_dots(draft, ink.marks, (0.0, 0.0, ink.size.width_mm, ink.size.height_mm), lambda points: points)
    return draft.page()


def _checked_px_per_mm(paper: Size, dpi: float) -> float:
    if not (math.isfinite(dpi) and LEAST_DPI <= dpi <= MOST_DPI):
        raise DrawingError(f"A picture has {LEAST_DPI:g} to {MOST_DPI:g} dots per inch, not {dpi:g}.")
    px_per_mm = px_per_mm_of(dpi)
    width, height = round(paper.width_mm * px_per_mm), round(paper.height_mm * px_per_mm)
    if width * height > MOST_PIXELS:
        most = math.floor(dpi * math.sqrt(MOST_PIXELS / (width * height)))
        raise DrawingError(
            f"At {dpi:g} dpi the picture would be {width:,} × {height:,} pixels, too many for one file. "
            f"Take {most} dpi or less."
        )
    return px_per_mm


def _best_way_up(request: SheetRequest, ink: Ink) -> tuple[Frame, Tiling, bool]:
    """The frame and tiling with the fewest sheets, and whether they are proven to be; of two as good, the one with
    less line across its joins."""
    wanted = [(chain.points, chain.width_mm) for chain in ink.wanted()] + dot_chains(ink)
    found: list[tuple[Found, Frame]] = []
    refused: list[DrawingError] = []
    paper = request.paper
    for way in dict.fromkeys((paper, paper.turned)):
        try:
            frame = frame_on(way, request.margin_mm, request.overlap_mm)
            found.append((fewest_sheets(wanted, frame.width, frame.height, request.overlap_mm), frame))
        except DrawingError as trouble:
            refused.append(trouble)
    if not found:
        raise refused[0]
    best, frame = min(found, key=lambda each: each[0].cost)
    return frame, best.tiling, best.cost[0] == 1 or all(each.proven for each, _ in found)


def _tiles(request: SheetRequest, frame: Frame, tiling: Tiling) -> tuple[Tile, ...]:
    kept = set(tiling.kept)

    def beside(column: int, row: int) -> str:
        return _name((column, row)) if (column, row) in kept else ""

    return tuple(
        Tile(
            name=_name((column, row)),
            number=number,
            count=len(kept),
            frame=frame,
            shown=tiling.frame((column, row)),
            neighbours=Neighbours(
                left=beside(column - 1, row),
                right=beside(column + 1, row),
                above=beside(column, row - 1),
                below=beside(column, row + 1),
            ),
            margin_mm=request.margin_mm,
            overlap_mm=request.overlap_mm,
        )
        for number, (column, row) in enumerate(tiling.kept, start=1)
    )


def _name(cell: Cell) -> str:
    """Columns by letters, rows by numbers, as the squaring grid's."""
    return f"{column_name(cell[0])}{cell[1] + 1}"


def _on_face(shown: Rect, mirrored_in: float | None) -> Rect:
    left, top, right, bottom = shown
    return shown if mirrored_in is None else (mirrored_in - right, top, mirrored_in - left, bottom)


def _left_out_notes(names: tuple[str, ...]) -> tuple[str, ...]:
    if not names:
        return ()
    some = ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
    return (f"Left out, since nothing is on {'it' if len(names) == 1 else 'them'}: {some}.",)


def _save(path: Path, data: bytes) -> None:
    try:
        write_whole(path, lambda file: file.write(data))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise DrawingError(
            f"The sheets could not be saved as “{path.name}” in “{path.parent}”: {reason}. "
            "Nothing was changed; choose another folder or name, and save again."
        ) from None
