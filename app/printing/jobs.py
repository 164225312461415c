"""What the page has done away from the window: laying the sheets, picturing a page, and writing the files."""

from pathlib import Path
from typing import TYPE_CHECKING

from app.picture import Picture
from app.work import Progress
from core.drawing.sheet_request import SheetRequest

if TYPE_CHECKING:
    from core.drawing.sheet import Sheets


def lay(request: SheetRequest, progress: Progress) -> "Sheets":
    """Which sheets there will be. Raises DrawingError when there can be none."""
    from core.drawing.sheet import lay_sheets

    progress(say="Laying out the sheets")
    return lay_sheets(request)


def picture_page(sheets: "Sheets", index: int, px_per_mm: float, progress: Progress) -> Picture:
    """One page as it will look, at so many pixels on a millimetre of paper."""
    from core.drawing.sheet import sheet_page
    from core.drawing.sheet_picture import page_pixels

    progress(say="Drawing the page")
    pixels = page_pixels(sheet_page(sheets, index), px_per_mm)
    progress(say="Drawing the page")
    return Picture.from_grey(pixels)


def write_pdf(request: SheetRequest, path: Path, progress: Progress) -> str:
    """The plan and all sheets."""
    from app.printing.words import sheets_said
    from core.drawing.sheet import write_sheets

    return f"{sheets_said(write_sheets(path, request, tell=progress))} Print at 100 %, and check the ruler."


def write_png(request: SheetRequest, dpi: float, path: Path, progress: Progress) -> str:
    """The whole canvas as a picture."""
    from core.drawing.sheet import write_picture

    width, height = write_picture(path, request, dpi=dpi, tell=progress)
    return f"The whole canvas, {width} × {height} pixels at {dpi:g} dpi."


def write_svg(request: SheetRequest, path: Path, progress: Progress) -> str:
    """The lines and landmarks in mm: the layers chosen, mirrored if asked."""
    from core.drawing.sheet import chosen_drawing
    from core.drawing.svg_write import write_drawing

    progress(say="Saving the drawing")
    write_drawing(path, chosen_drawing(request))
    return "The drawing in mm."
