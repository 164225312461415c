"""What is to be printed of a drawing, and on what paper."""

import math
from dataclasses import dataclass

from core.drawing.drawing import Drawing
from core.drawing.squaring import Squaring
from core.errors import DrawingError, PainterError
from core.size import PAPERS, Size, parse_size

OVERLAP_MM, MARGIN_MM, LINE_WEIGHT_MM = 10.0, 6.0, 0.5
THINNEST_MM, THICKEST_MM = 0.05, 5.0
FILM_WEIGHT_MM = 0.25
"""The heaviest line on clear film: a heavier one hides what it is laid over."""


@dataclass(frozen=True)
class SheetRequest:
    """A drawing, and how its transfer sheets are wanted.

    ``paper``: either way up. ``margin_mm``: what the printer leaves white on every side. ``overlap_mm``: how much of
    the canvas two neighbouring sheets both show. ``line_weight_mm``: of a contour; other layers are lighter.
    ``layers``: which to print; None for all. ``mirrored``: for tracing from the back. ``film``: black only, thin
    lines, no tints. ``dots``: landmarks as pricking dots with their names. ``squaring``: a grid over the canvas.
    ``whole_canvas``: sheets for the whole canvas, with its edge, instead of for the drawing only.
    """

    drawing: Drawing
    paper: Size = PAPERS["A4"]
    margin_mm: float = MARGIN_MM
    overlap_mm: float = OVERLAP_MM
    line_weight_mm: float = LINE_WEIGHT_MM
    layers: tuple[str, ...] | None = None
    mirrored: bool = False
    film: bool = False
    dots: bool = False
    squaring: Squaring | None = None
    whole_canvas: bool = False

    def check(self) -> None:
        """Raise DrawingError for numbers that no sheet can be made with."""
        for said, value in (("margin", self.margin_mm), ("overlap", self.overlap_mm)):
            if not (math.isfinite(value) and value >= 0.0):
                raise DrawingError(f"The {said} of the sheets must be 0 mm or more, not {value:g}.")
        if not THINNEST_MM <= self.line_weight_mm <= THICKEST_MM:
            raise DrawingError(
                f"Lines are printed {THINNEST_MM:g} to {THICKEST_MM:g} mm wide, not {self.line_weight_mm:g} mm."
            )

    @property
    def contour_mm(self) -> float:
        """The width of a contour as it is printed."""
        return min(self.line_weight_mm, FILM_WEIGHT_MM) if self.film else self.line_weight_mm


def parse_paper(text: str) -> Size:
    """A paper by its name (``a4``, ``Letter``) or as ``WxHmm``. Raises DrawingError when it is neither."""
    named = {name.casefold(): paper for name, paper in PAPERS.items()}
    found = named.get(text.strip().casefold())
    if found is not None:
        return found
    try:
        return parse_size(text)
    except PainterError:
        raise DrawingError(
            f"“{text}” is not a paper. Write {', '.join(PAPERS)}, or width x height, such as 330x480mm."
        ) from None


def paper_name(paper: Size) -> str:
    """``A4`` and its like, either way up; other papers by their sides in mm."""
    for name, size in PAPERS.items():
        if paper in (size, size.turned):
            return name
    return f"{paper.width_mm:g} × {paper.height_mm:g} mm"
